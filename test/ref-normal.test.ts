import { expect, test } from 'vitest';
import { erf, normalDensity, normalShare } from '../src/maths/normal.ts';

// Abramowitz and Stegun, "Handbook of Mathematical Functions" (1964), table 7.1; checked against the C library's erf.
const ERF = [
  [0.1, 0.112462916],
  [0.5, 0.5204998778],
  [0.84, 0.7651427115],
  [1, 0.8427007929],
  [1.5, 0.9661051465],
  [1.9, 0.9927904292],
  [2, 0.995322265],
] as const;

// The same, table 26.1: P(x) and Z(x) to fifteen decimals.
const NORMAL = [
  [0, 0.5, 0.398942280401433],
  [1, 0.841344746068543, 0.241970724519143],
  [2, 0.977249868051821, 0.053990966513188],
  [3, 0.99865010196837, 0.004431848411938],
] as const;

test.each(ERF)('erf(%f) as tabulated', (x, value) => {
  expect(Math.abs(erf(x) - value)).toBeLessThan(0.6e-10);
  expect(erf(-x)).toBe(-erf(x));
});

test('erf agrees with itself where its two forms meet, and reaches 1', () => {
  // Between 2.5 - h and 2.5 + h it must rise by its slope, 2 / sqrt(pi) exp(-x^2), times 2 h.
  const h = 1e-9;
  expect(erf(2.5 + h) - erf(2.5 - h)).toBeCloseTo((2 * h * 2 * Math.exp(-6.25)) / Math.sqrt(Math.PI), 13);
  // erfc(2.5) and erfc(4), to nine digits, from the C library's erfc.
  expect((1 - erf(2.5)) / 4.06952017e-4).toBeCloseTo(1, 8);
  expect((1 - erf(4)) / 1.54172579e-8).toBeCloseTo(1, 7);
  expect(erf(10)).toBe(1);
  expect(erf(0)).toBe(0);
});

test.each(NORMAL)('the normal distribution at %f as tabulated', (x, share, density) => {
  expect(Math.abs((1 + erf(x / Math.SQRT2)) / 2 - share)).toBeLessThan(1e-14);
  expect(Math.abs(normalDensity(x) - density)).toBeLessThan(1e-14);
  // The fast one promises 2e-9.
  expect(Math.abs(normalShare(x) - share)).toBeLessThan(2e-9);
  expect(Math.abs(normalShare(-x) - (1 - share))).toBeLessThan(2e-9);
});

test('the fast share keeps its promise everywhere, and never falls', () => {
  let before = 0;
  let worst = 0;
  for (let x = -8; x <= 8; x += 0.00137) {
    const value = normalShare(x);
    worst = Math.max(worst, Math.abs(value - (1 + erf(x / Math.SQRT2)) / 2));
    expect(value).toBeGreaterThanOrEqual(before - 1e-12);
    before = value;
  }
  expect(worst).toBeLessThan(2e-9);
});
