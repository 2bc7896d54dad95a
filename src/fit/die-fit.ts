import { viewingRay, type Camera, type Rigid } from '../geometry/camera.ts';
import { contactFinder, newContact } from '../geometry/hull.ts';
import type { Outline } from '../geometry/outline.ts';
import {
  baseFace,
  cardFromBody,
  seenDie,
  uprightTurn,
  type SeenDie,
  type Shot,
  type Stand,
} from '../geometry/standing.ts';
import { balls, type Balls, type DieSolid } from '../geometry/solid.ts';
import { dot, vec3At } from '../geometry/vec.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';

/** What the fit needs to know of one photo. */
export interface FitPhoto {
  readonly camera: Camera;
  readonly cameraFromCard: Rigid;
  readonly shot: Shot;
}

/** Die and stands as they are believed at the moment. */
export interface DieState {
  readonly solid: DieSolid;
  /** mm, per face. */
  readonly distances: Float64Array;
  /** mm, per corner. */
  readonly radii: Float64Array;
  /** One per photo. */
  readonly stands: readonly Stand[];
}

/**
 * Beliefs that keep the fit determined where photos say nothing; standard deviations, mm.
 *
 * Faces of one die lie within some tenths of a millimetre of their mean (common practice). It matters for few photos alone: a whole
 * set knows its faces a hundred times better.
 */
export interface ShapePrior {
  /** Of a face's distance about the mean of all. */
  readonly face: number;
  /** Of a corner's radius about the mean of all. */
  readonly radius: number;
}
export const SHAPE_PRIOR: ShapePrior = { face: 0.3, radius: 0.4 };

/** Residual in sigmas at which a point's weight has fallen to a half (Cauchy). */
export const CUT = 2.5;

/**
 * Sums over one stretch of one photo's outline: the skin between two corners, or one corner's own.
 *
 * What the model of the light leaves is alike along such a stretch, so its points are not independent witnesses.
 */
export interface Stretch {
  /** Place in {@link Tau}. */
  kind: number;
  /** Mean height over the card, mm. */
  height: number;
  weight: number;
  residual: number;
  readonly derivative: Float64Array;
  points: number;
}

/**
 * Standard deviations of the stretches' own offsets, px: of edges in the open, of edges close over the card (its shadow and what
 * shadowed surfaces mirror), and of corners. All 0: points are independent.
 */
export type Tau = readonly [open: number, low: number, corner: number];
export const NO_TAU: Tau = [0, 0, 0];

/** A stretch is low where its mean height is below this share of the mean axis. */
const LOW = 0.1;

/** Where the body's origin is tied to: sum of normal times distance, mm. */
const ORIGIN_SIGMA = 1e-3;
const LEAST_RADIUS = 0.01;

/** Parameters in order: distances, radii, then x, y, yaw per photo. */
export const parameterCount = (state: DieState): number =>
  state.distances.length + state.radii.length + 3 * state.stands.length;

const bodies = new WeakMap<DieState, Balls>();

/** The balls of a state; worked out once. */
export function bodyOf(state: DieState): Balls {
  let body = bodies.get(state);
  if (!body) bodies.set(state, (body = balls(state.solid, state.distances, state.radii)));
  return body;
}

export function seenIn(state: DieState, photo: FitPhoto, i: number): SeenDie {
  const upright = uprightTurn(state.solid, photo.shot);
  const height = state.distances[baseFace(state.solid, photo.shot.up)]!;
  return seenDie(bodyOf(state), photo.cameraFromCard, cardFromBody(upright, state.stands[i]!, height));
}

/** One photo's residuals and derivatives. */
export interface PhotoRows {
  readonly count: number;
  /** Measured edge minus model along the outward normal, px. */
  readonly residual: Float64Array;
  /** mm per px along the normal, at the contact. */
  readonly scale: Float64Array;
  /** Sparse derivatives of the residual (px): `WIDTH` entries per row, unused ones have index -1. */
  readonly index: Int32Array;
  readonly value: Float64Array;
  /** Derivatives by the shared camera (5), the photo's focal change (1), its turn (3) and shift (3): 12 per row. */
  readonly camera: Float64Array | null;
  /** Height of the contact over the card, mm; radius there, mm. */
  readonly height: Float64Array;
  readonly radius: Float64Array;
  /** Ball indices of the contact and the share of the first. */
  readonly first: Int32Array;
  readonly second: Int32Array;
  readonly share: Float64Array;
  readonly firstCorner: Int32Array;
  readonly secondCorner: Int32Array;
}

