import { chiSquareQuantile, chiSquareSurvival, fQuantile, fSurvival } from '../maths/distributions.ts';
import { ALPHA, mean, ranks, squares, variance, type Estimate } from './moments.ts';

/** Analysis of variance of groups of values, one way. */
export interface OneWay {
  readonly between: { readonly squares: number; readonly df: number; readonly meanSquare: number };
  readonly within: { readonly squares: number; readonly df: number; readonly meanSquare: number };
  readonly f: number;
  /** Chance of an F as large where all groups have one mean. */
  readonly p: number;
  /** The size of group that takes part in the expected mean square between; the common size where all are alike. */
  readonly groupSize: number;
}

/** @param groups  Two or more with values, one of them with two or more; otherwise null. */
export function oneWay(groups: readonly (readonly number[])[]): OneWay | null {
  const filled = groups.filter((g) => g.length > 0);
  const n = filled.reduce((s, g) => s + g.length, 0);
  const k = filled.length;
  if (k < 2 || n <= k) return null;
  const all = mean(filled.flat());
  const ssb = filled.reduce((s, g) => s + g.length * (mean(g) - all) ** 2, 0);
  const ssw = filled.reduce((s, g) => s + squares(g), 0);
  const between = { squares: ssb, df: k - 1, meanSquare: ssb / (k - 1) };
  const within = { squares: ssw, df: n - k, meanSquare: ssw / (n - k) };
  const f = between.meanSquare / within.meanSquare;
  const groupSize = (n - filled.reduce((s, g) => s + g.length ** 2, 0) / n) / (k - 1);
  return { between, within, f, p: fSurvival(f, k - 1, n - k), groupSize };
}

/** Components of variance of the random model value = mean + group + rest. */
export interface RandomEffects {
  /** Variance between groups, by equating mean squares to their expectations; interval of Williams (1962) and Tukey. */
  readonly between: Estimate;
  /** Variance within groups; chi-square interval, exact. */
  readonly within: Estimate;
  /** between / within, and between / (between + within): intervals by F, exact for groups of one size. */
  readonly ratio: Estimate;
  readonly intraclass: Estimate;
}

/**
 * Source: Searle, Casella and McCulloch, Variance Components (1992), chapter 3; Montgomery, Design and Analysis of Experiments,
 * "The random effects model". A component below zero is given as 0; its interval may then be [0, 0].
 */
export function randomEffects({ between, within, f, groupSize: n }: OneWay): RandomEffects {
  const [d1, d2] = [between.df, within.df];
  const [fHigh, fLow] = [fQuantile(1 - ALPHA / 2, d1, d2), fQuantile(ALPHA / 2, d1, d2)];
  const [chiHigh, chiLow] = [chiSquareQuantile(1 - ALPHA / 2, d1), chiSquareQuantile(ALPHA / 2, d1)];
  const above = (x: number): number => Math.max(0, x);
  const ratio = { value: above((f - 1) / n), low: above((f / fHigh - 1) / n), high: above((f / fLow - 1) / n) };
  const share = (r: number): number => r / (1 + r);
  return {
    between: {
      value: above((between.meanSquare - within.meanSquare) / n),
      low: above((between.squares * (1 - fHigh / f)) / (n * chiHigh)),
      high: above((between.squares * (1 - fLow / f)) / (n * chiLow)),
    },
    within: {
      value: within.meanSquare,
      low: within.squares / chiSquareQuantile(1 - ALPHA / 2, d2),
      high: within.squares / chiSquareQuantile(ALPHA / 2, d2),
    },
    ratio,
    intraclass: { value: share(ratio.value), low: share(ratio.low), high: share(ratio.high) },
  };
}

/** A test of whether groups differ; `p` is the chance of as much where they do not. */
export interface GroupTest {
  readonly statistic: number;
  readonly df1: number;
  readonly df2: number | null;
  readonly p: number;
}

/** Welch's test of equal means without equal spreads (Welch 1951); null where a group has fewer than two values or no spread. */
export function welch(groups: readonly (readonly number[])[]): GroupTest | null {
  const k = groups.length;
  if (k < 2 || groups.some((g) => g.length < 2 || !(variance(g) > 0))) return null;
  const w = groups.map((g) => g.length / variance(g));
  const sum = w.reduce((s, v) => s + v, 0);
  const centre = groups.reduce((s, g, i) => s + w[i]! * mean(g), 0) / sum;
  const between = groups.reduce((s, g, i) => s + w[i]! * (mean(g) - centre) ** 2, 0) / (k - 1);
  const lambda = groups.reduce((s, g, i) => s + (1 - w[i]! / sum) ** 2 / (g.length - 1), 0);
  const statistic = between / (1 + (2 * (k - 2) * lambda) / (k * k - 1));
  const df2 = (k * k - 1) / (3 * lambda);
  return { statistic, df1: k - 1, df2, p: fSurvival(statistic, k - 1, df2) };
}

/** Kruskal and Wallis' test by ranks (1952), corrected for ties; null where all values are alike. */
export function kruskalWallis(groups: readonly (readonly number[])[]): GroupTest | null {
  const all = groups.flat();
  const n = all.length;
  if (groups.length < 2 || groups.some((g) => g.length === 0) || n < 3) return null;
  const { ranks: r, ties } = ranks(all);
  let at = 0;
  const sum = groups.reduce((s, g) => {
    const own = r.slice(at, at + g.length).reduce((p, q) => p + q, 0);
    at += g.length;
    return s + own ** 2 / g.length;
  }, 0);
  const correction = 1 - ties / (n ** 3 - n);
  if (!(correction > 0)) return null;
  const statistic = ((12 / (n * (n + 1))) * sum - 3 * (n + 1)) / correction;
  return { statistic, df1: groups.length - 1, df2: null, p: chiSquareSurvival(statistic, groups.length - 1) };
}

/** How much of the variance groups make: omega squared (Hays 1963), less biased than eta squared; 0 to 1. */
export function omegaSquared({ between, within }: OneWay): number {
  const total = between.squares + within.squares;
  return Math.max(0, (between.squares - between.df * within.meanSquare) / (total + within.meanSquare));
}
