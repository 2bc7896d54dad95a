import type { Residuals } from '../../src/maths/least-squares.ts';

/**
 * Jacobian of residuals by central differences, m x n row-major.
 *
 * @param step  Relative to each parameter; about the cube root of the rounding error. Parameters of 0 are moved by the step itself.
 */
export function centralDifferences(residuals: Residuals, x: Float64Array, m: number, step = 6e-6): Float64Array {
  const n = x.length;
  const out = new Float64Array(m * n);
  for (let j = 0; j < n; j++) {
    const h = step * (Math.abs(x[j]!) || 1);
    const [low, high] = [new Float64Array(m), new Float64Array(m)];
    const at = Float64Array.from(x);
    at[j] = x[j]! - h;
    residuals(at, low, null);
    at[j] = x[j]! + h;
    residuals(at, high, null);
    for (let k = 0; k < m; k++) out[k * n + j] = (high[k]! - low[k]!) / (2 * h);
  }
  return out;
}

/** Largest difference of two Jacobians, each column in units of its largest entry. */
export function jacobianError(a: Float64Array, b: Float64Array, n: number): number {
  let worst = 0;
  for (let j = 0; j < n; j++) {
    const column = (q: Float64Array): Float64Array => q.filter((_, k) => k % n === j);
    const [p, q] = [column(a), column(b)];
    const size = Math.max(...p.map(Math.abs)) || 1;
    worst = Math.max(worst, ...p.map((v, k) => Math.abs(v - q[k]!) / size));
  }
  return worst;
}