/** 2 balls x (3 faces + 1 corner) + base face + x, y, yaw. */
export const WIDTH = 12;

/** Per point of an outline: unit viewing ray, the change of the ray over one px along the normal, and the balls last met. */
interface Rays {
  readonly camera: Camera;
  readonly data: Float64Array;
  readonly met: Int32Array;
}
const raysCache = new WeakMap<Outline, Rays>();

function raysOf(camera: Camera, outline: Outline): Rays {
  const known = raysCache.get(outline);
  if (known?.camera === camera) return known;
  const n = outline.sigma.length;
  const data = new Float64Array(6 * n);
  for (let k = 0; k < n; k++) {
    const [u, v] = [outline.xy[2 * k]!, outline.xy[2 * k + 1]!];
    const [nu, nv] = [outline.normal[2 * k]! / 2, outline.normal[2 * k + 1]! / 2];
    const d = viewingRay(camera, u, v);
    const e = viewingRay(camera, u + nu, v + nv);
    const f = viewingRay(camera, u - nu, v - nv);
    for (let c = 0; c < 3; c++) {
      data[6 * k + c] = d[c]!;
      data[6 * k + 3 + c] = e[c]! - f[c]!;
    }
  }
  const rays = { camera, data, met: new Int32Array(2 * n).fill(-1) };
  raysCache.set(outline, rays);
  return rays;
}

