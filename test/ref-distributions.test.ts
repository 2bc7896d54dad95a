import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import * as d from '../src/maths/distributions.ts';
import { incompleteBeta, incompleteGamma, lnBeta, lnGamma } from '../src/maths/special.ts';

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, critical values of the chi-square distribution: upper 0.05, 0.01, 0.001.
const CHI_SQUARE = [
  [3, 7.815, 11.345, 16.266],
  [5, 11.07, 15.086, 20.515],
  [7, 14.067, 18.475, 24.322],
  [9, 16.919, 21.666, 27.877],
  [11, 19.675, 24.725, 31.264],
  [19, 30.144, 36.191, 43.82],
] as const;
// The same handbook, 1.3.6.7.2 (Student's t, 0.975) and 1.3.6.7.3 (F, upper 0.05).
const STUDENT = [
  [1, 12.706],
  [5, 2.571],
  [10, 2.228],
  [30, 2.042],
] as const;
const FISHER = [
  [3, 7, 4.347],
  [5, 10, 3.326],
  [10, 20, 2.348],
] as const;
// Abramowitz and Stegun 1964, table 6.1 and 6.4: Gamma(1/2), Gamma(1/3), and ln Gamma(100) = ln 99!.
const LN_GAMMA = [
  [0.5, Math.log(Math.sqrt(Math.PI))],
  [1 / 3, Math.log(2.678938534707748)],
  [100, 359.1342053695754],
] as const;

test.each(CHI_SQUARE)('chi-square with %i degrees of freedom as tabulated', (df, ...values) => {
  values.forEach((v, i) => expect(d.chiSquareQuantile(1 - [0.05, 0.01, 0.001][i]!, df)).toBeCloseTo(v, 2));
});

test.each(STUDENT)("Student's t with %i degrees of freedom as tabulated", (df, value) => {
  expect(Math.abs(d.tQuantile(0.975, df) - value)).toBeLessThan(0.0006);
});

test.each(FISHER)('F with %i and %i degrees of freedom as tabulated', (d1, d2, value) => {
  expect(Math.abs(d.fQuantile(0.95, d1, d2) - value)).toBeLessThan(0.0006);
});

test.each(LN_GAMMA)('ln Gamma(%f)', (x, value) => {
  expect(Math.abs(lnGamma(x) - value)).toBeLessThan(1e-13 * Math.max(1, Math.abs(value)));
});

describe('tails keep their digits where one minus the other has none', () => {
  // Asymptotic series of Mills' ratio (Abramowitz and Stegun 26.2.12), good to 1e-13 at 30.
  test('of the normal distribution', () => {
    const z = 30;
    const mills = (1 - 1 / z ** 2 + 3 / z ** 4 - 15 / z ** 6 + 105 / z ** 8) / z;
    expect(d.normalSurvival(z) / ((mills * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI))).toBeCloseTo(1, 10);
  });
  // With 2 degrees of freedom the survival function is exp(-x / 2).
  test('of chi-square', () => expect(d.chiSquareSurvival(500, 2) / Math.exp(-250)).toBeCloseTo(1, 12));
  // With 2 degrees of freedom Student's t has a closed form; its tail falls as 1 / (2 t^2).
  test("of Student's t", () => expect(d.tSurvival(1e6, 2) * 2e12).toBeCloseTo(1, 8));
});

test('quantiles at the ends are the ends, outside nothing', () => {
  expect(d.normalQuantile(0)).toBe(-Infinity);
  expect(d.normalQuantile(1)).toBe(Infinity);
  expect(d.chiSquareQuantile(0, 3)).toBe(0);
  expect(d.betaQuantile(1, 2, 3)).toBe(1);
  expect(d.normalQuantile(1.1)).toBeNaN();
  expect(d.chiSquareCdf(NaN, 3)).toBeNaN();
});

test('quantile and distribution undo each other, into both tails', () => {
  const p = fc.oneof(
    fc.double({ min: 1e-12, max: 1 - 1e-9, noNaN: true }),
    fc.double({ min: 0.01, max: 0.99, noNaN: true }),
  );
  const size = fc.double({ min: 2, max: 200, noNaN: true });
  fc.assert(
    fc.property(p, size, size, (x, a, b) => {
      expect(d.normalCdf(d.normalQuantile(x)) / x).toBeCloseTo(1, 9);
      expect(d.chiSquareCdf(d.chiSquareQuantile(x, a), a) / x).toBeCloseTo(1, 9);
      expect(d.tCdf(d.tQuantile(x, a), a) / x).toBeCloseTo(1, 9);
      expect(d.betaCdf(d.betaQuantile(x, a, b), a, b) / x).toBeCloseTo(1, 9);
    }),
    { seed: 1, numRuns: 200 },
  );
});

test('both halves of the incomplete functions add up', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.05, max: 300, noNaN: true }),
      fc.double({ min: 0, max: 600, noNaN: true }),
      (a, x) => {
        const g = incompleteGamma(a, x);
        expect(g.lower + g.upper).toBeCloseTo(1, 12);
        const b = incompleteBeta(a, 7, x / 600);
        expect(b.lower + b.upper).toBeCloseTo(1, 12);
      },
    ),
    { seed: 2, numRuns: 300 },
  );
  // B(a, b) of whole numbers is (a-1)! (b-1)! / (a+b-1)!.
  expect(Math.exp(lnBeta(3, 4))).toBeCloseTo(1 / 60, 15);
});

// Computed with SciPy (scipy.stats.ncx2), five to six digits: noncentrality for power 0.8 and 0.9 at 5 %.
const NONCENTRALITY = [
  [3, 10.9026, 14.1715],
  [5, 12.8276, 16.4695],
  [7, 14.3505, 18.2836],
  [9, 15.6498, 19.8291],
  [11, 16.8017, 21.198],
  [19, 20.5554, 25.6518],
] as const;

test.each(NONCENTRALITY)('noncentrality for %i degrees of freedom', (df, p80, p90) => {
  expect(d.noncentralityFor(0.8, df, 0.05)).toBeCloseTo(p80, 4);
  expect(d.noncentralityFor(0.9, df, 0.05)).toBeCloseTo(p90, 4);
});

test('power of chi-square for a d6, 600 rolls, w 0.1 (SciPy: 0.43288)', () => {
  expect(d.noncentralChiSquareSurvival(d.chiSquareQuantile(0.95, 5), 5, 600 * 0.01)).toBeCloseTo(0.43288, 5);
  expect(d.noncentralChiSquareSurvival(5, 5, 0)).toBeCloseTo(d.chiSquareSurvival(5, 5), 14);
});
