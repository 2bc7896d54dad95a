/** Arithmetic mean; NaN of nothing. */
export const mean = (x: readonly number[]): number => x.reduce((s, v) => s + v, 0) / x.length;

/** Values that differ by less than this part of their mean are alike: it is what sums round by. */
const ALIKE = 1e-13;

/** Sum of squared deviations from the mean; exactly 0 where all values are alike. */
export function squares(x: readonly number[]): number {
  const m = mean(x);
  const sum = x.reduce((s, v) => s + (v - m) ** 2, 0);
  return sum > x.length * (ALIKE * m) ** 2 ? sum : 0;
}

/** Variance with n - 1; NaN of fewer than two. */
export const variance = (x: readonly number[]): number => (x.length > 1 ? squares(x) / (x.length - 1) : NaN);
export const deviation = (x: readonly number[]): number => Math.sqrt(variance(x));

/** A number with its interval at 95 %. */
export interface Estimate {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** One minus the confidence of every interval of this folder. */
export const ALPHA = 0.05;

/** Ranks from 1, ties by their middle; and the sum of t^3 - t over groups of ties. */
export function ranks(x: readonly number[]): { readonly ranks: readonly number[]; readonly ties: number } {
  const order = x.map((_, i) => i).sort((a, b) => x[a]! - x[b]!);
  const out = new Array<number>(x.length).fill(0);
  let ties = 0;
  for (let i = 0; i < order.length;) {
    let j = i;
    while (j < order.length && x[order[j]!] === x[order[i]!]) j++;
    for (let k = i; k < j; k++) out[order[k]!] = (i + 1 + j) / 2;
    ties += (j - i) ** 3 - (j - i);
    i = j;
  }
  return { ranks: out, ties };
}
