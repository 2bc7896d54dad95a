import { uprightTurn } from '../../geometry/standing.ts';
import type { DieSolid } from '../../geometry/solid.ts';
import { vec3At } from '../../geometry/vec.ts';
import { solve } from '../../maths/linear.ts';
import { trueShot, type PoseRows, type TruePose } from '../../fit/pose.ts';

/** Which faces move an outline's point, and by how much per mm: two at an edge, all that meet there at a corner. */
export interface FaceShares {
  /** `WIDTH` per point, -1 where unused, and by how much of its move each moves the outline. */
  readonly face: Int32Array;
  readonly share: Float64Array;
  /** Share of the radius. */
  readonly radius: Float64Array;
  /** Whether the point lies on an edge, and not at a corner. */
  readonly onEdge: Uint8Array;
  /** Stretch that it belongs to: an edge's or a corner's own number. */
  readonly stretch: Int32Array;
}
/** Most faces that move a point. */
export const WIDTH = 5;

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
  known = { upright: uprightTurn(solid, trueShot(solid)), edge, inverse };
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
