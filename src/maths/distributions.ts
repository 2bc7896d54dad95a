// Whoever imports this file must find the declarations too, in each of the three type checks.
// eslint-disable-next-line @typescript-eslint/triple-slash-reference
/// <reference path="./jstat.d.ts" />
import jstat from 'jstat';
import { incompleteBeta, incompleteGamma, lnBeta, lnGamma } from './special.ts';

const { jStat } = jstat;

/*
 * Distributions with good tails: every survival function is computed as such. jstat gives the quantiles' starting values only; its own
 * are good to 1e-8, its upper tails lose their digits, its ends are finite (normal.inv(0) = -141). df, a, b > 0 throughout; NaN in gives
 * NaN out.
 */

interface Tails {
  readonly lower: number;
  readonly upper: number;
}

const normalTails = (z: number): Tails => {
  const { lower, upper } = incompleteGamma(0.5, (z * z) / 2);
  return z > 0 ? { lower: 0.5 + lower / 2, upper: upper / 2 } : { lower: upper / 2, upper: 0.5 + lower / 2 };
};
const chiSquareTails = (x: number, df: number): Tails => incompleteGamma(df / 2, x / 2);
const tTails = (t: number, df: number): Tails => {
  const { lower } = incompleteBeta(df / 2, 0.5, df / (df + t * t));
  return t > 0 ? { lower: 1 - lower / 2, upper: lower / 2 } : { lower: lower / 2, upper: 1 - lower / 2 };
};
const fTails = (f: number, d1: number, d2: number): Tails =>
  f > 0 ? incompleteBeta(d1 / 2, d2 / 2, (d1 * f) / (d1 * f + d2)) : { lower: 0, upper: 1 };

export const normalCdf = (z: number): number => normalTails(z).lower;
export const normalSurvival = (z: number): number => normalTails(z).upper;
export const chiSquareCdf = (x: number, df: number): number => chiSquareTails(x, df).lower;
export const chiSquareSurvival = (x: number, df: number): number => chiSquareTails(x, df).upper;
export const tCdf = (t: number, df: number): number => tTails(t, df).lower;
export const tSurvival = (t: number, df: number): number => tTails(t, df).upper;
export const fCdf = (f: number, d1: number, d2: number): number => fTails(f, d1, d2).lower;
export const fSurvival = (f: number, d1: number, d2: number): number => fTails(f, d1, d2).upper;
export const betaCdf = (x: number, a: number, b: number): number => incompleteBeta(a, b, x).lower;
export const betaSurvival = (x: number, a: number, b: number): number => incompleteBeta(a, b, x).upper;

/** z with normalCdf(z) = p. */
export const normalQuantile = (p: number): number =>
  quantile(
    p,
    -Infinity,
    Infinity,
    jStat.normal.inv(p, 0, 1),
    normalTails,
    (z) => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI),
  );

/** x with chiSquareCdf(x, df) = p. */
export const chiSquareQuantile = (p: number, df: number): number =>
  quantile(
    p,
    0,
    Infinity,
    jStat.chisquare.inv(p, df),
    (x) => chiSquareTails(x, df),
    (x) => Math.exp((df / 2 - 1) * Math.log(x / 2) - x / 2 - lnGamma(df / 2)) / 2,
  );

/** t with tCdf(t, df) = p. */
export const tQuantile = (p: number, df: number): number =>
  quantile(
    p,
    -Infinity,
    Infinity,
    jStat.studentt.inv(p, df),
    (t) => tTails(t, df),
    (t) => Math.exp((-(df + 1) / 2) * Math.log1p((t * t) / df) - lnBeta(df / 2, 0.5)) / Math.sqrt(df),
  );

/** f with fCdf(f, d1, d2) = p. */
export const fQuantile = (p: number, d1: number, d2: number): number => {
  const x = betaQuantile(p, d1 / 2, d2 / 2);
  return (d2 * x) / (d1 * (1 - x));
};

/** x with betaCdf(x, a, b) = p. */
export const betaQuantile = (p: number, a: number, b: number): number =>
  quantile(
    p,
    0,
    1,
    jStat.beta.inv(p, a, b),
    (x) => incompleteBeta(a, b, x),
    (x) => Math.exp((a - 1) * Math.log(x) + (b - 1) * Math.log1p(-x) - lnBeta(a, b)),
  );

/** Newton's method on the smaller tail's logarithm from `start`, kept inside the bracket that it narrows. */
function quantile(
  p: number,
  lowest: number,
  highest: number,
  start: number,
  tails: (x: number) => Tails,
  density: (x: number) => number,
): number {
  if (!(p >= 0 && p <= 1)) return NaN;
  if (p === 0) return lowest;
  if (p === 1) return highest;
  let low = lowest;
  let high = highest;
  let x = start > lowest && start < highest ? start : middle(low, high);
  for (let i = 0; i < 200; i++) {
    const { lower, upper } = tails(x);
    if (p < 0.5 ? lower < p : upper > 1 - p) low = x;
    else high = x;
    const step =
      p < 0.5 ? (lower * Math.log(lower / p)) / density(x) : (upper * Math.log((1 - p) / upper)) / density(x);
    let next = x - step;
    if (!(next > low && next < high)) next = middle(low, high);
    if (Math.abs(next - x) <= 1e-15 * Math.abs(x)) return next;
    x = next;
  }
  return x;
}

function middle(low: number, high: number): number {
  if (low === -Infinity && high === Infinity) return 0;
  if (low === -Infinity) return high < 0 ? 2 * high : high - 1;
  if (high === Infinity) return low > 0 ? 2 * low : low + 1;
  return (low + high) / 2;
}

/**
 * P(X > x) for a noncentral chi-square X: what a chi-square test sees of a deviation. A Poisson mixture of central ones
 * (Johnson, Kotz and Balakrishnan 1995, 29.3).
 *
 * @param lambda  Noncentrality, 0 or more.
 */
export function noncentralChiSquareSurvival(x: number, df: number, lambda: number): number {
  const half = lambda / 2;
  const weight = (j: number): number =>
    Math.exp(-half + (half > 0 ? j * Math.log(half) : j === 0 ? 0 : -Infinity) - lnGamma(j + 1));
  const centre = Math.floor(half);
  let sum = 0;
  for (let j = centre; j >= 0; j--) {
    const w = weight(j);
    sum += w * chiSquareSurvival(x, df + 2 * j);
    if (w < 1e-18) break;
  }
  for (let j = centre + 1; ; j++) {
    const w = weight(j);
    sum += w * chiSquareSurvival(x, df + 2 * j);
    if (w < 1e-18) return sum;
  }
}

/** The noncentrality at which a chi-square test of size `alpha` rejects with probability `power`. */
export function noncentralityFor(power: number, df: number, alpha: number): number {
  const critical = chiSquareQuantile(1 - alpha, df);
  let [low, high] = [0, 1];
  while (noncentralChiSquareSurvival(critical, df, high) < power) high *= 2;
  for (let i = 0; i < 60; i++) {
    const mid = (low + high) / 2;
    if (noncentralChiSquareSurvival(critical, df, mid) < power) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}
