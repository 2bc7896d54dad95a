import { baseFace, uprightTurn } from '../geometry/standing.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { vec3At } from '../geometry/vec.ts';
import { cholesky, choleskyInverse, choleskySolve, solve } from '../maths/linear.ts';
import { binShot, POSE_SIZE, type PoseRows, type TruePose } from './bin-pose.ts';

/** Which faces move an outline's point, and by how much per mm: two at an edge, all that meet there at a corner. */
export interface FaceShares {
  /** `WIDTH` per point; -1 where unused. */
  readonly face: Int32Array;
  readonly share: Float64Array;
  /** Share of the radius. */
  readonly radius: Float64Array;
  /** Whether the point lies on an edge, and not at a corner. */
  readonly onEdge: Uint8Array;
  /** Stretch that it belongs to: an edge's or a corner's own number. */
  readonly stretch: Int32Array;
}
const WIDTH = 5;

/** What a solid's corners and edges are made of, worked out once. */
interface Places {
  /** Turn from the upright die to its body frame, row-major. */
  readonly upright: Float64Array;
  /** Per pair of corners (`a * corners + b`, a < b) the two faces of the edge between them, -1 where there is none. */
  readonly edge: Int32Array;
  /** Per corner the pseudo-inverse of the normals that meet there, a row per face: how the corner's middle follows its faces. */
  readonly inverse: readonly Float64Array[];
}
const places = new WeakMap<DieSolid, Places>();

function placesOf(solid: DieSolid): Places {
  let known = places.get(solid);
  if (known) return known;
  const corners = solid.corners.length;
  const edge = new Int32Array(2 * corners * corners).fill(-1);
  for (const { faces, corners: ends } of solid.edges)
    edge.set(faces, 2 * (Math.min(...ends) * corners + Math.max(...ends)));
  const inverse = solid.corners.map(({ faces }) => {
    const n = faces.map((f) => vec3At(solid.normals, f));
    const a = [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => n.reduce((s, v) => s + v[i]! * v[j]!, 0)));
    // Row per face: (N'N)^-1 n.
    return Float64Array.from(n.flatMap((v) => Array.from(solve(a, v, 3) ?? [0, 0, 0])));
  });
  known = { upright: uprightTurn(solid, binShot(solid)), edge, inverse };
  places.set(solid, known);
  return known;
}

/** How each point of an outline follows the die's faces, near a true die. */
export function faceShares(solid: DieSolid, pose: TruePose, rows: PoseRows): FaceShares {
  const { upright: r, edge, inverse } = placesOf(solid);
  const n = rows.first.length;
  const out: FaceShares = {
    face: new Int32Array(WIDTH * n).fill(-1),
    share: new Float64Array(WIDTH * n),
    radius: new Float64Array(n),
    onEdge: new Uint8Array(n),
    stretch: new Int32Array(n),
  };
  const corners = solid.corners.length;
  const c = Math.cos(pose.yaw);
  const s = Math.sin(pose.yaw);
  for (let k = 0; k < n; k++) {
    const a = Math.min(rows.first[k]!, rows.second[k]!);
    const b = Math.max(rows.first[k]!, rows.second[k]!);
    out.stretch[k] = a * corners + b;
    // The outward normal, turned back into the body frame of the die as numbered.
    const x = c * rows.normal[3 * k]! + s * rows.normal[3 * k + 1]!;
    const y = c * rows.normal[3 * k + 1]! - s * rows.normal[3 * k]!;
    const z = rows.normal[3 * k + 2]!;
    const ux = r[0]! * x + r[3]! * y + r[6]! * z;
    const uy = r[1]! * x + r[4]! * y + r[7]! * z;
    const uz = r[2]! * x + r[5]! * y + r[8]! * z;
    if (edge[2 * out.stretch[k]!]! >= 0) edgeShare(solid, edge, ux, uy, uz, k, out);
    else cornerShare(solid.corners[a]!.faces, inverse[a]!, ux, uy, uz, k, out);
  }
  return out;
}

/** Shares of the two faces of an edge in the move of a point on it whose normal is (ux, uy, uz). */
function edgeShare(
  { normals }: DieSolid,
  edge: Int32Array,
  ux: number,
  uy: number,
  uz: number,
  k: number,
  out: FaceShares,
): void {
  const f = edge[2 * out.stretch[k]!]!;
  const g = edge[2 * out.stretch[k]! + 1]!;
  const [px, py, pz] = [normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!];
  const [qx, qy, qz] = [normals[3 * g]!, normals[3 * g + 1]!, normals[3 * g + 2]!];
  const c = px * qx + py * qy + pz * qz;
  const up = ux * px + uy * py + uz * pz;
  const uq = ux * qx + uy * qy + uz * qz;
  const det = 1 - c * c;
  const o = WIDTH * k;
  out.face[o] = f;
  out.face[o + 1] = g;
  out.share[o] = (up - c * uq) / det;
  out.share[o + 1] = (uq - c * up) / det;
  out.radius[k] = 1 - out.share[o]! - out.share[o + 1]!;
  out.onEdge[k] = 1;
}

/** The same of all faces of a corner. */
function cornerShare(
  faces: readonly number[],
  inverse: Float64Array,
  ux: number,
  uy: number,
  uz: number,
  k: number,
  out: FaceShares,
): void {
  let sum = 0;
  for (let i = 0; i < faces.length && i < WIDTH; i++) {
    const share = ux * inverse[3 * i]! + uy * inverse[3 * i + 1]! + uz * inverse[3 * i + 2]!;
    sum += share;
    out.face[WIDTH * k + i] = faces[i]!;
    out.share[WIDTH * k + i] = share;
  }
  out.radius[k] = 1 - sum;
}

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
  const base = POSE_SIZE + baseFace(solid, binShot(solid).up);
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
