import { describe, expect, test } from 'vitest';
import { exactCritical, exactTest, likelihoodRatio, pearson } from '../src/bias/log/count-tests.ts';
import { concentration, lnEvidence, sequentialPlan } from '../src/bias/log/evidence.ts';
import { rollsForNamedFace, rollsNeeded } from '../src/bias/meaning/meaning.ts';
import { kolmogorovQuantile } from '../src/bias/log/order-tests.ts';
import { tiltedFit } from '../src/bias/log/tilted-fit.ts';
import { gibbsChances, solidAngleChances } from '../src/bias/die/closed-forms.ts';
import { bar, barDeviance, BUDDEN } from '../src/cli/published-bars.ts';
import { WELDON, WOLF } from './support/published-throws.ts';

const even = (counts: readonly number[]): number[] =>
  counts.map(() => counts.reduce((s, c) => s + c, 0) / counts.length);
const AXIS = [1, 1, -2, -2, 1, 1];
const NUMBER_ORDER = [-2.5, -1.5, -0.5, 0.5, 1.5, 2.5];

describe("Wolf's dice", () => {
  // Jaynes 1978 quotes X^2 of about 271 and a residual of 9.375 (from memory); the digits were computed with SciPy from the counts.
  test('white die against even, and what two causes leave', () => {
    expect(pearson(WOLF.white, even(WOLF.white)).statistic).toBeCloseTo(270.957, 3);
    expect(likelihoodRatio(WOLF.white, even(WOLF.white)).statistic).toBeCloseTo(270.769, 3);
    expect(pearson(WOLF.white, even(WOLF.white)).p / 1.744e-56).toBeCloseTo(1, 3);
    const fit = tiltedFit(WOLF.white, [AXIS, NUMBER_ORDER]);
    expect(fit.strengths[0]).toBeCloseTo(0.071776, 6);
    expect(fit.strengths[1]).toBeCloseTo(0.031724, 6);
    [0.16433, 0.169627, 0.141175, 0.145725, 0.186564, 0.192578].forEach((p, i) => expect(fit.p[i]).toBeCloseTo(p, 6));
    expect(fit.pearson.statistic).toBeCloseTo(9.3734, 4);
    expect(fit.likelihoodRatio.statistic).toBeCloseTo(9.3798, 4);
    expect(fit.pearson.df).toBe(3);
  });
  test('red die', () => {
    expect(pearson(WOLF.red, even(WOLF.red)).statistic).toBeCloseTo(94.189, 3);
    expect(likelihoodRatio(WOLF.red, even(WOLF.red)).statistic).toBeCloseTo(95.802, 3);
    expect(tiltedFit(WOLF.red, [AXIS, NUMBER_ORDER]).pearson.statistic).toBeCloseTo(18.132, 3);
  });
  test('Bayes factors for Dirichlet(1)', () => {
    expect(lnEvidence(WOLF.white, 1) / Math.LN10).toBeCloseTo(49.7751, 4);
    expect(lnEvidence(WOLF.red, 1) / Math.LN10).toBeCloseTo(11.7874, 4);
  });
});

test("Weldon's dice: X^2 against 1/3 and with the share fitted (Pearson 1900: 35.49, from memory)", () => {
  const pooled = [...WELDON.slice(0, 10), WELDON[10] + WELDON[11] + WELDON[12]];
  const choose = (k: number): number =>
    Array.from({ length: k }, (_, i) => (12 - i) / (i + 1)).reduce((a, b) => a * b, 1);
  const expected = (p: number): number[] => {
    const all = WELDON.map((_, k) => 26306 * choose(k) * p ** k * (1 - p) ** (12 - k));
    return [...all.slice(0, 10), all[10]! + all[11]! + all[12]!];
  };
  const hits = WELDON.reduce<number>((s, c, k) => s + c * k, 0);
  expect(WELDON.reduce<number>((s, c) => s + c, 0)).toBe(26306);
  expect(hits).toBe(106602);
  expect(pearson(pooled, expected(1 / 3)).statistic).toBeCloseTo(35.4943, 4);
  expect(pearson(pooled, expected(hits / 315672), 1).statistic).toBeCloseTo(8.1798, 4);
});