export function photoRows(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withCamera: boolean,
  withShape = true,
): PhotoRows {
  const n = outline.sigma.length;
  const die = seenIn(state, photo, i);
  const find = contactFinder(die);
  const at = newContact();
  const faces = state.distances.length;
  const standAt = faces + state.radii.length + 3 * i;
  const base = baseFace(state.solid, photo.shot.up);
  const { camera, cameraFromCard: pose } = photo;
  const rb = die.cameraFromBody.rotation;
  const rc = pose.rotation;
  const zc = [rc[2]!, rc[5]!, rc[8]!] as const;
  const out = {
    count: n,
    residual: new Float64Array(n),
    scale: new Float64Array(n),
    index: new Int32Array(n * WIDTH).fill(-1),
    value: new Float64Array(n * WIDTH),
    camera: withCamera ? new Float64Array(n * 12) : null,
    height: new Float64Array(n),
    radius: new Float64Array(n),
    first: new Int32Array(n),
    second: new Int32Array(n),
    share: new Float64Array(n),
    firstCorner: new Int32Array(n),
    secondCorner: new Int32Array(n),
  };
  const { centres, radii, body } = die;
  const origin = die.cameraFromBody.shift;
  const { data: rays, met } = raysOf(camera, outline);
  const { faces: ballFaces, inverse, corner } = body;
  const { index, value } = out;
  const yaw = new Float64Array(3);
  for (let k = 0; k < n; k++) {
    const dx = rays[6 * k]!;
    const dy = rays[6 * k + 1]!;
    const dz = rays[6 * k + 2]!;
    find(dx, dy, dz, at, met[2 * k]!, met[2 * k + 1]!);
    const a = at.first;
    const b = at.second;
    met[2 * k] = a;
    met[2 * k + 1] = b;
    const s = at.share;
    const { ux, uy, uz } = at;
    const qx = s * centres[3 * a]! + (1 - s) * centres[3 * b]!;
    const qy = s * centres[3 * a + 1]! + (1 - s) * centres[3 * b + 1]!;
    const qz = s * centres[3 * a + 2]! + (1 - s) * centres[3 * b + 2]!;
    const r = s * radii[a]! + (1 - s) * radii[b]!;
    const depth = dx * qx + dy * qy + dz * qz;
    const scale = depth * (ux * rays[6 * k + 3]! + uy * rays[6 * k + 4]! + uz * rays[6 * k + 5]!);
    const w = 1 / scale;
    out.scale[k] = scale;
    out.residual[k] = at.distance * w;
    out.first[k] = a;
    out.second[k] = b;
    out.share[k] = s;
    out.firstCorner[k] = corner[a]!;
    out.secondCorner[k] = corner[b]!;
    out.radius[k] = r;
    out.height[k] =
      zc[0] * (qx + r * ux - pose.shift[0]) +
      zc[1] * (qy + r * uy - pose.shift[1]) +
      zc[2] * (qz + r * uz - pose.shift[2]);
    if (!withShape) continue;
    const bx = rb[0]! * ux + rb[3]! * uy + rb[6]! * uz;
    const by = rb[1]! * ux + rb[4]! * uy + rb[7]! * uz;
    const bz = rb[2]! * ux + rb[5]! * uy + rb[8]! * uz;
    let o = k * WIDTH;
    for (let end = 0; end < 2; end++) {
      const ball = end === 0 ? a : b;
      const share = end === 0 ? s : 1 - s;
      if (share === 0) continue;
      let sum = 0;
      for (let c = 0; c < 3; c++) {
        const m = 9 * ball + c;
        const g = bx * inverse[m]! + by * inverse[m + 3]! + bz * inverse[m + 6]!;
        sum += g;
        index[o] = ballFaces[3 * ball + c]!;
        value[o++] = -share * g * w;
      }
      index[o] = faces + corner[ball]!;
      value[o++] = -share * (1 - sum) * w;
    }
    index[o] = base;
    value[o++] = -(ux * zc[0] + uy * zc[1] + uz * zc[2]) * w;
    index[o] = standAt;
    value[o++] = -(ux * rc[0]! + uy * rc[3]! + uz * rc[6]!) * w;
    index[o] = standAt + 1;
    value[o++] = -(ux * rc[1]! + uy * rc[4]! + uz * rc[7]!) * w;
    // Yaw turns about the card's upward axis through the body's origin.
    yaw[0] = qx - origin[0];
    yaw[1] = qy - origin[1];
    yaw[2] = qz - origin[2];
    index[o] = standAt + 2;
    value[o] =
      -(
        ux * (zc[1] * yaw[2] - zc[2] * yaw[1]) +
        uy * (zc[2] * yaw[0] - zc[0] * yaw[2]) +
        uz * (zc[0] * yaw[1] - zc[1] * yaw[0])
      ) * w;
    if (out.camera)
      cameraRow(
        camera,
        outline.xy[2 * k]!,
        outline.xy[2 * k + 1]!,
        depth,
        ux,
        uy,
        uz,
        qx,
        qy,
        qz,
        w,
        out.camera.subarray(12 * k, 12 * k + 12),
      );
  }
  return out;
}

function cameraRow(
  camera: Camera,
  u: number,
  v: number,
  depth: number,
  ux: number,
  uy: number,
  uz: number,
  qx: number,
  qy: number,
  qz: number,
  w: number,
  row: Float64Array,
): void {
  const step = 1e-4;
  const changed = [
    { ...camera, f: camera.f * Math.exp(step) },
    { ...camera, cx: camera.cx + step },
    { ...camera, cy: camera.cy + step },
    { ...camera, k1: camera.k1 + step },
    { ...camera, k2: camera.k2 + step },
  ];
  const d = viewingRay(camera, u, v);
  changed.forEach((c, j) => {
    const e = viewingRay(c, u, v);
    row[j] = (depth * (ux * (e[0] - d[0]) + uy * (e[1] - d[1]) + uz * (e[2] - d[2])) * w) / step;
  });
  row[5] = row[0]!;
  row[6] = -(qy * uz - qz * uy) * w;
  row[7] = -(qz * ux - qx * uz) * w;
  row[8] = -(qx * uy - qy * ux) * w;
  row[9] = -ux * w;
  row[10] = -uy * w;
  row[11] = -uz * w;
}

export interface FitOptions {
  readonly prior: ShapePrior;
  /** 'whole' frees each face and corner; 'size' only a common distance, a common radius and the stands; 'stands' the stands alone. */
  readonly free: 'whole' | 'size' | 'stands';
  readonly steps: number;
  readonly cut: number;
  readonly tau: Tau;
}

