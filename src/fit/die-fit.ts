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
import { balls, type DieSolid } from '../geometry/solid.ts';
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

/** Weak beliefs that keep the fit determined where photos say nothing; standard deviations, mm. */
export interface ShapePrior {
  /** Of a face's distance about the mean of all. */
  readonly face: number;
  /** Of a corner's radius about the mean of all. */
  readonly radius: number;
}
export const SHAPE_PRIOR: ShapePrior = { face: 1, radius: 0.4 };

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

export function seenIn(state: DieState, photo: FitPhoto, i: number): SeenDie {
  const upright = uprightTurn(state.solid, photo.shot);
  const height = state.distances[baseFace(state.solid, photo.shot.up)]!;
  return seenDie(
    state.solid,
    state.distances,
    state.radii,
    photo.cameraFromCard,
    cardFromBody(upright, state.stands[i]!, height),
  );
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

export function photoRows(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withCamera: boolean,
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
  const ub = new Float64Array(3);
  const origin = die.cameraFromBody.shift;
  for (let k = 0; k < n; k++) {
    const [u, v] = [outline.xy[2 * k]!, outline.xy[2 * k + 1]!];
    const [nu, nv] = [outline.normal[2 * k]!, outline.normal[2 * k + 1]!];
    const d = viewingRay(camera, u, v);
    find(d[0], d[1], d[2], at);
    const [a, b, s] = [at.first, at.second, at.share];
    const { ux, uy, uz } = at;
    const qx = s * centres[3 * a]! + (1 - s) * centres[3 * b]!;
    const qy = s * centres[3 * a + 1]! + (1 - s) * centres[3 * b + 1]!;
    const qz = s * centres[3 * a + 2]! + (1 - s) * centres[3 * b + 2]!;
    const r = s * radii[a]! + (1 - s) * radii[b]!;
    const depth = d[0] * qx + d[1] * qy + d[2] * qz;
    const d1 = viewingRay(camera, u + 0.5 * nu, v + 0.5 * nv);
    const d0 = viewingRay(camera, u - 0.5 * nu, v - 0.5 * nv);
    const scale = depth * (ux * (d1[0] - d0[0]) + uy * (d1[1] - d0[1]) + uz * (d1[2] - d0[2]));
    const w = 1 / scale;
    out.scale[k] = scale;
    out.residual[k] = at.distance * w;
    out.first[k] = a;
    out.second[k] = b;
    out.share[k] = s;
    out.firstCorner[k] = body.corner[a]!;
    out.secondCorner[k] = body.corner[b]!;
    out.radius[k] = r;
    const [px, py, pz] = [qx + r * ux, qy + r * uy, qz + r * uz];
    out.height[k] = zc[0] * (px - pose.shift[0]) + zc[1] * (py - pose.shift[1]) + zc[2] * (pz - pose.shift[2]);
    for (let c = 0; c < 3; c++) ub[c] = rb[c]! * ux + rb[3 + c]! * uy + rb[6 + c]! * uz;
    let o = k * WIDTH;
    for (const [ball, share] of [
      [a, s],
      [b, 1 - s],
    ] as const) {
      if (share === 0) continue;
      const m = body.inverse.subarray(9 * ball, 9 * ball + 9);
      let sum = 0;
      for (let c = 0; c < 3; c++) {
        const g = ub[0]! * m[c]! + ub[1]! * m[3 + c]! + ub[2]! * m[6 + c]!;
        sum += g;
        out.index[o] = body.faces[3 * ball + c]!;
        out.value[o++] = -share * g * w;
      }
      out.index[o] = faces + body.corner[ball]!;
      out.value[o++] = -share * (1 - sum) * w;
    }
    out.index[o] = base;
    out.value[o++] = -(ux * zc[0] + uy * zc[1] + uz * zc[2]) * w;
    out.index[o] = standAt;
    out.value[o++] = -(ux * rc[0]! + uy * rc[3]! + uz * rc[6]!) * w;
    out.index[o] = standAt + 1;
    out.value[o++] = -(ux * rc[1]! + uy * rc[4]! + uz * rc[7]!) * w;
    // Yaw turns about the card's upward axis through the body's origin.
    const [lx, ly, lz] = [qx - origin[0], qy - origin[1], qz - origin[2]];
    out.index[o] = standAt + 2;
    out.value[o] =
      -(ux * (zc[1] * lz - zc[2] * ly) + uy * (zc[2] * lx - zc[0] * lz) + uz * (zc[0] * ly - zc[1] * lx)) * w;
    if (out.camera)
      cameraRow(camera, u, v, depth, at.ux, at.uy, at.uz, qx, qy, qz, w, out.camera.subarray(12 * k, 12 * k + 12));
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
    for (const s of stretches(rows, outline.sigma, cut, state).values()) cost -= takeOut(s, tau[s.kind]!, a, g, n);
  });
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
  for (let k = 0; k < rows.count; k++) {
    const z = rows.residual[k]! / sigma[k]!;
    const t = 1 + (z / cut) ** 2;
    cost += (cut * cut * Math.log(t)) / 2;
    const w = 1 / (t * sigma[k]! ** 2);
    const o = k * WIDTH;
    for (let p = 0; p < WIDTH; p++) {
      const ip = rows.index[o + p]!;
      if (ip < 0) continue;
      const vp = rows.value[o + p]! * w;
      g[ip]! += vp * rows.residual[k]!;
      for (let q = 0; q < WIDTH; q++) {
        const iq = rows.index[o + q]!;
        if (iq >= 0) a[ip * n + iq]! += vp * rows.value[o + q]!;
      }
    }
  }
  return cost;
}

/** Sums over the stretches of one photo's outline, with robust weights. */
export function stretches(rows: PhotoRows, sigma: Float64Array, cut: number, state: DieState): Map<number, Stretch> {
  const n = parameterCount(state);
  const corners = state.radii.length;
  const low = 2 * LOW * (state.distances.reduce((s, d) => s + d, 0) / state.distances.length);
  const out = new Map<number, Stretch>();
  for (let k = 0; k < rows.count; k++) {
    const key =
      Math.min(rows.firstCorner[k]!, rows.secondCorner[k]!) * corners +
      Math.max(rows.firstCorner[k]!, rows.secondCorner[k]!);
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
    for (let p = 0; p < WIDTH; p++) {
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
    for (let j = 0; j < n; j++) a[i * n + j]! -= v * s.derivative[j]!;
  }
  return (k * s.residual * s.residual) / 2;
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

/** Minimises the robust cost from `start` by Levenberg-Marquardt; the camera is held. */
export function fitDie(
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
    const a = new Float64Array(count * count);
    const g = new Float64Array(count);
    for (let i = 0; i < n; i++) {
      const p = map[i]!;
      if (p < 0) continue;
      g[p] = g[p]! + now.g[i]!;
      for (let j = 0; j < n; j++)
        if (map[j]! >= 0) a[p * count + map[j]!] = a[p * count + map[j]!]! + now.a[i * n + j]!;
    }
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
      const tried = next && normalOf(next, photos, outlines, prior, cut, tau);
      if (tried && tried.cost < now.cost) {
        const gain = now.cost - tried.cost;
        state = next;
        now = tried;
        damping = Math.max(1e-10, damping / 6);
        accepted = true;
        if (gain < 1e-6 * tried.cost + 1e-6) stop = 'converged';
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
