/**
 * Code of WebAssembly, byte by byte, for modules that are put together where they are used.
 *
 * Source of the encoding: WebAssembly core specification 2.0, chapter 5 (binary format).
 */

export const I32 = 0x7f;
export const F32 = 0x7d;
export const V128 = 0x7b;
export const OP = {
  get: 0x20,
  set: 0x21,
  tee: 0x22,
  load: 0x28,
  store: 0x36,
  add: 0x6a,
  sub: 0x6b,
  mul: 0x6c,
  shl: 0x74,
  less: 0x48,
  differ: 0x47,
  const: 0x41,
  if: 0x04,
  else: 0x05,
  loop: 0x03,
  again: 0x0d,
  end: 0x0b,
} as const;
export const LANES = {
  load: 0x00,
  splat: 0x09,
  store: 0x0b,
  any: 0x53,
  floats: 0x13,
  add: 0xe4,
  mul: 0xe6,
  most: 0xeb,
} as const;

function leb(n: number): number[] {
  const out: number[] = [];
  for (;;) {
    const byte = n & 0x7f;
    n >>= 7;
    if ((n === 0 && (byte & 0x40) === 0) || (n === -1 && (byte & 0x40) !== 0)) return [...out, byte];
    out.push(byte | 0x80);
  }
}

export const get = (k: number): number[] => [OP.get, k];
export const set = (k: number): number[] => [OP.set, k];
export const num = (n: number): number[] => [OP.const, ...leb(n)];
export const lane = (op: number): number[] => [0xfd, ...unsigned(op)];
export const section = (id: number, body: number[]): number[] => [id, ...unsigned(body.length), ...body];
export const bytes = (code: number[]): number[] => [...code, ...num(2), OP.shl];
export const moved = (k: number, by: number[]): number[] => [...get(k), ...by, OP.add, ...set(k)];
/** Four numbers, `at` bytes behind the address on the stack. */
export const load = (at: number): number[] => [...lane(LANES.load), 2, ...unsigned(at)];
export const store = (at: number): number[] => [...lane(LANES.store), 2, ...unsigned(at)];

export function unsigned(n: number): number[] {
  return n < 128 ? [n] : [(n & 0x7f) | 0x80, ...unsigned(n >>> 7)];
}

/** while (counter < limit) { body; counter += step }, from 0 on */
export function loop(counter: number, limit: number, step: number, body: number[]): number[] {
  return [
    ...[...num(0), ...set(counter), 0x02, 0x40, 0x03, 0x40],
    ...[...get(counter), ...get(limit), OP.less, 0x45, 0x0d, 1],
    ...body,
    ...[...moved(counter, num(step)), 0x0c, 0],
    ...[0x0b, 0x0b],
  ];
}

/** do body while one local is less than another, if it is at first: one branch a round. */
export const until = (less: number, than: number, body: number[]): number[] => {
  const left = [...get(less), ...get(than), OP.less];
  return [...[...left, OP.if, 0x40, OP.loop, 0x40], ...body, ...[...left, OP.again, 0, OP.end, OP.end]];
};

export const withLocals = (locals: number[], code: number[]): number[] => [
  locals.length / 2,
  ...locals,
  ...code,
  OP.end,
];

/** A whole number, `at` bytes behind the address on the stack. */
export const loadWhole = (at: number): number[] => [OP.load, 2, ...unsigned(at)];
export const storeWhole = (at: number): number[] => [OP.store, 2, ...unsigned(at)];
/** One number, `at` bytes behind the address on the stack, in all four lanes. */
export const loadSplat = (at: number): number[] => [...lane(LANES.splat), 2, ...unsigned(at)];
