import { afterEach, describe, expect, test } from 'vitest';
import { visionClient } from '../src/ui/store/vision-client.ts';
import { callback, lend, WorkerClient, type WorkerClientOptions } from '../src/ui/kit/worker-client.ts';
import type { MechanicsApi } from './support/mechanics.worker.ts';

let started = 0;
let clients: WorkerClient<MechanicsApi>[] = [];

function client(options: Partial<WorkerClientOptions<MechanicsApi>> = {}): WorkerClient<MechanicsApi> {
  const start = (): Worker => {
    started++;
    return new Worker(new URL('./support/mechanics.worker.ts', import.meta.url), { type: 'module' });
  };
  const made = new WorkerClient<MechanicsApi>({ start, protocol: 7, ...options });
  clients.push(made);
  return made;
}

afterEach(() => {
  for (const made of clients) made.dispose();
  clients = [];
  started = 0;
});

const works = { ok: true, value: 6 };
const sum = (worker: WorkerClient<MechanicsApi>, signal?: AbortSignal) =>
  worker.call((api) => api.sum(Float64Array.of(1, 2, 3)), signal);

describe('a worker that behaves', () => {
  test('is started by the first call and kept for the next', async () => {
    const worker = client();
    expect(started).toBe(0);
    expect(await sum(worker)).toEqual(works);
    expect(await sum(worker)).toEqual(works);
    expect(started).toBe(1);
  });

  test('is prepared once, before its first call', async () => {
    const order: string[] = [];
    const worker = client({ prepare: async (api) => void order.push(`prepared ${await api.sum(Float64Array.of(1))}`) });
    await Promise.all([sum(worker), sum(worker)].map((call) => call.then(() => order.push('called'))));
    expect(order).toEqual(['prepared 1', 'called', 'called']);
  });

  test('takes a lent buffer, which is empty afterwards', async () => {
    const numbers = Float64Array.of(4, 5);
    expect(await client().call((api) => api.sum(lend(numbers, [numbers.buffer])))).toEqual({ ok: true, value: 9 });
    expect(numbers.length).toBe(0);
  });

  test('refuses a buffer that was lent before', async () => {
    const numbers = Float64Array.of(4, 5);
    const worker = client();
    await worker.call((api) => api.sum(lend(numbers, [numbers.buffer])));
    const again = await worker.call((api) => api.sum(lend(numbers, [numbers.buffer])));
    expect(again).toMatchObject({
      ok: false,
      error: { code: 'worker-stopped', detail: expect.stringMatching(/detached/) },
    });
    expect(await sum(worker)).toEqual(works);
  });

  test('reports progress through a callback', async () => {
    const said: number[] = [];
    await client().call((api) =>
      api.count(
        3,
        callback((i: number) => void said.push(i)),
      ),
    );
    expect(said).toEqual([1, 2, 3]);
  });
});

describe('cancelling', () => {
  test.each(['never', 'busy'] as const)(
    'ends a call that would not end (%s), and the next call works',
    async (what) => {
      const worker = client();
      await sum(worker);
      const controller = new AbortController();
      const call = worker.call((api): Promise<never> => api[what](), controller.signal);
      setTimeout(() => controller.abort(), 20);
      expect(await call).toEqual({ ok: false, error: { code: 'cancelled' } });
      expect(await sum(worker)).toEqual(works);
      expect(started).toBe(2);
    },
  );

  test('before the call starts no worker', async () => {
    expect(await sum(client(), AbortSignal.abort())).toEqual({ ok: false, error: { code: 'cancelled' } });
    expect(started).toBe(0);
  });

  test('while the worker is still starting', async () => {
    const controller = new AbortController();
    const call = sum(client(), controller.signal);
    controller.abort();
    expect(await call).toEqual({ ok: false, error: { code: 'cancelled' } });
  });

  test('after the call leaves the worker alone', async () => {
    const worker = client();
    const controller = new AbortController();
    await sum(worker, controller.signal);
    controller.abort();
    await sum(worker);
    expect(started).toBe(1);
  });

  test('ends the other calls of the same worker too', async () => {
    const worker = client();
    const controller = new AbortController();
    const other = worker.call((api) => api.never());
    const call = worker.call((api) => api.never(), controller.signal);
    setTimeout(() => controller.abort(), 20);
    expect(await Promise.all([call, other])).toEqual(Array(2).fill({ ok: false, error: { code: 'cancelled' } }));
  });

  test('disposing ends the call under way, and not the one after it', async () => {
    const worker = client();
    const call = worker.call((api) => api.never());
    worker.dispose();
    const next = sum(worker);
    expect(await call).toEqual({ ok: false, error: { code: 'cancelled' } });
    expect(await next).toEqual(works);
  });
});

describe('a worker that fails', () => {
  test.each([
    ['crashes', 'crash', /struck by lightning/],
    ['rejects', 'reject', /a bug/],
    ['answers what cannot be sent', 'unclonable', /Unserializable/],
  ] as const)('%s: it is discarded, and the next call works', async (_name, what, detail) => {
    const worker = client();
    const result = await worker.call((api): Promise<unknown> => api[what]());
    expect(result).toMatchObject({
      ok: false,
      error: { code: 'worker-stopped', detail: expect.stringMatching(detail) },
    });
    expect(await sum(worker)).toEqual(works);
    expect(started).toBe(2);
  });

  test('speaks another protocol: refused, with both numbers', async () => {
    expect(await sum(client({ protocol: 8 }))).toEqual({
      ok: false,
      error: { code: 'worker-outdated', seen: 7, needed: 8 },
    });
  });

  test('is not there', async () => {
    const worker = client({ start: () => new Worker('/no-such.worker.js', { type: 'module' }) });
    expect(await sum(worker)).toMatchObject({ ok: false, error: { code: 'worker-stopped' } });
  });

  test('cannot be prepared', async () => {
    const worker = client({ prepare: () => Promise.reject(new Error('no wasm')) });
    expect(await sum(worker)).toEqual({ ok: false, error: { code: 'worker-stopped', detail: 'no wasm' } });
  });
});

describe('the vision worker', () => {
  test('takes a photo only into a set that was opened', async () => {
    const vision = visionClient();
    const bytes = new ArrayBuffer(3);
    const result = await vision.call((api) => api.add(lend({ name: 'a.jpg', bytes }, [bytes])));
    expect(result).toEqual({ ok: false, error: { code: 'worker-stopped', detail: 'no set was opened' } });
    expect(bytes.byteLength).toBe(0);
    vision.dispose();
  });
});
