import { solve } from './linear.ts';

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
  const n = from.length / 2;
  const a = centring(from);
  const b = centring(to);
  const m = new Float64Array(64);
  const v = new Float64Array(8);
  for (let i = 0; i < n; i++) {
    const x = (from[2 * i]! - a.x) * a.s;
    const y = (from[2 * i + 1]! - a.y) * a.s;
    const u = (to[2 * i]! - b.x) * b.s;
    const w = (to[2 * i + 1]! - b.y) * b.s;
    const rows = [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -w * x, -w * y]]; // prettier-ignore
    rows.forEach((row, k) => {
      for (let p = 0; p < 8; p++) {
        v[p] = v[p]! + row[p]! * (k === 0 ? u : w);
        for (let q = 0; q < 8; q++) m[8 * p + q] = m[8 * p + q]! + row[p]! * row[q]!;
      }
    });
  }
  const h = solve(m, v, 8);
  if (!h || h.some((t) => !Number.isFinite(t))) return null;
  // Undo the centring: T_b^-1 H T_a.
  const [h0, h1, h2, h3, h4, h5, h6, h7] = h as unknown as [number, number, number, number, number, number, number, number];
  const rowA = (p: number, q: number, r: number): [number, number, number] => [p * a.s, q * a.s, r - a.s * (p * a.x + q * a.y)];
  const r0 = rowA(h0, h1, h2);
  const r1 = rowA(h3, h4, h5);
  const r2 = rowA(h6, h7, 1);
  const out = new Float64Array(9);
  for (let k = 0; k < 3; k++) {
    out[k] = r0[k]! / b.s + b.x * r2[k]!;
    out[3 + k] = r1[k]! / b.s + b.y * r2[k]!;
    out[6 + k] = r2[k]!;
  }
  return Math.abs(out[8]!) < 1e-12 ? null : out.map((t) => t / out[8]!);
}

function centring(p: ArrayLike<number>): { x: number; y: number; s: number } {
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

export function mapped(h: Homography, x: number, y: number): readonly [number, number] {
  const w = h[6]! * x + h[7]! * y + h[8]!;
  return [(h[0]! * x + h[1]! * y + h[2]!) / w, (h[3]! * x + h[4]! * y + h[5]!) / w];
}
