import { tQuantile, tSurvival } from '../maths/distributions.ts';
import { failure, success, type Result } from '../result.ts';
import { ALPHA, mean, type Estimate } from './moments.ts';

/**
 * A straight line or a parabola through values over time, by least squares. Written in z = (time - centre) / scale, so that times far
 * from zero cost no digits.
 */
export interface FittedTrend {
  readonly degree: 1 | 2;
  readonly centre: number;
  readonly scale: number;
  /** Value = sum of coefficients times powers of z. */
  readonly coefficients: readonly number[];
  /** Of the coefficients, with the residual variance in it, row-major. */
  readonly covariance: readonly number[];
  readonly df: number;
  /** Residual standard deviation, in the unit of the values. */
  readonly sigma: number;
  /** Change per unit of time at the last time, with its interval. */
  readonly slope: Estimate;
  /** Of the highest coefficient being 0, two-sided. */
  readonly p: number;
  readonly from: number;
  readonly to: number;
}

/** Why no trend is fitted. */
export type TrendFault = { readonly code: 'few-values' | 'one-time'; readonly seen: number; readonly needed: number };

/** Bend taken in where its p is below this, and there are so many different times. */
export const BEND = { p: 0.01, times: 4 } as const;

/** The straight line, or the parabola where the values call for a bend. Times and values of one length. */
export function fittedTrend(time: readonly number[], value: readonly number[]): Result<FittedTrend, TrendFault> {
  const times = new Set(time).size;
  if (times < 2) return failure({ code: 'one-time', seen: times, needed: 2 });
  if (time.length < 3) return failure({ code: 'few-values', seen: time.length, needed: 3 });
  if (times >= BEND.times && time.length >= 6) {
    const bent = fit(time, value, 2);
    if (bent.p < BEND.p) return success(bent);
  }
  return success(fit(time, value, 1));
}

/** The trend's value at a time, and its standard uncertainty by the fit alone. */
export function trendAt(t: FittedTrend, time: number): { readonly value: number; readonly u: number } {
  const z = (time - t.centre) / t.scale;
  const row = t.coefficients.map((_, i) => z ** i);
  return { value: dot(row, t.coefficients), u: Math.sqrt(form(row, t.covariance)) };
}

/** A fit of given degree; time must hold more different values than `degree`. */
export function fit(time: readonly number[], value: readonly number[], degree: 1 | 2): FittedTrend {
  const [from, to] = [Math.min(...time), Math.max(...time)];
  const centre = mean(time);
  const scale = (to - from) / 2;
  const n = degree + 1;
  const rows = time.map((t) => Array.from({ length: n }, (_, i) => ((t - centre) / scale) ** i));
  const normal = Array.from({ length: n * n }, (_, k) =>
    rows.reduce((s, r) => s + r[Math.floor(k / n)]! * r[k % n]!, 0),
  );
  const inverse = inverted(normal, n);
  const right = Array.from({ length: n }, (_, i) => rows.reduce((s, r, k) => s + r[i]! * value[k]!, 0));
  const coefficients = right.map((_, i) => dot(inverse.slice(i * n, i * n + n), right));
  const df = time.length - n;
  const rest = rows.reduce((s, r, k) => s + (value[k]! - dot(r, coefficients)) ** 2, 0);
  const s2 = df > 0 ? rest / df : NaN;
  const covariance = inverse.map((v) => v * s2);
  const last = Array.from({ length: n }, (_, i) => (i === 0 ? 0 : (i * ((to - centre) / scale) ** (i - 1)) / scale));
  const slope = dot(last, coefficients);
  const half = df > 0 ? tQuantile(1 - ALPHA / 2, df) * Math.sqrt(form(last, covariance)) : NaN;
  const t = Math.abs(coefficients[degree]!) / Math.sqrt(covariance[n * n - 1]!);
  return {
    degree,
    centre,
    scale,
    coefficients,
    covariance,
    df,
    sigma: Math.sqrt(s2),
    slope: { value: slope, low: slope - half, high: slope + half },
    p: df > 0 ? 2 * tSurvival(t, df) : NaN,
    from,
    to,
  };
}

const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((s, v, i) => s + v * b[i]!, 0);
const form = (a: readonly number[], m: readonly number[]): number =>
  a.reduce((s, v, i) => s + v * dot(m.slice(i * a.length, (i + 1) * a.length), a), 0);

/** Inverse of a small symmetric positive definite matrix, by Gauss and Jordan. */
function inverted(m: readonly number[], n: number): number[] {
  const a = Array.from({ length: n }, (_, i) => [
    ...m.slice(i * n, i * n + n),
    ...Array.from({ length: n }, (_v, j) => (i === j ? 1 : 0)),
  ]);
  for (let i = 0; i < n; i++) {
    const pivot = a[i]![i]!;
    a[i] = a[i]!.map((v) => v / pivot);
    for (let k = 0; k < n; k++) {
      if (k === i) continue;
      const by = a[k]![i]!;
      a[k] = a[k]!.map((v, j) => v - by * a[i]![j]!);
    }
  }
  return a.flatMap((row) => row.slice(n));
}