export interface DieFit {
  readonly state: DieState;
  readonly cost: number;
  readonly stop: 'converged' | 'steps' | 'stuck';
  readonly steps: number;
}

interface Normal {
  readonly cost: number;
  readonly a: Float64Array;
  readonly g: Float64Array;
}

/**
 * Normal matrix and gradient of all residuals and beliefs; `null` outlines are left-out photos.
 *
 * With `tau` each stretch of each outline has an offset of its own, drawn from N(0, tau^2) and taken out exactly (Woodbury).
 */
export function normalOf(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  prior: ShapePrior,
  cut: number,
  tau: Tau,
  divided?: readonly (Division | null)[],
): Normal {
  const n = parameterCount(state);
  const a = new Float64Array(n * n);
  const g = new Float64Array(n);
  let cost = 0;
  photos.forEach((photo, i) => {
    const outline = outlines[i];
    if (!outline) return;
    const rows = photoRows(state, photo, i, outline, false);
    cost += addRows(rows, outline.sigma, cut, a, g, n);
    if (tau === NO_TAU) return;
    const sums = divided
      ? sumsOver(divided[i]!, rows, outline.sigma, cut, n)
      : stretches(rows, outline.sigma, cut, state).values();
    for (const s of sums) cost -= takeOut(s, tau[s.kind]!, a, g, n);
  });
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
  cost += addBeliefs(state, prior, a, g, n);
  return { cost, a, g };
}

function addRows(
  rows: PhotoRows,
  sigma: Float64Array,
  cut: number,
  a: Float64Array,
  g: Float64Array,
  n: number,
): number {
  let cost = 0;
  const { index, value } = rows;
  for (let k = 0; k < rows.count; k++) {
    const r = rows.residual[k]!;
    const is = 1 / sigma[k]!;
    const z = (r * is) / cut;
    const t = 1 + z * z;
    cost += (cut * cut * Math.log(t)) / 2;
    const w = (is * is) / t;
    const o = k * WIDTH;
    // The lower triangle alone; the upper is filled in at the end.
    for (let p = o; p < o + WIDTH; p++) {
      const ip = index[p]!;
      if (ip < 0) continue;
      const vp = value[p]! * w;
      g[ip]! += vp * r;
      for (let q = o; q <= p; q++) {
        const iq = index[q]!;
        if (iq < 0) continue;
        const v = vp * value[q]!;
        if (ip === iq) a[ip * n + iq]! += p === q ? v : 2 * v;
        else if (ip > iq) a[ip * n + iq]! += v;
        else a[iq * n + ip]! += v;
      }
    }
  }
  return cost;
}

/** The cost alone, without derivatives. */
function costOf(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  prior: ShapePrior,
  cut: number,
  tau: Tau,
): number {
  let cost = beliefCost(state, prior);
  photos.forEach((photo, i) => {
    const outline = outlines[i];
    if (!outline) return;
    const rows = photoRows(state, photo, i, outline, false, false);
    for (let k = 0; k < rows.count; k++)
      cost += (cut * cut * Math.log(1 + (rows.residual[k]! / outline.sigma[k]! / cut) ** 2)) / 2;
    if (tau === NO_TAU) return;
    for (const s of stretches(rows, outline.sigma, cut, state, false).values()) {
      const v = tau[s.kind]! ** 2;
      cost -= ((v / (1 + v * s.weight)) * s.residual * s.residual) / 2;
    }
  });
  return cost;
}

/** Which stretch each point of an outline belongs to, and the stretches' kinds; -1 after the last. */
interface Division {
  readonly of: Int32Array;
  readonly kinds: readonly number[];
}

/** How the outlines divide into stretches at a state; null for left-out photos. */
function divisions(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  cut: number,
): (Division | null)[] {
  return photos.map((photo, i) => {
    const outline = outlines[i];
    if (!outline) return null;
    const rows = photoRows(state, photo, i, outline, false, false);
    const sums = stretches(rows, outline.sigma, cut, state, false);
    const places = new Map([...sums.keys()].map((key, place) => [key, place]));
    return {
      of: Int32Array.from({ length: rows.count }, (_, k) => places.get(stretchKey(rows, k, state))!),
      kinds: [...sums.values()].map((s) => s.kind),
    };
  });
}

