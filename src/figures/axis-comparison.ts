import { normalShare } from '../maths/normal.ts';

/** What the axes of a die say of each other. Lengths mm. */
export interface AxisComparison {
  /** Of each axis from the mean of all, and its standard uncertainty. */
  readonly deviations: readonly { readonly value: number; readonly u: number }[];
  /** The two axes furthest apart. */
  readonly longest: number;
  readonly shortest: number;
  readonly difference: number;
  readonly uDifference: number;
  /** Whether chance alone would seldom (in fewer than 5 of 100 true dice) set any two axes so far apart. */
  readonly shown: boolean;
}

/** How seldom, see `AxisComparison.shown`. */
export const SELDOM = 0.05;

/**
 * Compares axes with each other: what they share, such as the card's scale, cancels.
 *
 * The widest difference is picked out of many, so each pair gets its share of `SELDOM` (Bonferroni's bound, for a normal error).
 *
 * @param lengths     mm, at least one.
 * @param covariance  mm^2, in the same order.
 */
export function compareAxes(lengths: readonly number[], covariance: readonly (readonly number[])[]): AxisComparison {
  const n = lengths.length;
  const c = (i: number, j: number): number => covariance[i]![j]!;
  const deviations = fromTheirMean(lengths, covariance);
  const longest = lengths.indexOf(Math.max(...lengths));
  const shortest = lengths.indexOf(Math.min(...lengths));
  const difference = lengths[longest]! - lengths[shortest]!;
  const variance = c(longest, longest) + c(shortest, shortest) - 2 * c(longest, shortest);
  const uDifference = Math.sqrt(Math.max(0, variance));
  const pairs = (n * (n - 1)) / 2;
  const chance = difference === 0 ? 1 : 2 * pairs * normalShare(-difference / uDifference);
  return { deviations, longest, shortest, difference, uDifference, shown: chance < SELDOM };
}

/** Each value's distance from the mean of all, and its standard uncertainty; what they share cancels. */
export function fromTheirMean(
  values: readonly number[],
  covariance: readonly (readonly number[])[],
): readonly { readonly value: number; readonly u: number }[] {
  const c = (i: number, j: number): number => covariance[i]![j]!;
  const rowMean = values.map((_, i) => mean(values.map((_, j) => c(i, j))));
  const overall = mean(rowMean);
  const middle = mean(values);
  return values.map((value, i) => ({
    value: value - middle,
    u: Math.sqrt(Math.max(0, c(i, i) - 2 * rowMean[i]! + overall)),
  }));
}

const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
