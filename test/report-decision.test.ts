import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { acceptance, conformance, decide, decidingU, together, type DecisionRule } from '../src/judging/decision.ts';
import { jointProbability } from '../src/report/record/joint.ts';
import { passable } from '../src/judging/tolerance.ts';

const GUARD: DecisionRule = { kind: 'guard' };
const SIMPLE: DecisionRule = { kind: 'simple' };
const shared = (probability: number): DecisionRule => ({ kind: 'shared', probability });

describe('worked cases of JCGM 106:2012 (figures from memory of the guide)', () => {
  test('7.3, one-sided: a Zener diode of -5.47 V, u 0.05 V, to be at most -5.40 V, conforms with 92 %', () => {
    expect(conformance(-5.47, 0.05, { low: null, high: -5.4 })).toBeCloseTo(0.92, 2);
  });

  test('7.4, two-sided: an oil of 13.6 mm^2/s, u 1.8, to lie from 12.5 to 16.3, conforms with 66 %', () => {
    expect(conformance(13.6, 1.8, { low: 12.5, high: 16.3 })).toBeCloseTo(0.66, 2);
  });

  test('8.3, guarded rejection: a speed of 107 km/h known to 2 % exceeds 100 km/h with 99.9 %, one of 106 does not', () => {
    const above = (v: number): number => 1 - conformance(v, 0.02 * v, { low: null, high: 100 });
    expect(above(107)).toBeGreaterThanOrEqual(0.999);
    expect(above(106)).toBeLessThan(0.999);
  });

  test('8.3, guard band w = U: at its edge a wrong acceptance has a chance of 2.3 %', () => {
    const limits = { low: null, high: 1 };
    expect(1 - conformance(acceptance(0.1, limits, GUARD)!.high!, 0.1, limits)).toBeCloseTo(0.0228, 4);
  });

  test('8.2, simple acceptance: on the limit half of all acceptances are wrong', () => {
    expect(conformance(1, 0.1, { low: null, high: 1 })).toBeCloseTo(0.5, 12);
    expect(decide(1, 0.1, { low: null, high: 1 }, SIMPLE).verdict).toBe('pass');
  });
});

describe('rules', () => {
  const limits = { low: 9, high: 11 };

  // ISO 14253-1: conformity inside the limits reduced by U, non-conformity outside the limits enlarged by U.
  test.each([
    [10, 'pass'],
    [10.6, 'pass'],
    [10.61, 'undecided'],
    [11, 'undecided'],
    [11.4, 'undecided'],
    [11.41, 'fail'],
    [9.4, 'pass'],
    [9.39, 'undecided'],
    [8.6, 'undecided'],
    [8.59, 'fail'],
  ] as const)('guard band 0.4 within 9 to 11: %d is %s', (value, verdict) => {
    expect(decide(value, 0.2, limits, GUARD).verdict).toBe(verdict);
  });

  test('one-sided limits leave the other side free', () => {
    expect(decide(0, 0.1, { low: null, high: 1 }, GUARD).verdict).toBe('pass');
    expect(decide(1e6, 0.1, { low: 1, high: null }, GUARD).verdict).toBe('pass');
    expect(decide(0.7, 0.1, { low: 1, high: null }, GUARD).verdict).toBe('fail');
  });

  test('U larger than the tolerance: nothing passes a guard band, and far outside still fails', () => {
    expect(acceptance(1.5, limits, GUARD)).toBeNull();
    expect(passable(1.5, limits, GUARD)).toBe(false);
    for (const value of [9, 10, 11, 13.9]) expect(decide(value, 1.5, limits, GUARD).verdict).toBe('undecided');
    expect(decide(14.1, 1.5, limits, GUARD).verdict).toBe('fail');
    expect(decide(10, 1.5, limits, GUARD).probability).toBeCloseTo(0.495, 3);
  });

  test('shared risk: both parties stay below what was stated', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 15, noNaN: true }),
        fc.double({ min: 0.01, max: 3, noNaN: true }),
        fc.double({ min: 0.5, max: 0.999, noNaN: true }),
        (value, u, p) => {
          const { verdict, probability } = decide(value, u, limits, shared(p));
          if (verdict === 'pass') expect(1 - probability).toBeLessThanOrEqual(1 - p + 1e-12);
          else if (verdict === 'fail') expect(probability).toBeLessThanOrEqual(1 - p + 1e-12);
          else expect(Math.max(probability, 1 - probability)).toBeLessThan(p);
        },
      ),
    );
  });

  test('mirrored values and limits get the same verdict', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 15, noNaN: true }),
        fc.double({ min: 0.01, max: 3, noNaN: true }),
        (v, u) => {
          for (const rule of [GUARD, SIMPLE, shared(0.9)]) {
            const [a, b] = [decide(v, u, limits, rule), decide(-v, u, { low: -11, high: -9 }, rule)];
            expect(a.verdict).toBe(b.verdict);
            expect(a.probability).toBeCloseTo(b.probability, 10);
          }
        },
      ),
    );
  });

  test('the doubt that would decide does decide', () => {
    for (const rule of [GUARD, shared(0.95)]) {
      const u = decidingU(0.3, rule);
      expect(decide(10.7, u * 0.999, limits, rule).verdict).toBe('pass');
      expect(decide(10.7, u * 1.01, limits, rule).verdict).toBe('undecided');
    }
  });

  test('one failure fails all, one doubt leaves all undecided', () => {
    expect(together(['pass', 'undecided', 'fail'])).toBe('fail');
    expect(together(['pass', 'undecided'])).toBe('undecided');
    expect(together(['pass', 'pass'])).toBe('pass');
  });
});

describe('several limits at once', () => {
  test('independent quantities: the product of their probabilities', () => {
    const covariance = Float64Array.from([0.04, 0, 0, 0.09]);
    const due = conformance(1, 0.2, { low: null, high: 1.1 }) * conformance(2, 0.3, { low: 1.8, high: null });
    const found = jointProbability([1, 2], covariance, ([a, b]) => a! <= 1.1 && b! >= 1.8)!;
    // 20 000 draws: a standard error of 0.0035.
    expect(Math.abs(found - due)).toBeLessThan(0.012);
  });

  test('hardly two quantities: the probability of one', () => {
    const covariance = Float64Array.from([0.04, 0.03999, 0.03999, 0.04]);
    const found = jointProbability([1, 1], covariance, ([a, b]) => a! <= 1.1 && b! <= 1.1)!;
    expect(Math.abs(found - conformance(1, 0.2, { low: null, high: 1.1 }))).toBeLessThan(0.015);
  });

  test('what is no covariance gives nothing', () => {
    expect(jointProbability([1, 1], Float64Array.from([1, 2, 2, 1]), () => true)).toBeNull();
  });
});
