import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compareAxes } from '../src/figures/axis-comparison.ts';

const independent = (sigmas: readonly number[], common = 0): number[][] =>
  sigmas.map((s, i) => sigmas.map((_, j) => (i === j ? s * s : 0) + common * common));

describe('axes compared', () => {
  test('what all share cancels', () => {
    const lengths = [15.8, 15.9, 16];
    const apart = compareAxes(lengths, independent([0.01, 0.01, 0.01]));
    const together = compareAxes(lengths, independent([0.01, 0.01, 0.01], 0.3));
    expect(together.uDifference).toBeCloseTo(apart.uDifference, 9);
    expect(apart.uDifference).toBeCloseTo(0.01 * Math.SQRT2, 12);
    together.deviations.forEach(({ u }, i) => expect(u).toBeCloseTo(apart.deviations[i]!.u, 9));
    // Of one of n independent values from their mean: sigma sqrt(1 - 1/n).
    expect(apart.deviations[0]!.u).toBeCloseTo(0.01 * Math.sqrt(2 / 3), 12);
    expect(apart).toMatchObject({ longest: 2, shortest: 0, shown: true });
    expect(apart.difference).toBeCloseTo(0.2, 12);
  });

  test('equal axes, and a single one, show nothing', () => {
    expect(compareAxes([16, 16, 16], independent([0.01, 0.01, 0.01])).shown).toBe(false);
    expect(compareAxes([16], [[1e-4]])).toMatchObject({ difference: 0, shown: false });
  });

  test('the more axes, the further apart chance sets two of them', () => {
    // Two independent axes 3 sigma apart: 3 / sqrt 2 = 2.12, chance 0.034. Among ten, 45 pairs could have been the widest.
    const lengths = (n: number): number[] =>
      Array.from({ length: n }, (_, i) => (i === 0 ? 0.015 : i === 1 ? -0.015 : 0));
    const covariance = (n: number): number[][] => independent(Array(n).fill(0.01) as number[]);
    expect(compareAxes(lengths(2), covariance(2)).shown).toBe(true);
    expect(compareAxes(lengths(10), covariance(10)).shown).toBe(false);
  });

  test('deviations sum to nothing, whatever the axes', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 5, max: 30, noNaN: true }), { minLength: 1, maxLength: 10 }), (lengths) => {
        const { deviations } = compareAxes(lengths, independent(lengths.map(() => 0.01)));
        expect(deviations.reduce((s, d) => s + d.value, 0)).toBeCloseTo(0, 9);
      }),
      { seed: 1 },
    );
  });
});
