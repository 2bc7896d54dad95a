import { describe, expect, test } from 'vitest';
import { decideByProbability, decide, type DecisionRule } from '../src/judging/decision.ts';
import { knownRange, shareAsFar } from '../src/maths/joint-draws.ts';
import { normalCdf } from '../src/maths/distributions.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { assess } from '../src/report/record/assess.ts';
import { NO_LIMITS } from '../src/judging/tolerance.ts';
import { madeResult } from './support/made-result.ts';

/** Axes with what is common to all and what is each one's own; mm. */
const covariance = (n: number, common: number, own: number): Float64Array =>
  Float64Array.from({ length: n * n }, (_, k) => common ** 2 + (k % (n + 1) === 0 ? own ** 2 : 0));

describe('the range of axes', () => {
  test('of 2 and 3 independent normal quantities alike: mean and standard deviation of its tables (Tippett 1925; d2 1.12838, 1.69257, d3 0.85250, 0.88837)', () => {
    for (const [n, d2, d3] of [
      [2, 1.12838, 0.8525],
      [3, 1.69257, 0.88837],
    ] as const) {
      const range = knownRange(Array<number>(n).fill(15), covariance(n, 1, 0.01))!;
      expect(Math.abs(range.mean / 0.01 - d2)).toBeLessThan(0.01);
      expect(Math.abs(range.u / 0.01 - d3)).toBeLessThan(0.01);
    }
  });
  test('conformity of 50 results lies within 0.01 of that by 400 000 draws of another stream', () => {
    const random = seededRandom(77);
    // Drawn once, and scaled for each result.
    const drawn = Float64Array.from({ length: 3 * 400_000 }, seededNormal(seededRandom(99)));
    let worst = 0;
    for (let i = 0; i < 50; i++) {
      const own = 0.002 + 0.006 * random();
      const lengths = [0, 0.02 * random(), 0.02 * random()].map((d) => 15 + d);
      const high = 0.03 * random();
      const stated = knownRange(lengths, covariance(3, 0.01, own), (r) => r <= high)!.probability;
      let hits = 0;
      for (let k = 0; k < drawn.length; k += 3) {
        const a = lengths[0]! + own * drawn[k]!;
        const b = lengths[1]! + own * drawn[k + 1]!;
        const c = lengths[2]! + own * drawn[k + 2]!;
        if (Math.max(a, b, c) - Math.min(a, b, c) <= high) hits++;
      }
      worst = Math.max(worst, Math.abs(stated - hits / 400_000));
    }
    expect(worst).toBeLessThan(0.01);
  });
  test('where two axes nearly tie for longest, the outer pair alone would be too sure', () => {
    const result = madeResult('d6');
    const own = 0.005;
    const axes = [15, 15.0195, 15.02].map((length, i) => ({ ...result.axes[i], length }));
    const axesCovariance = [0, 1, 2].map((i) => [0, 1, 2].map((j) => 1e-4 + (i === j ? own * own : 0)));
    const one = { ...result, axes, axesCovariance, rangeOfAxes: { value: 0.02, u: own * Math.SQRT2 } };
    const tolerance = { ...NO_LIMITS, range: { low: null, high: 0.0295 } };
    const [finding] = assess(one, null, tolerance, { kind: 'guard' }).findings;
    const pair = decide(0.02, own * Math.SQRT2, tolerance.range, { kind: 'guard' });
    expect(pair.probability).toBeCloseTo(0.91, 2);
    expect(finding.probability).toBeLessThan(pair.probability - 0.04);
    expect(finding.u).toBeLessThan(own * Math.SQRT2);
  });
  test('three axes that tie for longest and three for shortest: 0.91 by the outer pair, under 0.78 by all', () => {
    const lengths = [15, 15, 15, 15.02, 15.02, 15.02];
    const limits = { low: null, high: 0.0294 };
    const pair = decide(0.02, 0.005 * Math.SQRT2, limits, { kind: 'guard' });
    const joint = knownRange(lengths, covariance(6, 0.01, 0.005), (r) => r <= 0.0294)!;
    expect(pair.probability).toBeCloseTo(0.908, 2);
    expect(joint.probability).toBeLessThan(0.78);
    // The range's own bias: the drawn ranges' mean lies above the range of the lengths.
    expect(joint.mean - 0.02).toBeGreaterThan(0.003);
  });
  test('a die with no difference at all, measured with u 3 um per axis, fails a limit of 5.08 um in no more dice than the rule risks; by draws about what was read nearly each would', () => {
    const result = madeResult('d20');
    const normal = seededNormal(seededRandom(3));
    const tolerance = { ...NO_LIMITS, range: { low: null, high: 0.00508 } };
    const matrix = result.axes.map((_, i) => result.axes.map((_a, j) => (i === j ? 0.003 ** 2 : 0)));
    const dice = 40;
    let [failed, hasty] = [0, 0];
    for (let k = 0; k < dice; k++) {
      const axes = result.axes.map((a) => ({ ...a, length: 20 + 0.003 * normal() }));
      const lengths = axes.map((a) => a.length);
      const rangeOfAxes = { value: Math.max(...lengths) - Math.min(...lengths), u: 0.0025 };
      const one = { ...result, axes, axesCovariance: matrix, rangeOfAxes };
      const [finding] = assess(one, null, tolerance, { kind: 'guard' }).findings;
      if (finding!.verdict === 'fail') failed++;
      if (finding!.probability < 0.02275) hasty++;
    }
    expect(failed).toBeLessThanOrEqual(4);
    expect(hasty).toBeGreaterThan(36);
  });
  test('a range far beyond its limit still fails, and one far within passes', () => {
    const c = covariance(10, 0.01, 0.003);
    const lengths = Array.from({ length: 10 }, (_, i) => 20 + 0.004 * i);
    expect(shareAsFar(lengths, c, 0.005)).toBe(0);
    expect(shareAsFar(lengths, c, 0.05)).toBe(1);
  });
  // Of two independent quantities alike the difference is normal with u times the root of 2: on the limit 0, as far as d as often as a normal one leaves d on either side.
  test('of two quantities the share is the normal distribution', () => {
    for (const d of [0.5, 1, 2])
      expect(
        Math.abs(shareAsFar([15, 15 + d * Math.SQRT2], covariance(2, 0.1, 1), 0)! - 2 * (1 - normalCdf(d))),
      ).toBeLessThan(0.01);
  });
  test('a normal quantity gets the same verdict by its probability as by its guard band', () => {
    const limits = { low: null, high: 1 };
    for (const rule of [{ kind: 'guard' }, { kind: 'simple' }, { kind: 'shared', probability: 0.9 }] as const)
      for (let value = 0.5; value < 1.5; value += 0.01) {
        const due = decide(value, 0.1, limits, rule);
        expect(decideByProbability(due.probability, value <= 1, rule as DecisionRule)).toEqual(due);
      }
  });
});
