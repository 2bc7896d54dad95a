import { viewingRay, type Camera } from '../geometry/camera.ts';
import type { SeenBalls } from '../geometry/hull.ts';
import type { Outline } from '../geometry/outline.ts';
import { baseFace, uprightTurn, type Shot } from '../geometry/standing.ts';
import type { DieKind, DieSolid } from '../geometry/solid.ts';
import { OutlineWalk, type CardView, type TruePose } from './pose-contact.ts';

export type { CardView, TruePose } from './pose-contact.ts';

/** Order of a pose's parameters. */
export const POSE_SIZE = 5;

/** Every face of a true die is like every other: any will do for the top and the front. */
export function trueShot(solid: DieSolid): Shot {
  const up = solid.labels[0]!;
  const base = baseFace(solid, up);
  const front = solid.labels.find((_, f) => f !== base && solid.labels[f] !== up)!;
  return { up, front };
}

/** Turn after which a true die on a face looks the same again. A d10's kite has no turn but the whole one. */
export const YAW_PERIOD: Readonly<Record<DieKind, number>> = {
  d4: (2 * Math.PI) / 3,
  d6: Math.PI / 2,
  d8: (2 * Math.PI) / 3,
  d10: 2 * Math.PI,
  d12: (2 * Math.PI) / 5,
  d20: (2 * Math.PI) / 3,
};

/** Vertices of the upright true die of inradius 1, [x, y, z] each, card axes. */
export function uprightVertices(solid: DieSolid): Float64Array {
  const turn = uprightTurn(solid, trueShot(solid));
  const out = new Float64Array(3 * solid.corners.length);
  solid.corners.forEach(({ vertex: v }, i) => {
    for (let k = 0; k < 3; k++)
      out[3 * i + k] = turn[3 * k]! * v[0] + turn[3 * k + 1]! * v[1] + turn[3 * k + 2]! * v[2];
  });
  return out;
}

/** Viewing rays of an outline's points and their change over one px along the normal: 6 per point, camera frame. */
export function outlineRays(camera: Camera, { xy, normal, sigma }: Outline): Float64Array {
  const n = sigma.length;
  const data = new Float64Array(6 * n);
  for (let k = 0; k < n; k++) {
    const u = xy[2 * k]!;
    const v = xy[2 * k + 1]!;
    const d = viewingRay(camera, u, v);
    const e = viewingRay(camera, u + normal[2 * k]!, v + normal[2 * k + 1]!);
    for (let c = 0; c < 3; c++) {
      data[6 * k + c] = d[c]!;
      data[6 * k + 3 + c] = e[c]! - d[c]!;
    }
  }
  return data;
}

/** Reusable arrays of one die's rows. */
export interface PoseRows {
  /** Measured edge minus model along the outward normal, px. */
  readonly residual: Float64Array;
  /** Derivatives by size, radius, x, y, yaw: 5 per row, px per mm or radian. */
  readonly jacobian: Float64Array;
  /** mm per px along the normal. */
  readonly scale: Float64Array;
  /** Corners that carry the contact (the same twice at a corner itself), and height of the contact over the card, mm. */
  readonly first: Int32Array;
  readonly second: Int32Array;
  readonly height: Float64Array;
  /** Outward normal of the solid at the contact, card axes, 3 per point. */
  readonly normal: Float64Array;
}

/** The balls of a true die in the camera frame. */
export function seenPose(vertices: Float64Array, view: CardView, p: TruePose): SeenBalls {
  const n = vertices.length / 3;
  const { rotation: r, shift: t } = view.cameraFromCard;
  const centres = new Float64Array(3 * n);
  const [c, s, m] = [Math.cos(p.yaw), Math.sin(p.yaw), p.size - p.radius];
  for (let i = 0; i < n; i++) {
    const [vx, vy, vz] = [vertices[3 * i]!, vertices[3 * i + 1]!, vertices[3 * i + 2]!];
    const x = m * (c * vx - s * vy) + p.x;
    const y = m * (s * vx + c * vy) + p.y;
    const z = m * vz + p.size;
    for (let k = 0; k < 3; k++) centres[3 * i + k] = r[3 * k]! * x + r[3 * k + 1]! * y + r[3 * k + 2]! * z + t[k]!;
  }
  return { count: n, centres, radii: new Float64Array(n).fill(p.radius) };
}

