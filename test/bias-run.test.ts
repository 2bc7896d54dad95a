import { describe, expect, test } from 'vitest';
import { trueShape } from '../src/bias/die/die-shape.ts';
import { BLOCK, tallyOf, throwBlock } from '../src/bias/throws/throw-blocks.ts';
import { throwBody, type ThrowBody } from '../src/bias/throws/throw-body.ts';
import { runThrows, tumbling, worstShare, type BlockThrower, type ThrowPlan } from '../src/bias/throw-run.ts';
import { throwPool } from '../src/cli/throw-pool.ts';
import { seededRandom } from '../src/maths/random.ts';
import { failure, success } from '../src/result.ts';

const body = ((): ThrowBody => {
  const made = throwBody(trueShape('d6'));
  if (!made.ok) throw new Error(made.error.code);
  return made.value;
})();
const plan: ThrowPlan = { table: 'wood', seed: 9, throws: 5 * BLOCK, precision: null };
const here: BlockThrower<never> = async (b, table, seed, index) => success(throwBlock(b, table, seed, index));

/** Workers that answer in a shuffled order. */
function unruly(count: number, seed: number): BlockThrower<never>[] {
  const random = seededRandom(seed);
  return Array.from({ length: count }, () => async (b, table, s, index) => {
    for (let wait = Math.floor(20 * random()); wait > 0; wait--) await Promise.resolve();
    return success(throwBlock(b, table, s, index));
  });
}

describe('the same seed gives the same result', () => {
  test('whatever the number of workers and the order of their answers', async () => {
    const alone = await runThrows(body, plan, [here]);
    for (const workers of [2, 3, 8]) expect(await runThrows(body, plan, unruly(workers, workers))).toEqual(alone);
    expect(alone.ok && alone.value.throws).toBe(plan.throws);
  });
  test('also where it stops at a precision', async () => {
    const precise: ThrowPlan = { ...plan, throws: 100 * BLOCK, precision: 0.055 };
    const alone = await runThrows(body, precise, [here]);
    const many = await runThrows(body, precise, unruly(7, 1));
    expect(many).toEqual(alone);
    if (!alone.ok) throw new Error('no worker fails here');
    expect(worstShare(alone.value)).toBeLessThanOrEqual(0.055);
    expect(alone.value.throws).toBeLessThan(20 * BLOCK);
  });
  test('with threads and without', async () => {
    const pool = throwPool(2);
    try {
      expect(await runThrows(body, plan, pool.throwers)).toEqual(await runThrows(body, plan, [here]));
    } finally {
      await pool.close();
    }
  });
  test('an unknown table is all tables alike', async () => {
    const seen: number[] = [];
    const run = await runThrows(body, { ...plan, table: 'unknown' }, unruly(3, 4), (t) => seen.push(t.throws / BLOCK));
    const each = (['wood', 'felt', 'stone'] as const).map((t) => tallyOf(body, t, plan.seed, 0, 2 * BLOCK));
    if (!run.ok) throw new Error('no worker fails here');
    expect(Array.from(run.value.counts)).toEqual(
      [0, 1, 2, 3, 4, 5].map((f) => each.reduce((s, t) => s + t.counts[f]!, 0)),
    );
    expect(seen).toEqual([3, 6]);
  });
});

test('progress counts up from the first block without gaps', async () => {
  const seen: number[] = [];
  await runThrows(body, plan, unruly(4, 2), (tally) => seen.push(tally.throws));
  expect(seen).toEqual([1, 2, 3, 4, 5].map((n) => n * BLOCK));
});

test('stopping ends after the blocks under way, with what there is', async () => {
  const stop = { aborted: false };
  const run = await runThrows(body, { ...plan, throws: 50 * BLOCK }, [here], () => (stop.aborted = true), stop);
  expect(run.ok && run.value.throws).toBe(BLOCK);
});

test('a lost worker is a failure, not an endless wait', async () => {
  const lost: BlockThrower<{ code: 'lost' }> = async (b, table, seed, index) =>
    index === 2 ? failure({ code: 'lost' }) : success(throwBlock(b, table, seed, index));
  expect(await runThrows(body, plan, [lost, lost])).toEqual(failure({ code: 'lost' }));
});

test('the means of time and path are those of the throws', () => {
  const { time, uTime, path } = tumbling(tallyOf(body, 'wood', 1, 0, 4000));
  // A d6 of 19 mm on wood, another simulator of the same law: 0.37 s and 21 cm until decided.
  expect(Math.abs(time - 0.365)).toBeLessThan(0.015);
  expect(uTime).toBeGreaterThan(0);
  expect(uTime).toBeLessThan(0.005);
  expect(Math.abs(path - 205)).toBeLessThan(15);
});
