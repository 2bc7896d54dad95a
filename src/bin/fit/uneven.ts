import { baseFace } from '../../geometry/standing.ts';
import type { DieSolid } from '../../geometry/solid.ts';
import { cholesky, choleskyInverse, choleskySolve } from '../../maths/linear.ts';
import { WIDTH, type FaceShares } from './face-shares.ts';
import { trueShot, POSE_SIZE, type PoseRows, type TruePose } from '../../fit/pose.ts';

export interface UnevenBelief {
  /** How far a face may stray from the mean of all, mm, one standard deviation. */
  readonly face: number;
  /** Belief of the radius: mean and standard deviation, mm. */
  readonly radius: number;
  readonly radiusSd: number;
}

export interface UnevenFit {
  /** Changes of the pose (size, radius, x, y, yaw) and then of each face, mm or radians. */
  readonly change: Float64Array;
  /** Their covariance, row-major, `POSE_SIZE + faces` square. */
  readonly covariance: Float64Array;
  /** What the fit moves each point by, px along its normal. */
  readonly moved: Float64Array;
  /** Mean face distance, its standard uncertainty, and the radius with its own; mm. */
  readonly size: number;
  readonly sizeU: number;
  readonly radius: number;
  readonly radiusU: number;
}

/** Residual in sigmas at which a point's weight has fallen to a half, and rounds of reweighting. */
const CUT = 3;
const ROUNDS = 2;

/**
 * Faces that stray from a true die, from one outline, held to their mean by a belief: linear about the true die, robust.
 *
 * What the photo does not show stays at the mean. The base face is one of them: it lifts the whole die.
 */
export function unevenFit(
  solid: DieSolid,
  pose: TruePose,
  rows: PoseRows,
  shares: FaceShares,
  sigma: Float64Array,
  belief: UnevenBelief,
): UnevenFit | null {
  const faces = solid.labels.length;
  const n = POSE_SIZE + faces;
  const m = sigma.length;
  const design = designOf(solid, rows, shares);
  let change: Float64Array = new Float64Array(n);
  let factor: Float64Array | null = null;
  const moved = new Float64Array(m);
  for (let round = 0; round < ROUNDS; round++) {
    const a = new Float64Array(n * n);
    const g = new Float64Array(n);
    for (let k = 0; k < m; k++) {
      const r = rows.residual[k]!;
      const left = r - moved[k]!;
      const z = round === 0 ? 0 : left / (sigma[k]! * CUT);
      addRow(a, g, design, k, n, r, 1 / (sigma[k]! * sigma[k]! * (1 + z * z)));
    }
    for (let f = POSE_SIZE; f < n; f++) a[f * n + f]! += 1 / (belief.face * belief.face);
    const wr = 1 / (belief.radiusSd * belief.radiusSd);
    a[n + 1]! += wr;
    g[1]! += wr * (belief.radius - pose.radius);
    for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
    factor = cholesky(a, n, 1e-12);
    if (!factor) return null;
    change = choleskySolve(factor, n, g);
    for (let k = 0; k < m; k++) moved[k] = predicted(design, k, change);
  }
  const covariance = choleskyInverse(factor!, n);
  const row = new Float64Array(n);
  row[0] = 1;
  for (let f = POSE_SIZE; f < n; f++) row[f] = 1 / faces;
  let [variance, mean] = [0, 0];
  for (let i = 0; i < n; i++) {
    mean += row[i]! * change[i]!;
    for (let j = 0; j < n; j++) variance += row[i]! * covariance[i * n + j]! * row[j]!;
  }
  return {
    change,
    covariance,
    moved,
    size: pose.size + mean,
    sizeU: Math.sqrt(variance),
    radius: Math.max(0, pose.radius + change[1]!),
    radiusU: Math.sqrt(covariance[n + 1]!),
  };
}

/** Most entries per point: the pose, its faces, the base face. */
const ROW = POSE_SIZE + WIDTH + 1;

interface Design {
  /** Entries that each point has; behind them the rest is unused. */
  readonly count: Int32Array;
  readonly index: Int32Array;
  readonly value: Float64Array;
}

/** Movement of each point, px outwards, by each unknown. */
function designOf(solid: DieSolid, rows: PoseRows, { face, share }: FaceShares): Design {
  const m = rows.residual.length;
  const count = new Int32Array(m);
  const index = new Int32Array(ROW * m);
  const value = new Float64Array(ROW * m);
  const base = POSE_SIZE + baseFace(solid, trueShot(solid).up);
  for (let k = 0; k < m; k++) {
    let o = ROW * k;
    const w = 1 / rows.scale[k]!;
    for (let p = 0; p < POSE_SIZE; p++, o++) {
      index[o] = p;
      value[o] = -rows.jacobian[POSE_SIZE * k + p]!;
    }
    for (let i = WIDTH * k; i < WIDTH * (k + 1) && face[i]! >= 0; i++, o++) {
      index[o] = POSE_SIZE + face[i]!;
      value[o] = share[i]! * w;
    }
    // The base face's distance is the height of the die's middle.
    index[o] = base;
    value[o] = rows.normal[3 * k + 2]! * w;
    count[k] = o + 1 - ROW * k;
  }
  return { count, index, value };
}

/** Adds a point to the lower triangle of `a` and to `g`. */
function addRow(
  a: Float64Array,
  g: Float64Array,
  { count, index, value }: Design,
  k: number,
  n: number,
  r: number,
  w: number,
): void {
  const from = ROW * k;
  const end = from + count[k]!;
  for (let p = from; p < end; p++) {
    const i = index[p]!;
    const v = w * value[p]!;
    g[i]! += v * r;
    a[i * n + i]! += v * value[p]!;
    for (let q = from; q < p; q++) {
      const j = index[q]!;
      const by = v * value[q]!;
      // The base face may be one of the point's own.
      if (j < i) a[i * n + j]! += by;
      else if (j > i) a[j * n + i]! += by;
      else a[i * n + i]! += 2 * by;
    }
  }
}

function predicted({ count, index, value }: Design, k: number, change: Float64Array): number {
  let s = 0;
  for (let p = ROW * k, end = p + count[k]!; p < end; p++) s += value[p]! * change[index[p]!]!;
  return s;
}

/** Moves of an outline's points that the faces' straying makes, px: for points of the same die other than those that were fitted. */
export function strayed(solid: DieSolid, rows: PoseRows, shares: FaceShares, fit: UnevenFit): Float64Array {
  const design = designOf(solid, rows, shares);
  return Float64Array.from(rows.residual, (_, k) => predicted(design, k, fit.change));
}
