import { viewingRay, type Camera, type Rigid } from '../geometry/camera.ts';
import type { SeenBalls } from '../geometry/hull.ts';
import type { Outline } from '../geometry/outline.ts';
import { baseFace, uprightTurn, type Shot } from '../geometry/standing.ts';
import type { DieKind, DieSolid } from '../geometry/solid.ts';
import { outlineWalk, type OutlineWalk } from './bin-contact.ts';
import { choleskyInPlace, choleskySolveInto } from '../maths/linear.ts';

/** A true die: one distance for all faces, one radius for all corners, standing on a face. Lengths in mm, yaw in radians. */
export interface TruePose {
  /** Common face distance (inradius). */
  readonly size: number;
  readonly radius: number;
  /** Where its middle stands, card frame. */
  readonly x: number;
  readonly y: number;
  /** Turn about the upward axis from the upright turn of {@link BIN_SHOT}. */
  readonly yaw: number;
}

/** How a camera sees the card. */
export interface CardView {
  readonly camera: Camera;
  readonly cameraFromCard: Rigid;
}

/** Order of a pose's parameters. */
export const POSE_SIZE = 5;

/** Every face of a true die is like every other: any will do for the top and the front. */
export function binShot(solid: DieSolid): Shot {
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
  const turn = uprightTurn(solid, binShot(solid));
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

const newRows = (n: number): PoseRows => ({
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
  if (!walk) walks.set(vertices, (walk = outlineWalk(vertices)));
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
  const [c, s, m] = [Math.cos(p.yaw), Math.sin(p.yaw), p.size - p.radius];
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

export interface PoseOptions {
  readonly steps: number;
  /** Stops where a step gains less than this share of the cost. */
  readonly gain: number;
  /** Residual in sigmas at which a point's weight has fallen to a half (Cauchy). */
  readonly cut: number;
  /** Radius believed beforehand and how surely, shares of the size. */
  readonly radius: { readonly share: number; readonly sd: number };
}
/** What is believed of a die's rounding before it is seen (common practice: moulded dice are rounded over 2 to 15 % of half their width). */
export const ROUNDING_BELIEF = { share: 0.06, sd: 0.08 } as const;
/** A rounding may lie between these shares of the size: beyond, a coin would be a die. */
export const ROUNDING = { least: 0.004, most: 0.4 } as const;
export const POSE_OPTIONS: PoseOptions = { steps: 12, gain: 2e-5, cut: 2.5, radius: ROUNDING_BELIEF };

export interface PoseFit {
  readonly pose: TruePose;
  readonly cost: number;
  readonly rows: PoseRows;
}

/** Normal equations of a pose, and the cost; filled anew. */
interface System {
  cost: number;
  readonly a: Float64Array;
  readonly g: Float64Array;
}

const newSystem = (): System => ({
  cost: 0,
  a: new Float64Array(POSE_SIZE * POSE_SIZE),
  g: new Float64Array(POSE_SIZE),
});

/** Points whose Cauchy terms are multiplied before one logarithm is taken of them: far from what a number holds. */
const TERMS = 8;

function fillSystem(
  p: TruePose,
  rows: PoseRows,
  sigma: Float64Array,
  { cut, radius }: PoseOptions,
  out: System,
): System {
  const { residual, jacobian: j } = rows;
  let [g0, g1, g2, g3, g4] = [0, 0, 0, 0, 0];
  let [a00, a10, a11, a20, a21, a22, a30, a31, a32, a33, a40, a41, a42, a43, a44] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]; // prettier-ignore
  let logs = 0;
  let terms = 1;
  for (let k = 0, o = 0; k < sigma.length; k++, o += POSE_SIZE) {
    const is = 1 / sigma[k]!;
    const r = residual[k]!;
    const z = (r * is) / cut;
    const t = 1 + z * z;
    terms *= t;
    if (k % TERMS === 0) {
      logs += Math.log(terms);
      terms = 1;
    }
    const w = (is * is) / t;
    const j0 = j[o]!;
    const j1 = j[o + 1]!;
    const j2 = j[o + 2]!;
    const j3 = j[o + 3]!;
    const j4 = j[o + 4]!;
    const v0 = w * j0;
    const v1 = w * j1;
    const v2 = w * j2;
    const v3 = w * j3;
    const v4 = w * j4;
    g0 += v0 * r;
    g1 += v1 * r;
    g2 += v2 * r;
    g3 += v3 * r;
    g4 += v4 * r;
    a00 += v0 * j0;
    a10 += v1 * j0;
    a11 += v1 * j1;
    a20 += v2 * j0;
    a21 += v2 * j1;
    a22 += v2 * j2;
    a30 += v3 * j0;
    a31 += v3 * j1;
    a32 += v3 * j2;
    a33 += v3 * j3;
    a40 += v4 * j0;
    a41 += v4 * j1;
    a42 += v4 * j2;
    a43 += v4 * j3;
    a44 += v4 * j4;
  }
  // The belief is on the radius as a share of the size, at its present value.
  const e = (p.radius / p.size - radius.share) / radius.sd;
  const by = 1 / (radius.sd * p.size);
  g1 += e * by;
  a11 += by * by;
  out.cost = (cut * cut * (logs + Math.log(terms)) + e * e) / 2;
  const rowsOf = [a00, a10, a20, a30, a40, a10, a11, a21, a31, a41, a20, a21, a22, a32, a42, a30, a31, a32, a33, a43, a40, a41, a42, a43, a44]; // prettier-ignore
  for (let i = 0; i < rowsOf.length; i++) out.a[i] = rowsOf[i]!;
  [out.g[0], out.g[1], out.g[2], out.g[3], out.g[4]] = [g0, g1, g2, g3, g4];
  return out;
}

function movedPose(p: TruePose, h: Float64Array): TruePose {
  const size = Math.max(0.5 * p.size, Math.min(2 * p.size, p.size - h[0]!));
  const radius = Math.max(ROUNDING.least * size, Math.min(ROUNDING.most * size, p.radius - h[1]!));
  return { size, radius, x: p.x - h[2]!, y: p.y - h[3]!, yaw: p.yaw - Math.max(-0.3, Math.min(0.3, h[4]!)) };
}

/** Arrays in which a fit works; its answer's rows are one of them. */
export type PoseRoom = readonly [PoseRows, PoseRows];
export const poseRoom = (points: number): PoseRoom => [newRows(points), newRows(points)];

const damped = new Float64Array(POSE_SIZE * POSE_SIZE);
const step = new Float64Array(POSE_SIZE);

/**
 * Size, rounding, place and turn of a true die that fit measured points best, from `start`; robust least squares (Levenberg-Marquardt).
 *
 * @param known  Rows at `start` where they are there already; not changed.
 * @param room   Overwritten, the answer's rows with it when it is used again.
 */
export function fitTruePose(
  vertices: Float64Array,
  view: CardView,
  rays: Float64Array,
  sigma: Float64Array,
  start: TruePose,
  wanted: Partial<PoseOptions> = {},
  known: PoseRows | null = null,
  room: PoseRoom = poseRoom(sigma.length),
): PoseFit {
  const options = { ...POSE_OPTIONS, ...wanted };
  let pose = start;
  let [rows, spare] = room;
  if (known) rows = known;
  else poseRows(vertices, view, pose, rays, rows);
  let [now, tried] = [fillSystem(pose, rows, sigma, options, newSystem()), newSystem()];
  let damping = 1e-3;
  for (let count = 0; count < options.steps && damping < 1e6; count++) {
    damped.set(now.a);
    for (let q = 0; q < POSE_SIZE; q++) damped[(POSE_SIZE + 1) * q]! *= 1 + damping;
    const solved = choleskyInPlace(damped, POSE_SIZE, 0);
    if (solved) choleskySolveInto(damped, POSE_SIZE, now.g, step);
    const next = solved ? movedPose(pose, step) : pose;
    if (solved) fillSystem(next, poseRows(vertices, view, next, rays, spare), sigma, options, tried);
    if (solved && tried.cost < now.cost) {
      const gain = now.cost - tried.cost;
      [pose, rows, spare] = [next, spare, rows === known ? room[0] : rows];
      [now, tried] = [tried, now];
      damping = Math.max(1e-9, damping / 16);
      if (gain < options.gain * now.cost + 1e-7) break;
    } else damping *= 8;
  }
  return { pose, cost: now.cost, rows };
}
