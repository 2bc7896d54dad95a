import { describe, expect, test } from 'vitest';
import { agreement } from '../src/judging/agreement.ts';

describe('agreement of two measurements', () => {
  test('E_n as the formula of ISO/IEC 17043:2010, B.3.1.3 e gives it (worked by hand: formula from memory)', () => {
    // 10.00008 with U95 0.00012 against 10.00001 with U95 0.00008: 7e-5 / sqrt(12^2 + 8^2) e-5 = 0.4854.
    const { en, agrees, grade, U95 } = agreement(10.00008, 0.00006, 10.00001, 0.00004);
    expect(en).toBeCloseTo(7 / Math.hypot(12, 8), 6);
    expect(U95).toBeCloseTo(Math.hypot(12, 8) * 1e-5, 12);
    expect([agrees, grade]).toEqual([true, 'satisfactory']);
  });

  test('zeta is twice E_n, and both judge alike where ISO 13528:2015 sets its limits: 2 and 3', () => {
    for (const [difference, grade, agrees] of [
      [0.0199, 'satisfactory', true],
      [0.0201, 'questionable', false],
      [-0.0299, 'questionable', false],
      [-0.0301, 'unsatisfactory', false],
    ] as const) {
      const found = agreement(15 + difference, 0.008, 15, 0.006);
      expect(found.zeta).toBeCloseTo(2 * found.en, 9);
      expect([found.grade, found.agrees]).toEqual([grade, agrees]);
    }
  });

  test('independent measurements with the doubts they state agree in 95 of 100 cases', () => {
    // Every quantile of a normal error once, so that nothing is left to chance: |difference| <= 2 u holds 95.45 %.
    const n = 2000;
    let inside = 0;
    for (let i = 0; i < n; i++) {
      const p = (i + 0.5) / n;
      let [low, high] = [-8, 8];
      for (let k = 0; k < 60; k++) {
        const mid = (low + high) / 2;
        if (cdf(mid) < p) low = mid;
        else high = mid;
      }
      if (agreement(0.01 * low, 0.008, 0, 0.006).agrees) inside++;
    }
    expect(inside / n).toBeCloseTo(0.9545, 2);
  });
});

/** Normal distribution by Abramowitz and Stegun 7.1.26 (error below 1.5e-7). */
function cdf(x: number): number {
  const t = 1 / (1 + (0.3275911 * Math.abs(x)) / Math.SQRT2);
  const erf =
    1 -
    t *
      (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
      Math.exp((-x * x) / 2);
  return (1 + (x < 0 ? -erf : erf)) / 2;
}
