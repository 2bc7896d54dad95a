/** Sweeps of Jacobi's method: each squares what is left, so six would do. */
const SWEEPS = 30;
/** Products of inertia below this share of the first moment are nothing. */
const NOTHING = 1e-15;
const PLANES = [
  [0, 1],
  [0, 2],
  [1, 2],
] as const;

/** Inertia along the axes along which it has no products. */
export interface PrincipalAxes {
  /** mm^2, in the order of the axes. */
  readonly moments: Float64Array;
  /** Row-major, 3 x 3, a turn: row k is axis k in the body's frame. */
  readonly axes: Float64Array;
}

/**
 * Principal axes of a symmetric tensor xx, yy, zz, xy, xz, yz, by Jacobi's method (Golub and Van Loan, Matrix Computations, section 8.5).
 * Square roots and quotients alone: the same bits in every engine.
 */
export function principalAxes([a, b, c, d, e, f]: Float64Array): PrincipalAxes {
  const m = Float64Array.of(a, d, e, d, b, f, e, f, c);
  const axes = Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1);
  for (let sweep = 0; sweep < SWEEPS; sweep++)
    for (const [i, j] of PLANES) {
      const product = m[3 * i + j];
      if (Math.abs(product) < NOTHING * a) continue;
      const half = (m[4 * j] - m[4 * i]) / (2 * product);
      const tan = (half < 0 ? -1 : 1) / (Math.abs(half) + Math.sqrt(half * half + 1));
      const cos = 1 / Math.sqrt(tan * tan + 1);
      for (let k = 0; k < 3; k++) turn(m, 3 * k + i, 3 * k + j, cos, tan * cos);
      for (let k = 0; k < 3; k++) turn(m, 3 * i + k, 3 * j + k, cos, tan * cos);
      for (let k = 0; k < 3; k++) turn(axes, 3 * i + k, 3 * j + k, cos, tan * cos);
    }
  return { moments: Float64Array.of(m[0], m[4], m[8]), axes };
}

function turn(m: Float64Array, p: number, q: number, cos: number, sin: number): void {
  const [x, y] = [m[p], m[q]];
  m[p] = cos * x - sin * y;
  m[q] = sin * x + cos * y;
}