export const newRows = (n: number): PoseRows => ({
  residual: new Float64Array(n),
  jacobian: new Float64Array(POSE_SIZE * n),
  scale: new Float64Array(n),
  first: new Int32Array(n),
  second: new Int32Array(n),
  height: new Float64Array(n),
  normal: new Float64Array(3 * n),
});

const walks = new WeakMap<Float64Array, OutlineWalk>();
/** The walk round a kind's outline, whose arrays all its dice use one after another. */
function walkOf(vertices: Float64Array): OutlineWalk {
  let walk = walks.get(vertices);
  if (!walk) walks.set(vertices, (walk = new OutlineWalk(vertices)));
  return walk;
}

/** Residuals of measured points against a true die, and their derivatives; `out` is filled anew where given. */
export function poseRows(
  vertices: Float64Array,
  view: CardView,
  p: TruePose,
  rays: Float64Array,
  out: PoseRows = newRows(rays.length / 6),
): PoseRows {
  const n = rays.length / 6;
  const walk = walkOf(vertices);
  walk.place(view, p);
  const { rotation: r, shift: t } = view.cameraFromCard;
  const c = Math.cos(p.yaw);
  const s = Math.sin(p.yaw);
  const m = p.size - p.radius;
  const { centres, met, ends } = walk;
  for (let k = 0; k < n; k++) {
    const dx = rays[6 * k]!;
    const dy = rays[6 * k + 1]!;
    const dz = rays[6 * k + 2]!;
    walk.find(rays, k);
    const a = ends[0]!;
    const b = ends[1]!;
    const ux = met[1]!;
    const uy = met[2]!;
    const uz = met[3]!;
    const g = met[4]!;
    const qx = g * centres[3 * a]! + (1 - g) * centres[3 * b]!;
    const qy = g * centres[3 * a + 1]! + (1 - g) * centres[3 * b + 1]!;
    const qz = g * centres[3 * a + 2]! + (1 - g) * centres[3 * b + 2]!;
    const depth = dx * qx + dy * qy + dz * qz;
    const scale = depth * (ux * rays[6 * k + 3]! + uy * rays[6 * k + 4]! + uz * rays[6 * k + 5]!);
    const w = 1 / scale;
    // The normal in the card's axes, and the vertex that carries the contact, turned.
    const nx = r[0]! * ux + r[3]! * uy + r[6]! * uz;
    const ny = r[1]! * ux + r[4]! * uy + r[7]! * uz;
    const nz = r[2]! * ux + r[5]! * uy + r[8]! * uz;
    const vx = g * vertices[3 * a]! + (1 - g) * vertices[3 * b]!;
    const vy = g * vertices[3 * a + 1]! + (1 - g) * vertices[3 * b + 1]!;
    const vz = g * vertices[3 * a + 2]! + (1 - g) * vertices[3 * b + 2]!;
    const tx = c * vx - s * vy;
    const ty = s * vx + c * vy;
    const along = nx * tx + ny * ty + nz * vz;
    out.residual[k] = met[0]! * w;
    out.scale[k] = scale;
    out.first[k] = a;
    out.second[k] = b;
    out.height[k] = r[2]! * (qx - t[0]) + r[5]! * (qy - t[1]) + r[8]! * (qz - t[2]) + p.radius * nz;
    out.normal[3 * k] = nx;
    out.normal[3 * k + 1] = ny;
    out.normal[3 * k + 2] = nz;
    const o = POSE_SIZE * k;
    out.jacobian[o] = -(along + nz) * w;
    out.jacobian[o + 1] = -(1 - along) * w;
    out.jacobian[o + 2] = -nx * w;
    out.jacobian[o + 3] = -ny * w;
    out.jacobian[o + 4] = -m * (ny * tx - nx * ty) * w;
  }
  return out;
}
