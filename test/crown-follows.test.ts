import { expect, test } from 'vitest';
import { RAISE } from '../src/geometry/rim.ts';
import { followers, type Glare } from '../src/measure/rounds.ts';
import { CROWN_SUMS, type CrownLight } from '../src/vision/edge-set.ts';

const glare = (byCrown: number): Glare => ({ change: 0, byCrown, crown: { information: 1, gradient: 0 } });

/** Two segments on each of faces 0, 1, 2 and one on none; the contact moves out by 14 px a mm, what is measured by so much of it. */
function light(shares: readonly number[], byGlare = 0): { light: CrownLight; shift: Float64Array } {
  const face = Int32Array.from([0, 0, 1, 1, 2, 2, -1]);
  const shift = Float64Array.from(face, (f) => (f < 0 ? 0 : 14 * RAISE));
  // The offset is counted from the contact: what stays where it is has an offset that falls as the contact moves out.
  const byCrown = Float64Array.from(face, (f) => (f < 0 ? 0 : 14 * (shares[f]! - 1)));
  const sums = new Float64Array(CROWN_SUMS * face.length);
  return { light: { face, byCrown, byGlare: byCrown.map(() => byGlare), sums }, shift };
}
const all = [0, 1, 2, 3, 4, 5, 6];

test('a stretch whose measured place follows the crown believed is told from ones that stay', () => {
  const { light: e, shift } = light([0, 0.5, 0.9]);
  const glares = new Map([0, 1, 2].map((f) => [f, glare(0)]));
  expect([...followers(e, all, glares, shift)]).toEqual([2]);
});

test('places that go the other way follow nothing, and glare that follows the crown counts', () => {
  const { light: e, shift } = light([-0.4, 0.5, 0.5], 1);
  const glares = new Map([0, 1, 2].map((f) => [f, glare(f === 1 ? 5 : 0)]));
  expect([...followers(e, all, glares, shift)]).toEqual([1]);
});

test('segments that say nothing do not count', () => {
  const { light: e, shift } = light([0, 0, 0.9]);
  e.byCrown[4] = 14 * 5;
  expect([...followers(e, [0, 1, 2, 3, 5, 6], new Map([0, 1, 2].map((f) => [f, glare(0)])), shift)]).toEqual([2]);
  e.byCrown[5] = -14;
  expect([...followers(e, [0, 1, 2, 3, 5, 6], new Map([0, 1, 2].map((f) => [f, glare(0)])), shift)]).toEqual([]);
});
