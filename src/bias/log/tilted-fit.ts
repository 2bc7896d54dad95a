import { cholesky, choleskySolve } from '../../maths/linear.ts';
import { likelihoodRatio, pearson, type TestResult } from './count-tests.ts';

/** Chances tilted by given causes: p_i ~ exp(sum of strength times feature_i), the strengths fitted to counts. */
export interface TiltedFit {
  readonly strengths: Float64Array;
  readonly p: Float64Array;
  /** What the causes leave unexplained. */
  readonly pearson: TestResult;
  readonly likelihoodRatio: TestResult;
}

/**
 * Maximum likelihood (which is maximum entropy) fit of an exponential family to counts (Jaynes 1978 for Wolf's dice).
 *
 * @param features  One array per cause, one entry per face.
 */
export function tiltedFit(counts: ArrayLike<number>, features: readonly ArrayLike<number>[]): TiltedFit {
  const k = counts.length;
  const m = features.length;
  const n = Array.from(counts).reduce((s, c) => s + c, 0);
  const seen = features.map((f) => Array.from(counts).reduce((s, c, i) => s + (c * f[i]) / n, 0));
  let strengths = new Float64Array(m);
  let p = new Float64Array(k).fill(1 / k);
  for (let step = 0; step < 60; step++) {
    const mean = features.map((f) => p.reduce((s, x, i) => s + x * f[i], 0));
    const spread = new Float64Array(m * m);
    for (let a = 0; a < m; a++)
      for (let b = 0; b < m; b++)
        spread[a * m + b] = p.reduce((s, x, i) => s + x * (features[a][i] - mean[a]) * (features[b][i] - mean[b]), 0);
    const factor = cholesky(spread, m);
    if (!factor) break;
    const move = choleskySolve(
      factor,
      m,
      Float64Array.from(seen, (s, a) => s - mean[a]),
    );
    strengths = strengths.map((s, a) => s + move[a]);
    const logs = Float64Array.from({ length: k }, (_, i) => features.reduce((s, f, a) => s + strengths[a] * f[i], 0));
    const w = logs.map(Math.exp);
    const sum = w.reduce((s, v) => s + v, 0);
    p = w.map((v) => v / sum);
    if (Math.max(...move.map(Math.abs)) < 1e-13) break;
  }
  const expected = p.map((x) => x * n);
  return { strengths, p, pearson: pearson(counts, expected, m), likelihoodRatio: likelihoodRatio(counts, expected, m) };
}
