import { turned } from '../geometry/camera.ts';
import { baseFace, turnAboutUp, uprightTurn } from '../geometry/standing.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { dot, vec3At, type Vec3 } from '../geometry/vec.ts';
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

/** Pseudo-inverses of the normals that meet at each corner: how the corner's middle follows its faces. */
const inverses = new WeakMap<DieSolid, readonly Float64Array[]>();
function cornerInverses(solid: DieSolid): readonly Float64Array[] {
  let known = inverses.get(solid);
  if (known) return known;
  known = solid.corners.map(({ faces }) => {
    const n = faces.map((f) => vec3At(solid.normals, f));
    const a = [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => n.reduce((s, v) => s + v[i]! * v[j]!, 0)));
    // Row per face: (N'N)^-1 n.
    return Float64Array.from(n.flatMap((v) => Array.from(solve(a, v, 3) ?? [0, 0, 0])));
  });
  inverses.set(solid, known);
  return known;
}

/** How each point of an outline follows the die's faces, near a true die. */
export function faceShares(solid: DieSolid, pose: TruePose, rows: PoseRows): FaceShares {
  const normals = bodyNormals(solid, pose, rows.normal);
  const n = rows.first.length;
  const out: FaceShares = {
    face: new Int32Array(WIDTH * n).fill(-1),
    share: new Float64Array(WIDTH * n),
    radius: new Float64Array(n),
    onEdge: new Uint8Array(n),
    stretch: new Int32Array(n),
  };
  const corners = solid.corners.length;
  const inverse = cornerInverses(solid);
  for (let k = 0; k < n; k++) {
    const [a, b] = [Math.min(rows.first[k]!, rows.second[k]!), Math.max(rows.first[k]!, rows.second[k]!)];
    out.stretch[k] = a * corners + b;
    const u: Vec3 = [normals[3 * k]!, normals[3 * k + 1]!, normals[3 * k + 2]!];
    const shared = a === b ? [] : solid.corners[a]!.faces.filter((f) => solid.corners[b]!.faces.includes(f));
    if (shared.length === 2) {
      const [f, g] = shared as [number, number];
      const [p, q] = [vec3At(solid.normals, f), vec3At(solid.normals, g)];
      const c = dot(p, q);
      const [up, uq] = [dot(u, p), dot(u, q)];
      const det = 1 - c * c;
      const [sp, sq] = [(up - c * uq) / det, (uq - c * up) / det];
      out.face.set([f, g], WIDTH * k);
      out.share.set([sp, sq], WIDTH * k);
      out.radius[k] = 1 - sp - sq;
      out.onEdge[k] = 1;
      continue;
    }
    const { faces } = solid.corners[a]!;
    let sum = 0;
    faces.slice(0, WIDTH).forEach((f, i) => {
      const m = inverse[a]!;
      const s = u[0] * m[3 * i]! + u[1] * m[3 * i + 1]! + u[2] * m[3 * i + 2]!;
      sum += s;
      out.face[WIDTH * k + i] = f;
      out.share[WIDTH * k + i] = s;
    });
    out.radius[k] = 1 - sum;
  }
  return out;
}

/** Outward normals at an outline's points, turned into the body frame of the die as numbered. */
function bodyNormals(solid: DieSolid, pose: TruePose, cardNormals: Float64Array): Float64Array {
  const upright = uprightTurn(solid, binShot(solid));
  const yaw = turnAboutUp(-pose.yaw);
  const out = new Float64Array(cardNormals.length);
  for (let k = 0; k < cardNormals.length; k += 3) {
    const v = turned(yaw, [cardNormals[k]!, cardNormals[k + 1]!, cardNormals[k + 2]!]);
    for (let i = 0; i < 3; i++) out[k + i] = upright[i]! * v[0] + upright[3 + i]! * v[1] + upright[6 + i]! * v[2];
  }
  return out;
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

/** Entries per point: the pose, its faces, the base face. */
const ROW = POSE_SIZE + WIDTH + 1;

interface Design {
  readonly index: Int32Array;
  readonly value: Float64Array;
}

/** Movement of each point, px outwards, by each unknown. */
function designOf(solid: DieSolid, rows: PoseRows, { face, share }: FaceShares): Design {
  const m = rows.residual.length;
  const index = new Int32Array(ROW * m).fill(-1);
  const value = new Float64Array(ROW * m);
  const base = POSE_SIZE + baseFace(solid, binShot(solid).up);
  for (let k = 0; k < m; k++) {
    const o = ROW * k;
    const w = 1 / rows.scale[k]!;
    for (let p = 0; p < POSE_SIZE; p++) {
      index[o + p] = p;
      value[o + p] = -rows.jacobian[POSE_SIZE * k + p]!;
    }
    for (let i = 0; i < WIDTH; i++) {
      const f = face[WIDTH * k + i]!;
      if (f < 0) continue;
      index[o + POSE_SIZE + i] = POSE_SIZE + f;
      value[o + POSE_SIZE + i] = share[WIDTH * k + i]! * w;
    }
    // The base face's distance is the height of the die's middle.
    index[o + ROW - 1] = base;
    value[o + ROW - 1] = rows.normal[3 * k + 2]! * w;
  }
  return { index, value };
}

function addRow(
  a: Float64Array,
  g: Float64Array,
  { index, value }: Design,
  k: number,
  n: number,
  r: number,
  w: number,
): void {
  for (let p = ROW * k; p < ROW * k + ROW; p++) {
    const i = index[p]!;
    if (i < 0) continue;
    const v = w * value[p]!;
    g[i]! += v * r;
    for (let q = ROW * k; q < ROW * k + ROW; q++) {
      const j = index[q]!;
      if (j >= 0 && j <= i) a[i * n + j]! += v * value[q]!;
    }
  }
}

function predicted({ index, value }: Design, k: number, change: Float64Array): number {
  let s = 0;
  for (let p = ROW * k; p < ROW * k + ROW; p++) if (index[p]! >= 0) s += value[p]! * change[index[p]!]!;
  return s;
}

/** Moves of an outline's points that the faces' straying makes, px: for points of the same die other than those that were fitted. */
export function strayed(solid: DieSolid, rows: PoseRows, shares: FaceShares, fit: UnevenFit): Float64Array {
  const design = designOf(solid, rows, shares);
  return Float64Array.from(rows.residual, (_, k) => predicted(design, k, fit.change));
}
