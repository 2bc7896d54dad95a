/** Light that is cut off at the display's end moves edges inwards by an amount that is not seen. */
import { expect, test } from 'vitest';
import { commonEdge } from '../src/measure/fit-gates.ts';
import type { Measured } from '../src/measure/measured.ts';
import { normalShare } from '../src/maths/normal.ts';
import { madeMeasured } from './support/made-measured.ts';

/** Place where a step blurred by one px, the stage k times too bright, shows half of the brightest that can be shown, px outside the edge. */
function halfShown(k: number): number {
  let [low, high] = [-5, 5];
  for (let i = 0; i < 60; i++) {
    const mid = (low + high) / 2;
    if (Math.min(1, k * normalShare(mid)) < 0.5) low = mid;
    else high = mid;
  }
  return low;
}

const withStage = (m: Measured, value: number): Measured => ({
  ...m,
  used: m.used.map((a) => ({ ...a, survey: { ...a.survey, stage: [value, value, value] as const } })),
});

test('what is cut off of a stage twice too bright lies within twice the doubt, of one three times within thrice', () => {
  const m = madeMeasured();
  const plain = commonEdge(withStage(m, 251));
  const burnt = commonEdge(withStage(m, 252));
  const blur = Math.max(0.6, m.looks[0]!.blur.low);
  const u = Math.sqrt(burnt ** 2 - plain ** 2) / blur;
  expect(halfShown(1)).toBeCloseTo(0, 9);
  // The standard normal's quantiles of 1/4 and 1/6. Source: any table of them (for one NIST/SEMATECH e-Handbook, 1.3.6.7.1).
  expect(halfShown(2)).toBeCloseTo(-0.6745, 3);
  expect(halfShown(3)).toBeCloseTo(-0.9674, 3);
  expect(2 * u).toBeGreaterThan(-halfShown(2));
  expect(3 * u).toBeGreaterThan(-halfShown(3));
  expect(2 * u).toBeLessThan(-halfShown(3));
});