const stretchKey = (rows: PhotoRows, k: number, state: DieState): number =>
  Math.min(rows.firstCorner[k]!, rows.secondCorner[k]!) * state.radii.length +
  Math.max(rows.firstCorner[k]!, rows.secondCorner[k]!);

/** Sums over given stretches, with robust weights. */
function sumsOver({ of, kinds }: Division, rows: PhotoRows, sigma: Float64Array, cut: number, n: number): Stretch[] {
  const out = kinds.map((kind): Stretch => ({
    kind,
    height: 0,
    weight: 0,
    residual: 0,
    derivative: new Float64Array(n),
    points: 0,
  }));
  for (let k = 0; k < rows.count; k++) {
    const s = out[of[k]!]!;
    const z = rows.residual[k]! / sigma[k]!;
    const w = 1 / ((1 + (z / cut) ** 2) * sigma[k]! ** 2);
    s.weight += w;
    s.residual += w * rows.residual[k]!;
    s.points++;
    for (let p = k * WIDTH; p < (k + 1) * WIDTH; p++) {
      const i = rows.index[p]!;
      if (i >= 0) s.derivative[i]! += w * rows.value[p]!;
    }
  }
  return out;
}

/** Sums over the stretches of one photo's outline, with robust weights. */
export function stretches(
  rows: PhotoRows,
  sigma: Float64Array,
  cut: number,
  state: DieState,
  withDerivative = true,
): Map<number, Stretch> {
  const n = withDerivative ? parameterCount(state) : 0;
  const low = 2 * LOW * (state.distances.reduce((s, d) => s + d, 0) / state.distances.length);
  const out = new Map<number, Stretch>();
  for (let k = 0; k < rows.count; k++) {
    const key = stretchKey(rows, k, state);
    let s = out.get(key);
    if (!s)
      out.set(
        key,
        (s = {
          kind: rows.firstCorner[k] === rows.secondCorner[k] ? 2 : 0,
          height: 0,
          weight: 0,
          residual: 0,
          derivative: new Float64Array(n),
          points: 0,
        }),
      );
    const z = rows.residual[k]! / sigma[k]!;
    const w = 1 / ((1 + (z / cut) ** 2) * sigma[k]! ** 2);
    s.weight += w;
    s.residual += w * rows.residual[k]!;
    s.points++;
    s.height += rows.height[k]!;
    for (let p = 0; withDerivative && p < WIDTH; p++) {
      const i = rows.index[k * WIDTH + p]!;
      if (i >= 0) s.derivative[i]! += w * rows.value[k * WIDTH + p]!;
    }
  }
  for (const s of out.values()) {
    s.height /= s.points;
    if (s.height < low) s.kind = 1;
  }
  return out;
}

/** Takes a stretch's own offset out of the normal equations; returns what that takes off the cost. */
function takeOut(s: Stretch, tau: number, a: Float64Array, g: Float64Array, n: number): number {
  const k = (tau * tau) / (1 + tau * tau * s.weight);
  for (let i = 0; i < n; i++) {
    const v = k * s.derivative[i]!;
    if (v === 0) continue;
    g[i]! -= v * s.residual;
    for (let j = 0; j <= i; j++) a[i * n + j]! -= v * s.derivative[j]!;
  }
  return (k * s.residual * s.residual) / 2;
}

/** Cost of the beliefs alone. */
function beliefCost(state: DieState, prior: ShapePrior): number {
  const spread = (v: Float64Array): number => {
    const mean = v.reduce((p, q) => p + q, 0) / v.length;
    return v.reduce((p, q) => p + (q - mean) ** 2, 0);
  };
  let cost = spread(state.distances) / prior.face ** 2 + spread(state.radii) / prior.radius ** 2;
  for (let axis = 0; axis < 3; axis++) {
    const offset = state.distances.reduce((p, d, f) => p + d * state.solid.normals[3 * f + axis]!, 0);
    cost += (offset / ORIGIN_SIGMA) ** 2;
  }
  return cost / 2;
}

