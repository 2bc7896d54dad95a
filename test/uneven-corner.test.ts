import { expect, test } from 'vitest';
import { unevenCorner } from '../src/figures/uneven-corner.ts';

const NAMES = ['1-2-3', '1-2-4', '1-3-5', '1-4-5'];

/** Corners with one's radius changed, each known to `own`, all shifted together by `common`, mm. */
function die(change: number, own: number, common: number, named = NAMES) {
  const corners = NAMES.map((name, i) => ({ name, radius: i === 2 ? 0.5 + change : 0.5, u: Math.hypot(own, common) }));
  const matrix = NAMES.map((_, i) => NAMES.map((_, j) => (i === j ? own ** 2 : 0) + common ** 2));
  return { corners, shapeCovariance: { names: named.map((name) => `corner ${name}`), matrix } };
}

test('the corner furthest from the mean of all is told, and what all corners share does not hide it', () => {
  const seen = unevenCorner(die(-0.08, 0.01, 0.2));
  expect(seen).toMatchObject({ name: '1-3-5', radius: 0.42, shown: true });
  expect(seen.deviation.value).toBeCloseTo(-0.06, 12);
  // Of one of n independent values from their mean: sigma sqrt(1 - 1/n).
  expect(seen.deviation.u).toBeCloseTo(0.01 * Math.sqrt(3 / 4), 12);
});

test('it is one of many: 5 in 100 dice with corners all alike have one so far off', () => {
  // Two-sided 5 % shared by four corners: 2.4977 sigma (normal quantile of 1 - 0.05 / 8, NIST/SEMATECH handbook 1.3.6.7.1 for the distribution).
  const u = 0.01 * Math.sqrt(3 / 4);
  const change = (sigmas: number): number => (sigmas * u) / (3 / 4);
  expect(unevenCorner(die(change(2.49), 0.01, 0)).shown).toBe(false);
  expect(unevenCorner(die(change(2.51), 0.01, 0)).shown).toBe(true);
});

test('a covariance of other corners is not read, and alike corners stand out in nothing', () => {
  expect(unevenCorner(die(0.08, 0.01, 0.2, ['9-8-7', '9-8-6', '9-7-5', '9-6-5'])).shown).toBe(false);
  expect(unevenCorner(die(0, 0.01, 0)).shown).toBe(false);
});
