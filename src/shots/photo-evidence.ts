import { composed, turnedBack, type Camera, type Rigid } from '../geometry/camera.ts';
import type { Outline } from '../geometry/outline.ts';
import { baseFace, cardFromBody, uprightTurn, type Shot } from '../geometry/standing.ts';
import { cholesky, choleskyInverse } from '../maths/linear.ts';
import type { DieState, FitPhoto } from '../fit/die-state.ts';
import { photoRows, WIDTH } from '../fit/photo-rows.ts';
import type { Tau } from '../fit/stretches.ts';
import { bodyPose } from './pose.ts';
import { axesOf } from './axes.ts';
import { outlineInformation } from './information.ts';
import { nothingYet } from './greedy-plan.ts';

/** A measured photo, as a result tells of it. */
export interface EvidencePhoto {
  readonly shot: Shot;
  readonly camera: Camera;
  /** Lean of the camera, radians, and picture scale at the die, mm per px. */
  readonly lean: number;
  readonly scale: number;
  /** The fitted outline, [u, v] per point, px. */
  readonly model: ArrayLike<number>;
  /** Measured points, with outward normals and sigmas. */
  readonly points: ArrayLike<number>;
  readonly normals: ArrayLike<number>;
  readonly sigmas: ArrayLike<number>;
}

/** What the photos of a result say of its axes. */
export interface Evidence {
  readonly axes: readonly string[];
  /** Per photo and axis the share of the axis's information that this photo gives, 0 to 1; null where its pose was not found. */
  readonly shares: readonly (readonly number[] | null)[];
  /** Per photo, then per axis, then per point: by how much of its own length the axis moves the outline there, 0 to about 1. */
  readonly bearing: readonly (readonly Float32Array[] | null)[];
}

/** A pose is believed where it leaves the fitted outline within this many px, root mean square. */
const POSE_TOLERANCE = 0.35;

/**
 * Which photos speak for which axis.
 *
 * The variance of an axis is `a' C a` with `C = (sum of M_i)^-1`, M_i the information of photo i; so `c = C a` parts it among the
 * photos as `c' M_i c`. What beliefs add belongs to no photo, so that shares sum to a little less than 1.
 *
 * @param shape  The die as measured; its stands are not used.
 */
export function evidenceOf(shape: DieState, photos: readonly EvidencePhoto[], tau: Tau): Evidence {
  const axes = axesOf(shape);
  const found = photos.map((p) => {
    const pose = bodyPose(shape, p);
    return pose !== null && pose.misfit / p.scale < POSE_TOLERANCE ? placed(shape, p, pose.cameraFromBody) : null;
  });
  const parts = photos.map((p, i) => {
    const f = found[i];
    return f ? outlineInformation(f.state, f.photo, outlineOfPhoto(p), tau, null).matrix : null;
  });
  const { matrix: total, outward } = nothingYet(shape);
  const n = outward.length;
  for (const m of parts) if (m) for (let i = 0; i < total.length; i++) total[i]! += m[i]!;
  const l = cholesky(total, n, 0);
  const c = l && choleskyInverse(l, n);
  const toward = axes.map(({ row }) => (c ? times(c, row, n) : row));
  const variance = axes.map(({ row }, k) => row.reduce((s, v, i) => s + v * toward[k]![i]!, 0));
  return {
    axes: axes.map(({ name }) => name),
    shares: parts.map((m) => m && toward.map((t, k) => inner(t, times(m, t, n)) / variance[k]!)),
    bearing: photos.map((p, i) => {
      const f = found[i];
      return f
        ? bearingOf(
            f,
            outlineOfPhoto(p),
            axes.map((a) => a.row),
          )
        : null;
    }),
  };
}

interface Placed {
  readonly state: DieState;
  readonly photo: FitPhoto;
}

/** A photo whose card is where the die's pose puts it. */
function placed(shape: DieState, { camera, shot }: EvidencePhoto, cameraFromBody: Rigid): Placed {
  const stand = { x: 0, y: 0, yaw: 0 };
  const height = shape.distances[baseFace(shape.solid, shot.up)]!;
  const { rotation, shift } = cardFromBody(uprightTurn(shape.solid, shot), stand, height);
  const back = Float64Array.from({ length: 9 }, (_, i) => rotation[3 * (i % 3) + Math.floor(i / 3)]!);
  const from = turnedBack(rotation, shift);
  const bodyFromCard: Rigid = { rotation: back, shift: [-from[0], -from[1], -from[2]] };
  return {
    state: { ...shape, stands: [stand] },
    photo: { camera, cameraFromCard: composed(cameraFromBody, bodyFromCard), shot },
  };
}

const outlineOfPhoto = (p: EvidencePhoto): Outline => ({
  xy: Float64Array.from(p.points),
  normal: Float64Array.from(p.normals),
  sigma: Float64Array.from(p.sigmas),
  byTerm: new Float64Array(0),
  terms: 0,
});

/** How far the outline moves at each point when an axis grows by 1 mm, both its faces by half, in mm. */
function bearingOf({ state, photo }: Placed, outline: Outline, rows: readonly Float64Array[]): Float32Array[] {
  const { count, index, value, scale } = photoRows(state, photo, 0, outline, false);
  return rows.map((row) => {
    const norm = row.reduce((s, v) => s + v * v, 0);
    return Float32Array.from({ length: count }, (_, k) => {
      let s = 0;
      for (let p = k * WIDTH; p < (k + 1) * WIDTH; p++)
        if (index[p]! >= 0 && index[p]! < row.length) s += (value[p]! * row[index[p]!]!) / norm;
      return Math.abs(s * scale[k]!);
    });
  });
}

const times = (m: Float64Array, v: Float64Array, n: number): Float64Array =>
  Float64Array.from({ length: n }, (_, i) => {
    let s = 0;
    for (let j = 0; j < n; j++) s += m[i * n + j]! * v[j]!;
    return s;
  });
const inner = (a: Float64Array, b: Float64Array): number => a.reduce((s, v, i) => s + v * b[i]!, 0);
