import { afterEach, describe, expect, test } from 'vitest';
import { photosAThread, threadCount, threadsAsked, threadWorker } from '../src/cli/threads.ts';
import { setImmediate } from 'node:timers/promises';
import { Awaited } from '../src/pool/awaited.ts';
import { createPool, inOrder, ownFirst, type Pool } from '../src/pool/pool.ts';
import { POOL, poolSize } from '../src/pool/size.ts';
import type { ThreadQuestion } from './support/pool-thread.ts';

type Doubled = { readonly doubled: number; readonly by: number };
let pool: Pool<ThreadQuestion, Doubled> | undefined;
let started = 0;

function threads(size: number): Pool<ThreadQuestion, Doubled> {
  const seen = new SharedArrayBuffer(4);
  started = 0;
  pool = createPool<ThreadQuestion, Doubled>(() => {
    started++;
    return threadWorker(new URL('./support/pool-thread.ts', import.meta.url), seen);
  }, size);
  return pool;
}
afterEach(() => pool?.close());

const values = (answers: readonly { readonly ok: boolean; readonly value?: Doubled }[]): unknown[] =>
  answers.map((a) => (a.ok ? a.value!.doubled : 'none'));

describe('whoever asks is one of those who work', () => {
  const started: string[] = [];
  const done: string[] = [];
  /** This thread takes its time over each number; another one answers after a turn. */
  function mixed(size: number, own: (n: number) => Promise<string>): Pool<number, string> {
    const other = () => {
      started.push('other');
      return { ask: async (n: number) => (await setImmediate(), `other ${n}`), end: () => undefined };
    };
    return createPool(ownFirst(own, other, setImmediate), size);
  }
  const told = (answers: readonly { readonly ok: boolean; readonly value?: string }[]): string[] =>
    answers.map(({ value }) => value!.split(' ')[0]!);

  test('of a pool of two one other is started, and neither takes all that waits', async () => {
    started.length = 0;
    const pool = mixed(2, (n) => Promise.resolve(`own ${n}`));
    const answers = await Promise.all(Array.from({ length: 12 }, (_, n) => pool.ask(n)));
    expect(started).toEqual(['other']);
    expect(answers.map((a) => a.ok && Number(a.value.split(' ')[1]))).toEqual(Array.from({ length: 12 }, (_, n) => n));
    for (const who of ['own', 'other']) expect(told(answers).filter((w) => w === who).length).toBeGreaterThan(2);
  });

  test('own work that throws is taken up by another, and own work goes on', async () => {
    started.length = 0;
    done.length = 0;
    const pool = mixed(1, (n) => {
      done.push(`own ${n}`);
      return done.length === 1 ? Promise.reject(new Error('lost')) : Promise.resolve(`own ${n}`);
    });
    expect([await pool.ask(7), await pool.ask(8)]).toMatchObject([{ value: 'own 7' }, { value: 'own 8' }]);
    expect([started, done]).toEqual([[], ['own 7', 'own 7', 'own 8']]);
  });
});

describe('a question that waits at a busy worker', () => {
  /** Workers that each answer when told to; a question of 10 or more may wait there, and two of 20 or more. */
  function told(size: number) {
    const workers: { readonly asked: number[]; readonly answers: Awaited<number>; ended: boolean }[] = [];
    const pool = createPool<number, number>(() => {
      const worker = { asked: [] as number[], answers: new Awaited<number>(), ended: false };
      workers.push(worker);
      return {
        ask: (n) => (worker.asked.push(n), worker.answers.next()),
        end: () => void (worker.ended = true),
        waitingRoom: (n) => (n >= 20 ? 2 : n >= 10 ? 1 : 0),
      };
    }, size);
    return { pool, workers };
  }

  test('is one that may, one at each worker, once all are busy', async () => {
    const { pool, workers } = told(2);
    const answers = [1, 10, 11, 12, 13, 2].map((n) => pool.ask(n));
    expect(workers.map(({ asked }) => asked)).toEqual([
      [1, 11],
      [10, 12],
    ]);
    workers[0]!.answers.answered(-1);
    await answers[0];
    expect(workers[0]!.asked).toEqual([1, 11, 13]);
    for (const n of [-11, -13]) workers[0]!.answers.answered(n);
    await answers[4];
    // What may not wait is given to whoever is free.
    expect(workers.map(({ asked }) => asked)).toEqual([
      [1, 11, 13, 2],
      [10, 12],
    ]);
    workers[0]!.answers.answered(-2);
    for (const n of [-10, -12]) workers[1]!.answers.answered(n);
    expect((await Promise.all(answers)).map((a) => a.ok && a.value)).toEqual([-1, -10, -11, -12, -13, -2]);
  });

  test('stands behind more where there is room for more, and never where fewer wait elsewhere', () => {
    const { pool, workers } = told(2);
    for (const n of [1, 2, 20, 21, 22, 10, 23]) void pool.ask(n);
    expect(workers.map(({ asked }) => asked)).toEqual([
      [1, 20, 22],
      [2, 21],
    ]);
    pool.close();
  });

  test('has no part in what ends the worker: only the question worked on is given up after two', async () => {
    const { pool, workers } = told(1);
    const answers = [10, 11].map((n) => pool.ask(n));
    for (const end of [0, 1]) {
      await expect.poll(() => workers[end]?.asked).toEqual([10, 11]);
      workers[end]!.answers.lost(new Error('struck by lightning'));
    }
    await expect.poll(() => workers[2]?.asked).toEqual([11]);
    workers[2]!.answers.answered(-11);
    expect(await Promise.all(answers)).toEqual([
      { ok: false, error: { code: 'worker-stopped', detail: expect.stringMatching(/lightning/) as string } },
      { ok: true, value: -11 },
    ]);
    expect(workers.map(({ ended }) => ended)).toEqual([true, true, false]);
  });

  test('has its answer at a thread in the order of asking, and is asked again where that ends', async () => {
    const seen = new SharedArrayBuffer(4);
    pool = createPool<ThreadQuestion, Doubled>(
      () => ({
        ...threadWorker<ThreadQuestion, Doubled>(new URL('./support/pool-thread.ts', import.meta.url), seen),
        waitingRoom: () => 1,
      }),
      1,
    );
    const questions: ThreadQuestion[] = [{ double: 5, after: 30 }, { double: 6 }, 'exit-once', { double: 7 }];
    expect(values(await Promise.all(questions.map((question) => pool!.ask(question))))).toEqual([10, 12, 0, 14]);
  });

  test('is not put to a worker that is gone: whoever asks one hears of it at once', async () => {
    const answers = new Awaited<number>();
    answers.lost(new Error('gone'));
    await expect(answers.next()).rejects.toThrow('gone');
  });
});

