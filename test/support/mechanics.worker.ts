import { expose } from 'comlink';

/** A worker that misbehaves on request. */
const api = {
  protocol: 7,
  sum: (numbers: Float64Array) => numbers.reduce((a, b) => a + b, 0),
  never: () => new Promise<never>(() => undefined),
  busy(): never {
    for (;;);
  },
  reject: () => Promise.reject(new Error('a bug')),
  crash() {
    setTimeout(() => {
      throw new Error('struck by lightning');
    });
    return new Promise<never>(() => undefined);
  },
  async count(to: number, say: (i: number) => void) {
    for (let i = 1; i <= to; i++) await Promise.resolve(say(i));
  },
  unclonable: () => () => 1,
};
export type MechanicsApi = typeof api;

expose(api);