/** Ties the origin, and draws faces and radii weakly to their means. Returns the cost. */
function addBeliefs(state: DieState, prior: ShapePrior, a: Float64Array, g: Float64Array, n: number): number {
  const faces = state.distances.length;
  let cost = 0;
  const add = (row: Float64Array, residual: number, sd: number, from: number): void => {
    const w = 1 / (sd * sd);
    cost += (w * residual * residual) / 2;
    for (let p = 0; p < row.length; p++) {
      if (row[p] === 0) continue;
      g[from + p] = g[from + p]! + w * row[p]! * residual;
      for (let q = 0; q < row.length; q++)
        a[(from + p) * n + from + q] = a[(from + p) * n + from + q]! + w * row[p]! * row[q]!;
    }
  };
  for (let axis = 0; axis < 3; axis++) {
    const row = Float64Array.from({ length: faces }, (_, f) => state.solid.normals[3 * f + axis]!);
    add(
      row,
      row.reduce((s, v, f) => s + v * state.distances[f]!, 0),
      ORIGIN_SIGMA,
      0,
    );
  }
  const toMean = (values: Float64Array, sd: number, from: number): void => {
    const m = values.length;
    const mean = values.reduce((s, v) => s + v, 0) / m;
    values.forEach((v, p) => {
      add(
        Float64Array.from({ length: m }, (_, q) => (p === q ? 1 : 0) - 1 / m),
        v - mean,
        sd,
        from,
      );
    });
  };
  toMean(state.distances, prior.face, 0);
  toMean(state.radii, prior.radius, faces);
  return cost;
}

/** Columns of the parameters that move together: full parameter -> reduced parameter, or -1 where it is held. */
function reduction(state: DieState, free: FitOptions['free']): { map: Int32Array; count: number } {
  const n = parameterCount(state);
  const faces = state.distances.length;
  const shape = faces + state.radii.length;
  if (free === 'whole') return { map: Int32Array.from({ length: n }, (_, i) => i), count: n };
  const shift = free === 'size' ? 2 : 0;
  return {
    map: Int32Array.from({ length: n }, (_, i) =>
      i >= shape ? i - shape + shift : free === 'stands' ? -1 : i < faces ? 0 : 1,
    ),
    count: n - shape + shift,
  };
}

/**
 * Fits the die to outlines from `start`; the camera is held.
 *
 * Where stretches have offsets of their own, by weighting anew; else by Levenberg-Marquardt, which finds its way from further off.
 */
export function fitDie(
  start: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  options: FitOptions,
): DieFit {
  return options.tau === NO_TAU
    ? descended(start, photos, outlines, options)
    : reweighted(start, photos, outlines, options);
}

/** A step this small against what is known of the parameters ends the fit: the sum of squares of its parts in standard uncertainties. */
const SETTLED = 1e-5;
/** Least share of a step that is taken where steps do not shrink (kinks, where more than three planes meet). */
const LEAST_SHARE = 1 / 16;
/** Largest change of a length in one step, mm. */
const LARGEST_STEP = 0.3;

/**
 * Gauss and Newton's steps, each with the weights of points and stretches as they are then; what belongs to which stretch stays.
 *
 * No cost is compared: with weights and offsets that change it is no function of the shape alone. Where a step is not smaller than the
 * one before, less of it is taken.
 */
function reweighted(
  start: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  { prior, free, cut, tau, steps: most }: FitOptions,
): DieFit {
  const { map, count } = reduction(start, free);
  const n = parameterCount(start);
  const divided = divisions(start, photos, outlines, cut);
  let state = start;
  let now = normalOf(state, photos, outlines, prior, cut, tau, divided);
  let share = 1;
  let before = Infinity;
  let steps = 0;
  for (; steps < most; steps++) {
    const { a, g } = reducedTo(map, count, now, n);
    for (let p = 0; p < count; p++) a[p * count + p] = a[p * count + p]! * (1 + 1e-9) + 1e-9;
    const l = cholesky(a, count, 0);
    if (!l) return { state, cost: now.cost, stop: 'stuck', steps };
    const h = choleskySolve(l, count, g);
    const size = h.reduce((s, v, p) => s + v * g[p]!, 0);
    if (size < SETTLED) return { state, cost: now.cost, stop: 'converged', steps };
    share = size > 0.7 * before ? Math.max(LEAST_SHARE, share / 2) : Math.min(1, 1.5 * share);
    before = size;
    const largest = h.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    const taken = Math.min(share, LARGEST_STEP / largest);
    state = moveState(
      state,
      Float64Array.from({ length: n }, (_, i) => (map[i]! >= 0 ? -taken * h[map[i]!]! : 0)),
    );
    now = normalOf(state, photos, outlines, prior, cut, tau, divided);
  }
  return { state, cost: now.cost, stop: 'steps', steps };
}