describe('threads side by side', () => {
  test('each question has its own answer, and no more threads start than there is work for', async () => {
    const two = threads(2);
    expect(await two.ask({ double: 4 })).toMatchObject({ ok: true, value: { doubled: 8 } });
    expect(started).toBe(1);
    const answers = await Promise.all([30, 1, 2, 3].map((double) => two.ask({ double, after: double })));
    expect(values(answers)).toEqual([60, 2, 4, 6]);
    expect(started).toBe(2);
    expect(new Set(answers.map((a) => a.ok && a.value.by)).size).toBe(2);
  });

  test('answers are handed on in the order of the questions, and no more are taken than asked for', async () => {
    const taken: number[] = [];
    const questions = function* (): Generator<ThreadQuestion> {
      for (const after of [60, 1, 30, 1, 1, 1]) {
        taken.push(after);
        yield { double: after, after };
      }
    };
    const got: unknown[] = [];
    for await (const answer of inOrder(threads(2), questions(), 3)) {
      expect(taken.length - got.length).toBeLessThanOrEqual(3);
      got.push(answer.ok && answer.value.doubled);
    }
    expect(got).toEqual([120, 2, 60, 2, 2, 2]);
  });

  test('a thread that ends costs one repeat; the others know nothing of it', async () => {
    const two = threads(2);
    const answers = await Promise.all([
      two.ask({ double: 1, after: 20 }),
      two.ask('exit-once'),
      two.ask({ double: 3 }),
    ]);
    expect(values(answers)).toEqual([2, 0, 6]);
    expect(started).toBeGreaterThanOrEqual(2);
  });

  test.each([
    ['throw', /struck by lightning/],
    ['exit', /code 3/],
  ] as const)('what ends two threads in turn (%s) is given up, and the pool goes on', async (question, detail) => {
    const one = threads(1);
    expect(await one.ask(question)).toEqual({
      ok: false,
      error: { code: 'worker-stopped', detail: expect.stringMatching(detail) as string },
    });
    expect(values([await one.ask({ double: 2 })])).toEqual([4]);
    expect(started).toBe(3);
  });

  test('closing ends what is under way and what waits', async () => {
    const one = threads(1);
    const asked = [one.ask({ double: 1, after: 60_000 }), one.ask({ double: 2 })];
    one.close();
    expect(values(await Promise.all([...asked, one.ask({ double: 3 })]))).toEqual(['none', 'none', 'none']);
  });
});

test('as many workers as cores, as far as a quarter of the memory holds them', () => {
  expect(poolSize(2, 16_000)).toBe(2);
  expect(poolSize(8, 4_096)).toBe(3);
  expect(poolSize(8, 512)).toBe(1);
  expect(poolSize(64, 1e6)).toBe(POOL.most);
  expect(threadCount(5)).toBe(5);
  expect(threadCount(5, 1)).toBe(5);
  expect(threadCount(null, 3)).toBe(1);
  expect(threadCount(null)).toBeGreaterThanOrEqual(1);
  expect([1, 2, 3, 8].map(photosAThread)).toEqual([20, 20, 4, 4]);
  expect(['1', '12', undefined].map(threadsAsked)).toEqual([1, 12, null]);
  expect(['0', '-2', 'x', '65', '1.5', ''].map(threadsAsked)).toEqual(Array(6).fill(undefined));
});
