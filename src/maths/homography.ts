import { hypot2 } from './hypot.ts';
import { cholesky, choleskySolve } from './linear.ts';

/** Plane-to-plane map, 9 numbers row-major, last one 1. */
export type Homography = Float64Array;

/**
 * Least-squares homography from point pairs (algebraic error with h33 = 1, coordinates centred and scaled first).
 *
 * @param from  [x, y] each; at least four, no three on a line.
 * @param to    [x, y] each.
 * @returns Null where the points do not determine it.
 */
export function homographyOf(from: ArrayLike<number>, to: ArrayLike<number>): Homography | null {
  const a = centring(from);
  const b = centring(to);
  const m = new Float64Array(64);
  const v = new Float64Array(8);
  for (let i = 0; i < from.length; i += 2) {
    const x = (from[i]! - a.x) * a.s;
    const y = (from[i + 1]! - a.y) * a.s;
    const u = (to[i]! - b.x) * b.s;
    const w = (to[i + 1]! - b.y) * b.s;
    fillRow(x, y, 0, u);
    addRow(m, v, u);
    fillRow(x, y, 3, w);
    addRow(m, v, w);
  }
  // Three of four points on a line leave a pivot of rounding errors.
  const l = cholesky(m, 8, 1e-12);
  return l && uncentred(choleskySolve(l, 8, v), a, b);
}

/** One equation's coefficients. */
const row = new Float64Array(8);

/** The equation of one coordinate: its three coefficients begin at `first`. */
function fillRow(x: number, y: number, first: 0 | 3, value: number): void {
  row.fill(0);
  row[first] = x;
  row[first + 1] = y;
  row[first + 2] = 1;
  row[6] = -value * x;
  row[7] = -value * y;
}

function addRow(m: Float64Array, v: Float64Array, value: number): void {
  for (let p = 0; p < 8; p++) {
    v[p]! += row[p]! * value;
    for (let q = 0; q < 8; q++) m[8 * p + q]! += row[p]! * row[q]!;
  }
}

interface Centring {
  readonly x: number;
  readonly y: number;
  readonly s: number;
}

/** `T_b^-1 H T_a`, the last number of H being 1, or null where it sends the origin to infinity. */
function uncentred(h: Float64Array, a: Centring, b: Centring): Homography | null {
  const out = new Float64Array(9);
  for (let k = 0; k < 3; k++) {
    const [p, q, r] = [h[3 * k]!, h[3 * k + 1]!, k < 2 ? h[3 * k + 2]! : 1];
    out[3 * k] = p * a.s;
    out[3 * k + 1] = q * a.s;
    out[3 * k + 2] = r - a.s * (p * a.x + q * a.y);
  }
  for (let k = 0; k < 3; k++) {
    out[k] = out[k]! / b.s + b.x * out[6 + k]!;
    out[3 + k] = out[3 + k]! / b.s + b.y * out[6 + k]!;
  }
  const last = out[8]!;
  if (Math.abs(last) < 1e-12) return null;
  for (let k = 0; k < 9; k++) out[k]! /= last;
  return out;
}

/** Mean point, and the scale that brings the mean distance from it to the square root of 2. */
function centring(p: ArrayLike<number>): Centring {
  const n = p.length / 2;
  let x = 0;
  let y = 0;
  for (let i = 0; i < n; i++) {
    x += p[2 * i]! / n;
    y += p[2 * i + 1]! / n;
  }
  let d = 0;
  for (let i = 0; i < n; i++) d += hypot2(p[2 * i]! - x, p[2 * i + 1]! - y) / n;
  return { x, y, s: d > 0 ? Math.SQRT2 / d : 1 };
}

/** Where the map takes a point. */
export function mapped(h: Homography, x: number, y: number): readonly [number, number] {
  const w = h[6]! * x + h[7]! * y + h[8]!;
  return [(h[0]! * x + h[1]! * y + h[2]!) / w, (h[3]! * x + h[4]! * y + h[5]!) / w];
}
