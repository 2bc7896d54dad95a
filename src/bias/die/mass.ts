import type { Vec3 } from '../../geometry/vec.ts';
import { sphereMesh } from './support-mesh.ts';

/** Of a body of uniform material and mass 1. */
export interface MassProperties {
  /** mm^3. */
  readonly volume: number;
  /** Centre of mass, mm, frame of the balls. */
  readonly centre: Vec3;
  /** Inertia about the centre of mass, mm^2: xx, yy, zz, xy, xz, yz (products with their minus sign). */
  readonly inertia: Float64Array;
}

/**
 * Mass properties of the convex hull of `balls` ([x, y, z, r] each), summed over a mesh of its surface points in even directions.
 *
 * Chords cut off the rounding by 0.0006 of a radius; the centre of mass is good to 2e-4 mm.
 */
export function massProperties(balls: Float64Array): MassProperties {
  const { triangles } = sphereMesh();
  const { points: p } = surface(balls);
  let volume = 0;
  const first = [0, 0, 0];
  const second = new Float64Array(6);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const d = tripleProduct(p, a, b, c);
    volume += d / 6;
    for (let k = 0; k < 3; k++) first[k] += (d / 24) * (p[a + k] + p[b + k] + p[c + k]);
    for (let k = 0; k < 6; k++) {
      const [i, j] = PAIRS[k];
      const sum = (p[a + i] + p[b + i] + p[c + i]) * (p[a + j] + p[b + j] + p[c + j]);
      second[k] += (d / 120) * (sum + p[a + i] * p[a + j] + p[b + i] * p[b + j] + p[c + i] * p[c + j]);
    }
  }
  const centre: Vec3 = [first[0] / volume, first[1] / volume, first[2] / volume];
  const m = second.map((s, k) => s / volume - centre[PAIRS[k][0]] * centre[PAIRS[k][1]]);
  return { volume, centre, inertia: Float64Array.of(m[1] + m[2], m[0] + m[2], m[0] + m[1], -m[3], -m[4], -m[5]) };
}

/** Order of a symmetric matrix's six entries. */
const PAIRS = [
  [0, 0],
  [1, 1],
  [2, 2],
  [0, 1],
  [0, 2],
  [1, 2],
] as const;

/**
 * How the centre of mass follows the balls.
 *
 * @returns 12 numbers per ball: row-major 3 x 3 of d centre of mass / d ball's centre, then d centre of mass / d radius.
 */
export function centreGradient(balls: Float64Array): Float64Array {
  const { triangles, directions } = sphereMesh();
  const { points: p, owner } = surface(balls);
  const { volume, centre } = massProperties(balls);
  const out = new Float64Array(3 * balls.length);
  const n = [0, 0, 0];
  for (let t = 0; t < triangles.length; t += 3)
    for (let v = 0; v < 3; v++) {
      const at = triangles[t + v];
      const [a, b, c] = [3 * at, 3 * triangles[t + ((v + 1) % 3)], 3 * triangles[t + ((v + 2) % 3)]];
      n[0] = p[b + 1] * p[c + 2] - p[b + 2] * p[c + 1];
      n[1] = p[b + 2] * p[c] - p[b] * p[c + 2];
      n[2] = p[b] * p[c + 1] - p[b + 1] * p[c];
      const d = (p[a] * n[0] + p[a + 1] * n[1] + p[a + 2] * n[2]) / 24;
      const o = 12 * owner[at];
      for (let k = 0; k < 3; k++) {
        const lever = (p[a + k] + p[b + k] + p[c + k]) / 24 - centre[k] / 6;
        let along = d * directions[a + k];
        for (let j = 0; j < 3; j++) {
          out[o + 3 * k + j] += (n[j] * lever + (j === k ? d : 0)) / volume;
          along += n[j] * lever * directions[a + j];
        }
        out[o + 9 + k] += along / volume;
      }
    }
  return out;
}

/** Surface points in the mesh's directions and the index of the ball that each lies on. */
function surface(balls: Float64Array): { readonly points: Float64Array; readonly owner: Int32Array } {
  const { directions } = sphereMesh();
  const points = new Float64Array(directions.length);
  const owner = new Int32Array(directions.length / 3);
  for (let i = 0; i < points.length; i += 3) {
    const x = directions[i];
    const y = directions[i + 1];
    const z = directions[i + 2];
    let most = -Infinity;
    let o = 0;
    for (let q = 0; q < balls.length; q += 4) {
      const u = balls[q] * x + balls[q + 1] * y + balls[q + 2] * z + balls[q + 3];
      if (u > most) {
        most = u;
        o = q;
      }
    }
    points[i] = balls[o] + balls[o + 3] * x;
    points[i + 1] = balls[o + 1] + balls[o + 3] * y;
    points[i + 2] = balls[o + 2] + balls[o + 3] * z;
    owner[i / 3] = o / 4;
  }
  return { points, owner };
}

function tripleProduct(p: Float64Array, a: number, b: number, c: number): number {
  return (
    p[a] * (p[b + 1] * p[c + 2] - p[b + 2] * p[c + 1]) +
    p[a + 1] * (p[b + 2] * p[c] - p[b] * p[c + 2]) +
    p[a + 2] * (p[b] * p[c + 1] - p[b + 1] * p[c])
  );
}

/** Inverse of a symmetric 3 x 3 matrix in the order xx, yy, zz, xy, xz, yz. */
export function symmetricInverse([a, b, c, d, e, f]: Float64Array): Float64Array {
  const A = b * c - f * f;
  const B = a * c - e * e;
  const C = a * b - d * d;
  const D = e * f - d * c;
  const E = d * f - b * e;
  const F = d * e - a * f;
  const det = a * A + d * D + e * E;
  return Float64Array.of(A, B, C, D, E, F).map((x) => x / det);
}
