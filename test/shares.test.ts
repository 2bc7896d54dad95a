import { expect, test } from 'vitest';
import { Shares } from '../src/pool/shares.ts';

/** Works of given shares, each of which ends when it is told to; what has begun, in its order. */
function works(all: number, shares: readonly number[]) {
  const pool = new Shares(all);
  const begun: number[] = [];
  const ends: (() => void)[] = [];
  const done = shares.map((share, i) =>
    pool.with(share, async () => {
      begun.push(i);
      await new Promise<void>((end) => (ends[i] = end));
      if (i === 1) throw new Error('lost');
    }),
  );
  const settled = Promise.allSettled(done);
  const end = async (i: number): Promise<void> => {
    ends[i]!();
    await done[i]!.catch(() => undefined);
    await Promise.resolve();
  };
  return { begun, end, settled };
}

test('work waits until its share is free, in the order of asking; what fails gives its share back', async () => {
  const { begun, end, settled } = works(10, [6, 4, 5, 1]);
  await Promise.resolve();
  expect(begun).toEqual([0, 1]);
  await end(1);
  // 5 do not fit yet, and the 1 behind it does not overtake.
  expect(begun).toEqual([0, 1]);
  await end(0);
  expect(begun).toEqual([0, 1, 2, 3]);
  await end(2);
  await end(3);
  expect((await settled).map(({ status }) => status)).toEqual(['fulfilled', 'rejected', 'fulfilled', 'fulfilled']);
});

test('what asks for more than all of it is done alone', async () => {
  const { begun, end } = works(10, [3, 3, 25, 2]);
  await Promise.resolve();
  expect(begun).toEqual([0, 1]);
  await end(0);
  await end(1);
  expect(begun).toEqual([0, 1, 2]);
  await end(2);
  expect(begun).toEqual([0, 1, 2, 3]);
});