describe('tests of short logs', () => {
  // Sizes from a full enumeration of all outcomes (SciPy).
  test.each([
    [4, 8, 8, 0.03357],
    [4, 20, 8, 0.041518],
    [6, 12, 12, 0.032887],
    [6, 30, 11.2, 0.048479],
    [8, 16, 15, 0.037668],
  ])('exact critical value for %i faces and %i rolls', (k, n, statistic, size) => {
    const found = exactCritical(k, n, 0.05);
    expect(found.statistic).toBeCloseTo(statistic, 10);
    expect(Math.abs(found.size - size)).toBeLessThan(1e-6);
  });
  // A worked example found in a statistics forum thread: 60 rolls.
  const counts = [1, 10, 10, 10, 10, 19];
  test('60 rolls', () => {
    expect(pearson(counts, even(counts)).statistic).toBeCloseTo(16.2, 12);
    expect(pearson(counts, even(counts)).p).toBeCloseTo(0.0062957, 7);
    expect(likelihoodRatio(counts, even(counts)).statistic).toBeCloseTo(19.7853, 4);
  });
  test('drawn logs agree with the exact sum', () => {
    const p = counts.map(() => 1 / 6);
    const exact = exactTest(counts, p, 1)!;
    // Chances a hair off even leave the sum over all outcomes and are drawn.
    const drawn = exactTest(
      counts,
      p.map((x, i) => x * (1 + (i % 2 === 0 ? 1e-9 : -1e-9))),
      1,
    )!;
    expect(exact.method).toBe('exact');
    expect(drawn.method).toBe('drawn');
    expect(Math.abs(drawn.p - exact.p)).toBeLessThan(4 * drawn.u);
  });
  test('evidence for several priors', () => {
    const found = [1, 5, 20, 100].map((a) => lnEvidence(counts, a));
    [2.708008, 3.200506, 1.767974, 0.501839].forEach((e, i) => expect(found[i]).toBeCloseTo(e, 6));
    expect(concentration(6, 0.1)).toBeCloseTo(83.2, 1);
    expect(concentration(6, 0.05)).toBeCloseTo(333.2, 1);
  });
});

describe('numbers of rolls', () => {
  test.each([
    [6, 0.3, 143],
    [6, 0.1, 1283],
    [6, 0.05, 5132],
    [6, 0.03, 14253],
    [6, 0.02, 32070],
    [6, 0.01, 128277],
    [20, 0.3, 229],
    [20, 0.1, 2056],
    [20, 0.05, 8223],
    [20, 0.03, 22840],
    [20, 0.02, 51389],
    [20, 0.01, 205554],
  ])('d%i with w %f', (k, w, rolls) => expect(Math.abs(rollsNeeded(w, k) - rolls)).toBeLessThan(1));
  test.each([
    [1.1, 6, 4015],
    [1.1, 20, 15328],
    [1.2, 20, 3932],
  ])('one named face %f times as likely on a d%i', (factor, k, rolls) => {
    expect(Math.abs(rollsForNamedFace(factor, k) - rolls)).toBeLessThan(1);
  });
  test("Wald's sequential test of one face", () => {
    const plan = sequentialPlan(1 / 6, 1 / 5, 0.05, 0.1);
    expect(plan.upper).toBeCloseTo(2.890372, 6);
    expect(plan.lower).toBeCloseTo(-2.251292, 6);
    expect(plan.hit).toBeCloseTo(0.182322, 6);
    expect(plan.miss).toBeCloseTo(-0.040822, 6);
    expect(plan.meanLength[0]).toBeCloseTo(549.2, 1);
    // (0.9 ln A + 0.1 ln B) / (hit / 5 + 4 miss / 5) by hand from the four numbers above: 2.376206 / 0.0038067.
    expect(plan.meanLength[1]).toBeCloseTo(624.2, 1);
  });
  test("Kolmogorov's distribution", () => {
    expect(kolmogorovQuantile(0.05)).toBeCloseTo(1.358099, 6);
    expect(kolmogorovQuantile(0.01)).toBeCloseTo(1.627624, 6);
  });
});

describe("Budden's bars in closed form", () => {
  const ends = (p: readonly number[]): number => p[4]! + p[5]!;
  test('the Gibbs law fitted to them leaves 99.9', () => {
    expect(
      barDeviance(
        BUDDEN.ratio.map((r) => ends(gibbsChances(bar(r), 4.45))),
        1e-5,
      ),
    ).toBeCloseTo(99.9, 1);
  });
  test('the solid angle misses them by far', () => {
    expect(
      barDeviance(
        BUDDEN.ratio.map((r) => ends(solidAngleChances(bar(r)))),
        1e-5,
      ),
    ).toBeGreaterThan(1000);
  });
});
