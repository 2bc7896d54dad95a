import { chiSquareQuantile, fSurvival } from '../maths/distributions.ts';
import { noncentralityOfF } from '../maths/noncentral-f.ts';
import { ALPHA, mean, type Estimate } from './moments.ts';
import type { Doubt } from './lot.ts';

/** Where the variance of a family of lengths (axes, corners, faces) of a lot comes from. */
export type Source =
  /** The mould: the same pattern on every die. */
  | 'pattern'
  /** The mould: the pattern of a cavity, beside the common one. */
  | 'cavity-pattern'
  /** The mould: the mean length differs from cavity to cavity. */
  | 'cavity-size'
  /** Finishing: whole dice become smaller, or rounder, with tumbling time. */
  | 'time'
  /** Moulding and finishing: whole dice are larger or smaller, beside what time explains. */
  | 'size'
  /** Finishing: what is left scatters from die to die, each length by itself. */
  | 'scatter'
  /** The measurement itself, drawn anew for each die. */
  | 'measurement';

export interface Component {
  readonly source: Source;
  /** mm^2; `measurement` is taken as known: its ends are its value. */
  readonly variance: Estimate;
  /** Its share of the sum of all. */
  readonly share: number;
  /** Chance of as much where there is none; null for what is taken as known. */
  readonly p: number | null;
}

export interface Components {
  readonly components: readonly Component[];
  /** Sum, mm^2: the variance of one length of one die of the lot. */
  readonly total: number;
  /** Cavities that took part; 0 where the dice bear no number, or all the same. */
  readonly cavities: number;
  /** Standard uncertainty that every die shares: it moves the lot's mean, and a pattern like it could be none of the mould's; mm. */
  readonly repeatedMean: number;
  readonly repeatedDifference: number;
  /** Deviation of each length from its die's mean, averaged over the lot: the pattern itself, mm. */
  readonly pattern: readonly number[];
}

/** What is known of the measurement, averaged over the dice: variances, mm^2. */
export interface Known {
  readonly ownMean: number;
  readonly ownDifference: number;
  readonly repeatedMean: number;
  readonly repeatedDifference: number;
}

/**
 * Variances of the measurement over a lot. What repeats with a card repeats on the dice of that card alone: with several cards a part of
 * it averages out and scatters instead.
 */
export function knownOf(doubts: readonly Doubt[], cards: readonly (string | null)[]): Known {
  const n = doubts.length;
  const sizes = new Map<string | null, number>();
  for (const c of cards) sizes.set(c, (sizes.get(c) ?? 0) + 1);
  const shared = [...sizes.values()].reduce((s, m) => s + (m / n) ** 2, 0);
  const scattered = n > 1 ? ((1 - shared) * n) / (n - 1) : 0;
  const square = (of: keyof Doubt): number => doubts.reduce((s, d) => s + d[of] ** 2, 0) / n;
  return {
    ownMean: square('ownMean') + scattered * square('repeatedMean'),
    ownDifference: square('ownDifference') + scattered * square('repeatedDifference'),
    repeatedMean: shared * square('repeatedMean'),
    repeatedDifference: shared * square('repeatedDifference'),
  };
}

/**
 * Components of variance of a table of lengths, dice by names, each die complete, after its mean was taken out: analysis of variance with
 * the measurement's own variance taken off as known.
 *
 * Intervals at 95 %. Mould (the names and the cavities are all there are, no sample of more): by the noncentral F. Scatter and size: by
 * chi-square on their mean square, whose other parts are taken off; with Satterthwaite's degrees of freedom where two estimates meet.
 *
 * @param cavity  Of each die; cavities take part where every die has one.
 * @param time  Of each die; time takes part, as a line or parabola, where every die has one.
 * @returns Null with fewer than two dice (or than one more than there are cavities) or fewer than two names.
 */
