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
  const add = (row: readonly number[], value: number): void => {
    for (let p = 0; p < 8; p++) {
      v[p]! += row[p]! * value;
      for (let q = 0; q < 8; q++) m[8 * p + q]! += row[p]! * row[q]!;
    }
  };
  for (let i = 0; i < from.length; i += 2) {
    const x = (from[i]! - a.x) * a.s;
    const y = (from[i + 1]! - a.y) * a.s;
    const u = (to[i]! - b.x) * b.s;
    const w = (to[i + 1]! - b.y) * b.s;
    add([x, y, 1, 0, 0, 0, -u * x, -u * y], u);
    add([0, 0, 0, x, y, 1, -w * x, -w * y], w);
  }
  // Three of four points on a line leave a pivot of rounding errors.
  const l = cholesky(m, 8, 1e-12);
  return l && uncentred([...choleskySolve(l, 8, v), 1], a, b);
}

interface Centring {
  readonly x: number;
  readonly y: number;
  readonly s: number;
}

/** `T_b^-1 H T_a`, or null where it sends the origin to infinity. */
function uncentred(h: readonly number[], a: Centring, b: Centring): Homography | null {
  const row = (k: number): readonly number[] => {
    const [p, q, r] = [h[3 * k]!, h[3 * k + 1]!, h[3 * k + 2]!];
    return [p * a.s, q * a.s, r - a.s * (p * a.x + q * a.y)];
  };
  const [r0, r1, r2] = [row(0), row(1), row(2)];
  const out = new Float64Array(9);
  for (let k = 0; k < 3; k++) {
    out[k] = r0[k]! / b.s + b.x * r2[k]!;
    out[3 + k] = r1[k]! / b.s + b.y * r2[k]!;
    out[6 + k] = r2[k]!;
  }
  return Math.abs(out[8]!) < 1e-12 ? null : out.map((t) => t / out[8]!);
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
  for (let i = 0; i < n; i++) d += Math.hypot(p[2 * i]! - x, p[2 * i + 1]! - y) / n;
  return { x, y, s: d > 0 ? Math.SQRT2 / d : 1 };
}

/** Where the map takes a point. */
export function mapped(h: Homography, x: number, y: number): readonly [number, number] {
  const w = h[6]! * x + h[7]! * y + h[8]!;
  return [(h[0]! * x + h[1]! * y + h[2]!) / w, (h[3]! * x + h[4]! * y + h[5]!) / w];
}