/** The normal equations of the parameters that move together. */
function reducedTo(map: Int32Array, count: number, full: Normal, n: number): { a: Float64Array; g: Float64Array } {
  const a = new Float64Array(count * count);
  const g = new Float64Array(count);
  for (let i = 0; i < n; i++) {
    const p = map[i]!;
    if (p < 0) continue;
    g[p]! += full.g[i]!;
    for (let j = 0; j < n; j++) if (map[j]! >= 0) a[p * count + map[j]!]! += full.a[i * n + j]!;
  }
  return { a, g };
}

function descended(
  start: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  options: FitOptions,
): DieFit {
  const { prior, free, cut, tau } = options;
  const { map, count } = reduction(start, free);
  const n = parameterCount(start);
  let state = start;
  let now = normalOf(state, photos, outlines, prior, cut, tau);
  let damping = 1e-4;
  let stop: DieFit['stop'] = 'steps';
  let steps = 0;
  for (; steps < options.steps; steps++) {
    const { a, g } = reducedTo(map, count, now, n);
    let accepted = false;
    while (!accepted && damping < 1e7) {
      const damped = Float64Array.from(a);
      for (let p = 0; p < count; p++) damped[p * count + p] = damped[p * count + p]! * (1 + damping) + 1e-9;
      const l = cholesky(damped, count, 0);
      const h = l && choleskySolve(l, count, g);
      const next =
        h &&
        moveState(
          state,
          Float64Array.from({ length: n }, (_, i) => (map[i]! >= 0 ? -h[map[i]!]! : 0)),
        );
      const cost = next ? costOf(next, photos, outlines, prior, cut, tau) : Infinity;
      if (next && cost < now.cost) {
        const gain = now.cost - cost;
        state = next;
        now = normalOf(next, photos, outlines, prior, cut, tau);
        damping = Math.max(1e-10, damping / 6);
        accepted = true;
        if (gain < 1e-6 * Math.abs(cost) + 1e-6) stop = 'converged';
      } else damping *= 8;
    }
    if (!accepted) {
      stop = 'stuck';
      break;
    }
    if (stop === 'converged') break;
  }
  return { state, cost: now.cost, stop: stop === 'stuck' && damping >= 1e7 ? 'converged' : stop, steps };
}

/** How far inside the others' reach a face that touched nothing is put back, mm: just enough to touch. */
const TOUCH = 1e-4;

/**
 * Draws faces that touch no ball in to where they do.
 *
 * Where more than three faces meet, a plane too far out cuts nothing off: no outline would ever pull it back.
 */
function touching(solid: DieSolid, distances: Float64Array, radii: Float64Array): Float64Array {
  const body = balls(solid, distances, radii);
  const touched = new Uint8Array(distances.length);
  for (const f of body.faces) touched[f] = 1;
  return distances.map((d, f) => {
    if (touched[f]) return d;
    let reach = -Infinity;
    for (let b = 0; b < body.count; b++)
      reach = Math.max(reach, dot(vec3At(solid.normals, f), vec3At(body.centres, b)) + body.radii[b]!);
    return Math.min(d, reach - TOUCH);
  });
}

function moveState(state: DieState, h: Float64Array): DieState {
  const faces = state.distances.length;
  const shape = faces + state.radii.length;
  const radii = state.radii.map((v, i) => Math.max(LEAST_RADIUS, v + h[faces + i]!));
  return {
    solid: state.solid,
    distances: touching(
      state.solid,
      state.distances.map((v, i) => v + h[i]!),
      radii,
    ),
    radii,
    stands: state.stands.map((s, i) => ({
      x: s.x + h[shape + 3 * i]!,
      y: s.y + h[shape + 3 * i + 1]!,
      yaw: s.yaw + h[shape + 3 * i + 2]!,
    })),
  };
}
