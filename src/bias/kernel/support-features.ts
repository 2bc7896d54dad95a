import { dot, minus, type Vec3 } from '../../geometry/vec.ts';
import { meanDistance, solidFor, without, type DieShape } from '../die/die-shape.ts';
import { hullBalls, type Ball } from '../die/hull-balls.ts';
import { centreGradient, massProperties } from '../die/mass.ts';
import { kernelGrid } from '../die/symmetry.ts';

/** Height of the centre of mass over a table, in each of a kind's directions, in units of the mean face distance. */
export interface SupportFeatures {
  /** One per direction of {@link kernelGrid}. */
  readonly heights: Float64Array;
  /** d heights / d parameters, directions x (faces + corners), per mm; faces' distances first, then corners' radii. */
  readonly gradient: Float64Array | null;
}

/**
 * Support function of the body about its centre of mass. Trim, crowns and mark are left out (they have tables of their own).
 *
 * @param withGradient  At a true d20's or d8's corners the height has a kink; its gradient there is that of one of the sides.
 */
export function supportFeatures(shape: DieShape, withGradient: boolean): SupportFeatures {
  const whole = without(shape, 'trim');
  const list = hullBalls(whole);
  const flat = Float64Array.from(list.flatMap((b) => [...b.centre, b.radius]));
  const offset = shape.massOffset ?? [0, 0, 0];
  const c = massProperties(flat).centre;
  const centre: Vec3 = [c[0] + offset[0], c[1] + offset[1], c[2] + offset[2]];
  const { vectors } = kernelGrid(shape.kind).directions;
  const h = meanDistance(shape);
  const touching = vectors.map((v) => farthest(list, v));
  const heights = Float64Array.from(
    vectors,
    (v, d) => (dot(v, minus(touching[d].centre, centre)) + touching[d].radius) / h,
  );
  return { heights, gradient: withGradient ? gradientOf(shape, list, flat, touching, heights, h) : null };
}

function farthest(list: readonly Ball[], n: Vec3): Ball {
  let best = list[0];
  let most = -Infinity;
  for (const b of list) {
    const u = dot(b.centre, n) + b.radius;
    if (u > most) {
      most = u;
      best = b;
    }
  }
  return best;
}

function gradientOf(
  shape: DieShape,
  list: readonly Ball[],
  flat: Float64Array,
  touching: readonly Ball[],
  heights: Float64Array,
  h: number,
): Float64Array {
  const faces = shape.distances.length;
  const params = faces + shape.radii.length;
  const centre = centreJacobian(list, flat, faces, params);
  const { vectors } = kernelGrid(shape.kind).directions;
  const out = new Float64Array(vectors.length * params);
  vectors.forEach((v, d) => {
    const row = d * params;
    const b = touching[d];
    addBall(out, row, b, v, faces);
    out[row + faces + b.corner] += 1;
    for (let p = 0; p < params; p++) {
      for (let k = 0; k < 3; k++) out[row + p] -= v[k] * centre[k * params + p];
      if (p < faces) out[row + p] -= heights[d] / faces;
      out[row + p] /= h;
    }
  });
  return out;
}

/** Adds d (v . centre of `b`) / d parameters to the row of `out` at `row`. */
function addBall(out: Float64Array, row: number, b: Ball, v: Vec3, faces: number): void {
  for (let i = 0; i < 3; i++) {
    const along = v[0] * b.inverse[0][i] + v[1] * b.inverse[1][i] + v[2] * b.inverse[2][i];
    if (b.faces[i] >= 0) out[row + b.faces[i]] += along;
    out[row + faces + b.corner] -= along;
  }
}

/** d centre of mass / d parameters, 3 x params. */
function centreJacobian(list: readonly Ball[], flat: Float64Array, faces: number, params: number): Float64Array {
  const g = centreGradient(flat);
  const out = new Float64Array(3 * params);
  list.forEach((b, i) => {
    for (let k = 0; k < 3; k++) {
      const o = 12 * i + 3 * k;
      addBall(out, k * params, b, [g[o], g[o + 1], g[o + 2]], faces);
      out[k * params + faces + b.corner] += g[12 * i + 9 + k];
    }
  });
  return out;
}

/**
 * Sums of the heights over each class of directions, faces x classes: what the kernel multiplies.
 */
export function classSums(shape: DieShape, heights: Float64Array): Float64Array {
  const { classes } = kernelGrid(shape.kind);
  const faces = solidFor(shape).labels.length;
  const out = new Float64Array(faces * classes.names.length);
  for (let f = 0; f < faces; f++)
    for (let d = 0; d < heights.length; d++)
      out[f * classes.names.length + classes.of[f * heights.length + d]] += heights[d];
  return out;
}
