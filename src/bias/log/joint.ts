import { chiSquareSurvival, noncentralChiSquareSurvival, chiSquareQuantile } from '../../maths/distributions.ts';
import { cholesky, choleskyInverse, choleskySolve } from '../../maths/linear.ts';
import { TABLE_TEST, rollsNeeded } from '../meaning/meaning.ts';
import { NORMAL_95, type Interval, type Prediction } from '../meaning/prediction.ts';

/** The log against the shape's prediction, and what both say together. */
export interface Joint {
  /** How far the counts are from the prediction, its own doubt counted in. */
  readonly agreement: { readonly statistic: number; readonly df: number; readonly p: number };
  /** The same against even chances. */
  readonly even: { readonly statistic: number; readonly df: number; readonly p: number };
  /** How likely these many rolls are to tell the prediction from even chances. */
  readonly power: number;
  /** `agree`, `disagree`, or `cannot-tell` where the rolls are too few to tell the prediction from an even die. */
  readonly verdict: 'agree' | 'disagree' | 'cannot-tell';
  /** Chances from shape and rolls together. */
  readonly chances: readonly Interval[];
  /** Further rolls until the test can tell the prediction from even with the usual power; 0 if it can now, Infinity if both are the same. */
  readonly moreRolls: number;
}

/**
 * Shape and rolls together: a normal distribution of ln p from the shape, times the likelihood of the counts; its mode by Newton's method,
 * its width from the curvature there.
 *
 * @param counts  In the order of `prediction.names`.
 */
export function shapeAndRolls(prediction: Prediction, counts: ArrayLike<number>): Joint {
  const k = counts.length;
  const n = Array.from(counts).reduce((s, c) => s + c, 0);
  const agreement = misfit(prediction, counts, n);
  const flat = Array.from(counts, (c) => (c - n / k) ** 2 / (n / k)).reduce((s, x) => s + x, 0);
  const w2 = prediction.p.reduce((s, x) => s + (k * x - 1) ** 2, 0) / k;
  const critical = chiSquareQuantile(1 - TABLE_TEST.alpha, k - 1);
  const power = noncentralChiSquareSurvival(critical, k - 1, n * w2);
  const needed = w2 > 0 ? rollsNeeded(Math.sqrt(w2), k) : Infinity;
  const verdict = agreement.p < TABLE_TEST.alpha ? 'disagree' : power >= 0.5 ? 'agree' : 'cannot-tell';
  return {
    agreement,
    even: { statistic: flat, df: k - 1, p: chiSquareSurvival(flat, k - 1) },
    power,
    verdict,
    chances: posterior(prediction, counts, n),
    moreRolls: Math.max(0, needed - n),
  };
}

/** (counts / n - p)' (covariance of both)^-1 (counts / n - p) on all faces but the last. */
function misfit({ p, covariance }: Prediction, counts: ArrayLike<number>, n: number): Joint['agreement'] {
  const k = p.length;
  const m = k - 1;
  const c = new Float64Array(m * m);
  const spread = chanceCovariance(p, covariance);
  for (let i = 0; i < m; i++)
    for (let j = 0; j < m; j++) c[i * m + j] = spread[i * k + j] + ((i === j ? p[i] : 0) - p[i] * p[j]) / n;
  const off = Float64Array.from({ length: m }, (_, i) => counts[i] / n - p[i]);
  const solved = choleskySolve(cholesky(c, m)!, m, off);
  const statistic = off.reduce((s, x, i) => s + x * solved[i], 0);
  return { statistic, df: m, p: chiSquareSurvival(statistic, m) };
}

/** Covariance of the chances from that of their logarithms, the sum of chances kept. */
function chanceCovariance(p: Float64Array, covariance: Float64Array): Float64Array {
  const k = p.length;
  const slope = (i: number, a: number): number => p[i] * ((i === a ? 1 : 0) - p[a]);
  const half = new Float64Array(k * k);
  const out = new Float64Array(k * k);
  for (let i = 0; i < k; i++)
    for (let b = 0; b < k; b++) for (let a = 0; a < k; a++) half[i * k + b] += slope(i, a) * covariance[a * k + b];
  for (let i = 0; i < k; i++)
    for (let j = 0; j < k; j++) for (let b = 0; b < k; b++) out[i * k + j] += half[i * k + b] * slope(j, b);
  return out;
}

const NEWTON_STEPS = 50;

function posterior({ p, covariance }: Prediction, counts: ArrayLike<number>, n: number): Interval[] {
  const k = p.length;
  const precision = choleskyInverse(cholesky(covariance, k)!, k);
  const start = p.map(Math.log);
  let x: Float64Array = Float64Array.from(start);
  let chance: Float64Array = Float64Array.from(p);
  let curvature: Float64Array = precision;
  for (let step = 0; step < NEWTON_STEPS; step++) {
    const off = x.map((v, i) => v - start[i]);
    const gradient = Float64Array.from({ length: k }, (_, i) => {
      let s = n * chance[i] - counts[i];
      for (let j = 0; j < k; j++) s += precision[i * k + j] * off[j];
      return s;
    });
    curvature = precision.map((v, q) => {
      const [i, j] = [Math.floor(q / k), q % k];
      return v + n * ((i === j ? chance[i] : 0) - chance[i] * chance[j]);
    });
    const move = choleskySolve(cholesky(curvature, k)!, k, gradient);
    x = x.map((v, i) => v - move[i]);
    chance = softmax(x);
    if (Math.max(...move.map(Math.abs)) < 1e-12) break;
  }
  const spread = chanceCovariance(chance, choleskyInverse(cholesky(curvature, k)!, k));
  return Array.from(chance, (value, i) => {
    const reach = Math.exp((NORMAL_95 * Math.sqrt(spread[i * (k + 1)])) / value);
    return { value, low: value / reach, high: Math.min(1, value * reach) };
  });
}

function softmax(x: Float64Array): Float64Array {
  const top = Math.max(...x);
  const w = x.map((v) => Math.exp(v - top));
  const sum = w.reduce((s, v) => s + v, 0);
  return w.map((v) => v / sum);
}
