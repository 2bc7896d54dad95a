import { byFactors, descended, type Slope } from '../maths/descent.ts';
import { choleskyInPlace, choleskySolveInto } from '../maths/linear.ts';
import { newRows, POSE_SIZE, poseRows, type CardView, type PoseRows, type TruePose } from './pose.ts';

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

/** Normal equations of a pose, of which the lower triangle counts, and the cost; filled anew. */
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

// Long because it is hot: the sums of five unknowns stand in local numbers over all points of an outline. Each has a line of its own, which is
// less to compile than lists taken apart.
function fillSystem(
  p: TruePose,
  rows: PoseRows,
  sigma: Float64Array,
  { cut, radius }: PoseOptions,
  out: System,
): System {
  const { residual, jacobian: j } = rows;
  let g0 = 0;
  let g1 = 0;
  let g2 = 0;
  let g3 = 0;
  let g4 = 0;
  let a00 = 0;
  let a10 = 0;
  let a11 = 0;
  let a20 = 0;
  let a21 = 0;
  let a22 = 0;
  let a30 = 0;
  let a31 = 0;
  let a32 = 0;
  let a33 = 0;
  let a40 = 0;
  let a41 = 0;
  let a42 = 0;
  let a43 = 0;
  let a44 = 0;
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
  const { a } = out;
  a[0] = a00;
  a[5] = a10;
  a[6] = a11;
  a[10] = a20;
  a[11] = a21;
  a[12] = a22;
  a[15] = a30;
  a[16] = a31;
  a[17] = a32;
  a[18] = a33;
  a[20] = a40;
  a[21] = a41;
  a[22] = a42;
  a[23] = a43;
  a[24] = a44;
  out.g[0] = g0;
  out.g[1] = g1;
  out.g[2] = g2;
  out.g[3] = g3;
  out.g[4] = g4;
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

const matrix = new Float64Array(POSE_SIZE * POSE_SIZE);
const step = new Float64Array(POSE_SIZE);

const DAMPING = byFactors(1e-3, 16, 8, 1e-9, 1e6);

/** A pose with its rows and normal equations; one of two that take turns, so that nothing is made anew at each step. */
interface Place {
  pose: TruePose;
  cost: number;
  rows: PoseRows;
  readonly system: System;
}

/**
 * Size, rounding, place and turn of a true die that fit measured points best, from `start`; a robust damped descent.
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
  const slope = new PoseSlope(vertices, view, rays, sigma, options, room);
  const { pose, cost, rows } = descended(slope.first(start, known), slope, DAMPING, options.steps).place;
  return { pose, cost, rows };
}

class PoseSlope implements Slope<Place> {
  readonly #vertices: Float64Array;
  readonly #view: CardView;
  readonly #rays: Float64Array;
  readonly #sigma: Float64Array;
  readonly #options: PoseOptions;
  readonly #room: PoseRoom;
  readonly #one: Place;
  readonly #other: Place;

  constructor(
    vertices: Float64Array,
    view: CardView,
    rays: Float64Array,
    sigma: Float64Array,
    options: PoseOptions,
    room: PoseRoom,
  ) {
    this.#vertices = vertices;
    this.#view = view;
    this.#rays = rays;
    this.#sigma = sigma;
    this.#options = options;
    this.#room = room;
    const pose: TruePose = { size: 0, radius: 0, x: 0, y: 0, yaw: 0 };
    this.#one = { pose, cost: 0, rows: room[0], system: newSystem() };
    this.#other = { pose, cost: 0, rows: room[1], system: newSystem() };
  }

  /** Where the descent starts, with rows that are known there or not. */
  first(start: TruePose, known: PoseRows | null): Place {
    const one = this.#one;
    if (!known) return this.#looked(one, start, this.#room[0]);
    one.pose = start;
    one.rows = known;
    return this.#filled(one);
  }

  tried(from: Place, damping: number): Place | null {
    const { a, g } = from.system;
    matrix.set(a);
    for (let q = 0; q < POSE_SIZE; q++) matrix[(POSE_SIZE + 1) * q]! *= 1 + damping;
    if (!choleskyInPlace(matrix, POSE_SIZE, 0)) return null;
    choleskySolveInto(matrix, POSE_SIZE, g, step);
    const next = movedPose(from.pose, step);
    const [one, other] = [this.#one, this.#other];
    return from === one ? this.#looked(other, next, this.#room[1]) : this.#looked(one, next, this.#room[0]);
  }

  ends({ cost }: Place, gain: number | null): boolean {
    return gain !== null && gain < this.#options.gain * cost + 1e-7;
  }

  #looked(place: Place, pose: TruePose, rows: PoseRows): Place {
    place.pose = pose;
    place.rows = poseRows(this.#vertices, this.#view, pose, this.#rays, rows);
    return this.#filled(place);
  }

  #filled(place: Place): Place {
    place.cost = fillSystem(place.pose, place.rows, this.#sigma, this.#options, place.system).cost;
    return place;
  }
}