export function components(
  table: readonly (readonly number[])[],
  cavity: readonly (number | null)[],
  time: readonly (number | null)[],
  known: Known,
): Components | null {
  const n = table.length;
  const k = table[0]?.length ?? 0;
  const groups = groupsOf(cavity);
  const c = groups.length;
  if (n - c < 1 || k < 2) return null;
  const dieMeans = table.map(mean);
  const rest = table.map((row, d) => row.map((v) => v - dieMeans[d]!));
  const average = (dice: readonly number[]): number[] =>
    Array.from({ length: k }, (_, a) => mean(dice.map((d) => rest[d]![a]!)));
  const pattern = average(table.map((_, d) => d));
  const cavityPatterns = groups.map(average);
  const sum = (values: readonly number[]): number => values.reduce((s, v) => s + v * v, 0);
  const within = {
    squares: groups.reduce(
      (s, g, i) => s + sum(g.flatMap((d) => rest[d]!.map((v, a) => v - cavityPatterns[i]![a]!))),
      0,
    ),
    df: (n - c) * (k - 1),
  };
  const ms = within.squares / within.df;
  const n0 = c > 1 ? (n - groups.reduce((s, g) => s + g.length ** 2, 0) / n) / (c - 1) : n;
  const found: Omit<Component, 'share'>[] = [];

  const error = ms / n + known.repeatedDifference;
  found.push({
    source: 'pattern',
    ...fixed(sum(pattern), k - 1, error, satterthwaite([ms / n, within.df], [known.repeatedDifference, Infinity]), 1),
  });
  if (c > 1) {
    const squaresOf = groups.reduce(
      (s, g, i) => s + g.length * sum(pattern.map((v, a) => cavityPatterns[i]![a]! - v)),
      0,
    );
    found.push({ source: 'cavity-pattern', ...fixed(squaresOf, (c - 1) * (k - 1), ms, within.df, n0) });
  }
  found.push(...sizes(dieMeans, groups, time, n0, ms / k + known.ownMean - known.ownDifference / k));
  found.push({ source: 'scatter', ...random(within.squares, within.df, known.ownDifference) });
  // One length carries the common part and what tells it from the others.
  const measured = known.ownMean + (known.ownDifference * (k - 1)) / k;
  found.push({ source: 'measurement', variance: { value: measured, low: measured, high: measured }, p: null });

  // A pattern of k lengths that sum to zero has k - 1 degrees of freedom: a single length carries that much of it.
  const weight = (s: Source): number => (s === 'pattern' || s === 'cavity-pattern' ? (k - 1) / k : 1);
  const total = found.reduce((s, f) => s + weight(f.source) * f.variance.value, 0);
  return {
    components: found.map((f) => ({
      ...f,
      share: total > 0 ? (weight(f.source) * f.variance.value) / total : 0,
    })),
    total,
    cavities: c > 1 ? c : 0,
    repeatedMean: Math.sqrt(known.repeatedMean),
    repeatedDifference: Math.sqrt(known.repeatedDifference),
    pattern,
  };
}

/** Dice by cavity where each has one and there are two or more; else all in one group. */
export function groupsOf(cavity: readonly (number | null)[]): readonly (readonly number[])[] {
  const groups = new Map<number, number[]>();
  cavity.forEach((c, d) => {
    if (c !== null) groups.set(c, [...(groups.get(c) ?? []), d]);
  });
  if (groups.size < 2 || cavity.includes(null)) return [cavity.map((_, d) => d)];
  return [...groups].sort(([a], [b]) => a - b).map(([, dice]) => dice);
}

/**
 * Size from cavity to cavity, over time, and from die to die.
 *
 * @param known  Variance of a die's mean by the scatter of its lengths and by the measurement.
 */
function sizes(
  dieMeans: readonly number[],
  groups: readonly (readonly number[])[],
  time: readonly (number | null)[],
  n0: number,
  known: number,
): Omit<Component, 'share'>[] {
  const n = dieMeans.length;
  const inGroups = (x: readonly number[]): number[] => {
    const out = [...x];
    for (const g of groups) {
      const m = mean(g.map((d) => x[d]!));
      for (const d of g) out[d] = x[d]! - m;
    }
    return out;
  };
  const rest = inGroups(dieMeans);
  const courses = timeCourses(time, n - groups.length).map(inGroups);
  const explained = explainedSquares(rest, courses);
  const df = n - groups.length - explained.df;
  const ss = rest.reduce((s, v) => s + v * v, 0) - explained.squares;
  const out: Omit<Component, 'share'>[] = [];
  if (groups.length > 1) {
    const all = mean(dieMeans);
    const between = groups.reduce((s, g) => s + g.length * (mean(g.map((d) => dieMeans[d]!)) - all) ** 2, 0);
    out.push({ source: 'cavity-size', ...fixed(between, groups.length - 1, ss / df, df, n0) });
  }
  if (explained.df > 0)
    out.push({ source: 'time', ...fixed(explained.squares, explained.df, ss / df, df, n / explained.df) });
  out.push({ source: 'size', ...random(ss, df, Math.max(0, known)) });
  return out;
}

/** Time and its square, about their middle; none where a die has no time, and never so many that no degree of freedom is left. */
function timeCourses(time: readonly (number | null)[], free: number): number[][] {
  if (time.includes(null)) return [];
  const t = time as readonly number[];
  const [m, times] = [mean(t), new Set(t).size];
  const reach = Math.max(...t.map((v) => Math.abs(v - m)));
  const degrees = Math.min(2, times - 1, free - 2);
  return Array.from({ length: Math.max(0, degrees) }, (_, i) => t.map((v) => ((v - m) / reach) ** (i + 1)));
}

/** Sum of squares that a few columns explain together (Gram and Schmidt); columns that repeat others are left out. */
function explainedSquares(
  y: readonly number[],
  columns: readonly (readonly number[])[],
): { squares: number; df: number } {
  const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((s, v, i) => s + v * b[i]!, 0);
  const basis: number[][] = [];
  for (const column of columns) {
    let left = [...column];
    for (const b of basis) left = left.map((v, i) => v - dot(left, b) * b[i]!);
    const size = Math.sqrt(dot(left, left));
    if (size > 1e-9) basis.push(left.map((v) => v / size));
  }
  return { squares: basis.reduce((s, b) => s + dot(y, b) ** 2, 0), df: basis.length };
}

/** Variance of fixed effects whose sum of squares is `ss`: E(ss / df1) = error + size * variance. */
function fixed(ss: number, df1: number, error: number, df2: number, size: number): { variance: Estimate; p: number } {
  const f = ss / df1 / error;
  if (!(error > 0))
    return { variance: { value: ss / df1 / size, low: ss / df1 / size, high: ss / df1 / size }, p: ss > 0 ? 0 : 1 };
  const of = (lambda: number): number => (lambda * error) / (df1 * size);
  return {
    variance: {
      value: Math.max(0, (ss / df1 - error) / size),
      low: of(noncentralityOfF(1 - ALPHA / 2, f, df1, df2)),
      high: of(noncentralityOfF(ALPHA / 2, f, df1, df2)),
    },
    p: fSurvival(f, df1, df2),
  };
}

/** Variance of random effects: E(ss / df) = variance + known. */
function random(ss: number, df: number, known: number): { variance: Estimate; p: number | null } {
  const part = (v: number): number => Math.max(0, v - known);
  return {
    variance: {
      value: part(ss / df),
      low: part(ss / chiSquareQuantile(1 - ALPHA / 2, df)),
      high: part(ss / chiSquareQuantile(ALPHA / 2, df)),
    },
    p: null,
  };
}

/** Degrees of freedom of a sum of mean squares (Satterthwaite 1946). */
function satterthwaite(...parts: readonly (readonly [number, number])[]): number {
  const sum = parts.reduce((s, [v]) => s + v, 0);
  const spread = parts.reduce((s, [v, df]) => s + (v * v) / df, 0);
  return spread > 0 ? (sum * sum) / spread : 1e6;
}
