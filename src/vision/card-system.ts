import { moved, product, rotationOf, turned, type Camera, type Rigid } from '../geometry/camera.ts';
import type { Vec3 } from '../geometry/vec.ts';
import type { CardSight } from './saddles.ts';

/** Rows of parameters shared by all photos: log f, cx, cy, k1, k2, three of the bow, log of the print's ratio of x to y. */
export const SHARED = 9;
/** Row of the print's ratio. */
export const RATIO = 8;
/**
 * Rows per photo: log of its focal change, then turn (3) and shift (3) as left perturbations (see {@link withoutCarry}), skew, stretch.
 */
export const PER_PHOTO = 9;
/** Where a photo's shift along the viewing axis, its skew and its stretch stand among its rows. */
export const [ALONG, SKEW, STRETCH] = [6, 7, 8] as const;
/** Unknowns that one point depends on. */
const WIDTH = SHARED + PER_PHOTO;

/** Half the length of the card, mm: the unit of the bow's coordinates. */
const BOW_UNIT = 56;

/** Height of a bowed card over its plane, mm. */
export const bowHeight = (bow: Vec3, x: number, y: number): number =>
  (bow[0] * x * x + bow[1] * x * y + bow[2] * y * y) / (BOW_UNIT * BOW_UNIT);

/** Where the search stands. */
export interface Unknowns {
  readonly shared: Camera;
  readonly bow: Vec3;
  /** Log of the print's x over y, beyond the scale that the printed places hold already. */
  readonly ratio: number;
  /** Log of each photo's own share in the focal length. */
  readonly focus: readonly number[];
  /** Each photo's own skew and stretch. */
  readonly motion: readonly Motion[];
  /** Card frame to camera frame, per photo. */
  readonly poses: readonly Rigid[];
}

export type Motion = Readonly<Record<'skew' | 'stretch', number>>;

/** Means and standard deviations of what is believed before the photos are seen. */
export interface Prior {
  readonly f: number;
  readonly centre: readonly [number, number];
  /** Of log f; of the principal point, px; of the lens terms; of each photo's focus, skew, stretch; of the bow, mm; of the ratio's log. */
  readonly sd: Readonly<
    Record<'focal' | 'centre' | 'k1' | 'k2' | 'focus' | 'bow' | 'ratio' | 'skew' | 'stretch', number>
  >;
}

export interface CardProblem {
  readonly sights: readonly CardSight[];
  /** [x, y] per point as printed, mm, per photo. */
  readonly printed: readonly Float64Array[];
  readonly kept: readonly (readonly boolean[])[];
  /** Standard deviation of one coordinate of a point, px. */
  readonly sigma: number;
  readonly prior: Prior;
  /** Cauchy's weights; else plain least squares. */
  readonly robust: boolean;
}

/**
 * Normal equations `a . step = g` of half the weighted squares, or of Cauchy's cost: `a` n x n, row-major, `g` n numbers; SHARED unknowns first,
 * then PER_PHOTO of each photo.
 */
export interface CardSystem {
  readonly n: number;
  readonly a: Float64Array;
  readonly g: Float64Array;
  /** Infinity where a kept point lies behind the camera. */
  readonly cost: number;
  /** Observed minus model per photo, [du, dv] per point, px; NaN behind the camera. */
  readonly errors: readonly Float64Array[];
}

/** Cauchy's scale in units of sigma: a point six sigma off counts about a seventh. */
const CAUCHY = 2.5;

export function cardSystem(problem: CardProblem, at: Unknowns): CardSystem {
  const n = SHARED + PER_PHOTO * problem.sights.length;
  const a = new Float64Array(n * n);
  const g = new Float64Array(n);
  const errors = problem.printed.map((card) => new Float64Array(card.length));
  let cost = 0;
  problem.printed.forEach((_, photo) => {
    cost += addPhoto(problem, at, photo, a, g, errors[photo]!);
  });
  cost += addBeliefs(problem.prior, at, a, g);
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
  return { n, a, g, cost, errors };
}

/** Adds one photo's points to the lower triangle of `a` and to `g`, fills `errors`, and returns their cost. */
function addPhoto(
  problem: CardProblem,
  at: Unknowns,
  photo: number,
  a: Float64Array,
  g: Float64Array,
  errors: Float64Array,
): number {
  const { sigma, robust } = problem;
  const [card, { picture }, kept] = [problem.printed[photo]!, problem.sights[photo]!, problem.kept[photo]!];
  const column = Int32Array.from({ length: WIDTH }, (_, j) => (j < SHARED ? j : PER_PHOTO * photo + j));
  const slopes = new Float64Array(2 * WIDTH);
  const n = g.length;
  let cost = 0;
  for (let k = 0; k < errors.length; k++) {
    const c = k % 2;
    const point = k >> 1;
    if (c === 0) seenWithSlopes(at, photo, card[k]!, card[k + 1]!, errors, k, slopes);
    errors[k] = picture[k]! - errors[k]!;
    if (!kept[point]) continue;
    const r = errors[k]! / sigma;
    if (!Number.isFinite(r)) return Infinity;
    const t = robust ? 1 + (r / CAUCHY) ** 2 : 1;
    cost += robust ? (CAUCHY ** 2 / 2) * Math.log(t) : (r * r) / 2;
    const weight = 1 / (t * sigma * sigma);
    for (let j = 0; j < WIDTH; j++) {
      const w = weight * slopes[c * WIDTH + j]!;
      g[column[j]!]! += w * errors[k]!;
      for (let m = 0; m <= j; m++) a[column[j]! * n + column[m]!]! += w * slopes[c * WIDTH + m]!;
    }
  }
  return cost;
}

/**
 * Picture position of a card point, written to `out` at `k`, and its derivatives: one row of WIDTH for u, one for v.
 *
 * NaN where the point does not lie before the camera.
 */
function seenWithSlopes(
  at: Unknowns,
  photo: number,
  cardX: number,
  cardY: number,
  out: Float64Array,
  k: number,
  slopes: Float64Array,
): void {
  const { rotation, shift } = at.poses[photo]!;
  const X = cardX * Math.exp(at.ratio / 2);
  const Y = cardY * Math.exp(-at.ratio / 2);
  const p = moved({ rotation, shift }, [X, Y, bowHeight(at.bow, X, Y)]);
  const up = turned(rotation, [0, 0, 1]);
  // How the point moves as the print's x grows by half of the ratio and its y shrinks.
  const ratio = turned(rotation, [X / 2, -Y / 2, (at.bow[0] * X * X - at.bow[2] * Y * Y) / (BOW_UNIT * BOW_UNIT)]);
  const { k1, k2, cx, cy } = at.shared;
  const { skew, stretch } = at.motion[photo]!;
  const f = at.shared.f * Math.exp(at.focus[photo]!);
  const iz = p[2] > 1 ? 1 / p[2] : NaN;
  const [x, y] = [p[0] * iz, p[1] * iz];
  const r2 = x * x + y * y;
  const g = 1 + r2 * (k1 + k2 * r2);
  const dg = 2 * (k1 + 2 * k2 * r2);
  for (let c = 0; c < 2; c++) {
    // Of the undisturbed picture's x and y, what shows as u (c = 0) or v.
    const [ofX, ofY] = c === 0 ? [1, skew] : [0, 1 + stretch];
    const q = ofX * x + ofY * y;
    out[k + c] = (c === 0 ? cx : cy) + f * g * q;
    const byX = f * (ofX * g + dg * q * x);
    const byY = f * (ofY * g + dg * q * y);
    const [d0, d1, d2] = [byX * iz, byY * iz, -(byX * x + byY * y) * iz];
    const lift = (d0 * up[0] + d1 * up[1] + d2 * up[2]) / (BOW_UNIT * BOW_UNIT);
    // A change of focal length takes the card along, so that it does not grow or shrink: else the search creeps along a bent valley.
    const grown = f * g * q + d2 * shift[2];
    const row = [
      grown,
      1 - c,
      c,
      f * q * r2,
      f * q * r2 * r2,
      lift * X * X,
      lift * X * Y,
      lift * Y * Y,
      d0 * ratio[0] + d1 * ratio[1] + d2 * ratio[2],
      grown,
      d2 * p[1] - d1 * p[2],
      d0 * p[2] - d2 * p[0],
      d1 * p[0] - d0 * p[1],
      d0,
      d1,
      d2,
      (1 - c) * f * g * y,
      c * f * g * y,
    ];
    slopes.set(row, c * WIDTH);
  }
}

/** Adds what was believed, each as one more observation, and returns its cost. */
function addBeliefs(prior: Prior, at: Unknowns, a: Float64Array, g: Float64Array): number {
  const n = g.length;
  let cost = 0;
  const believe = (j: number, believedMinusIs: number, sd: number): void => {
    cost += (believedMinusIs / sd) ** 2 / 2;
    a[j * n + j]! += 1 / (sd * sd);
    g[j]! += believedMinusIs / (sd * sd);
  };
  const { sd } = prior;
  believe(0, Math.log(prior.f / at.shared.f), sd.focal);
  believe(1, prior.centre[0] - at.shared.cx, sd.centre);
  believe(2, prior.centre[1] - at.shared.cy, sd.centre);
  believe(3, -at.shared.k1, sd.k1);
  believe(4, -at.shared.k2, sd.k2);
  at.bow.forEach((b, i) => {
    believe(5 + i, -b, sd.bow);
  });
  believe(RATIO, -at.ratio, sd.ratio);
  at.focus.forEach((d, i) => {
    const o = SHARED + PER_PHOTO * i;
    believe(o, -d, sd.focus);
    believe(o + SKEW, -at.motion[i]!.skew, sd.skew);
    believe(o + STRETCH, -at.motion[i]!.stretch, sd.stretch);
  });
  return cost;
}

/** Where a step of the system leads. */
export function stepped(at: Unknowns, step: Float64Array): Unknowns {
  const { shared: s, bow } = at;
  return {
    shared: {
      ...s,
      f: s.f * Math.exp(step[0]!),
      cx: s.cx + step[1]!,
      cy: s.cy + step[2]!,
      k1: s.k1 + step[3]!,
      k2: s.k2 + step[4]!,
    },
    bow: [bow[0] + step[5]!, bow[1] + step[6]!, bow[2] + step[7]!],
    ratio: at.ratio + step[RATIO]!,
    focus: at.focus.map((d, i) => d + step[SHARED + PER_PHOTO * i]!),
    motion: at.motion.map(({ skew, stretch }, i) => {
      const o = SHARED + PER_PHOTO * i;
      return { skew: skew + step[o + SKEW]!, stretch: stretch + step[o + STRETCH]! };
    }),
    poses: at.poses.map(({ rotation, shift }, i) => {
      const o = SHARED + PER_PHOTO * i + 1;
      const turn = rotationOf([step[o]!, step[o + 1]!, step[o + 2]!]);
      const [x, y, z] = turned(turn, shift);
      const along = z * Math.exp(step[0]! + step[o - 1]!);
      return { rotation: product(turn, rotation), shift: [x + step[o + 3]!, y + step[o + 4]!, along + step[o + 5]!] };
    }),
  };
}

/**
 * The covariance of the unknowns by themselves, from that of a system's steps, in which each photo's distance grows with its focal length.
 */
export function withoutCarry(covariance: Float64Array, n: number, poses: readonly Rigid[]): Float64Array {
  const out = covariance.slice();
  poses.forEach(({ shift }, i) => {
    const focus = SHARED + PER_PHOTO * i;
    const along = focus + ALONG;
    for (let j = 0; j < n; j++) out[along * n + j]! += shift[2] * (out[j]! + out[focus * n + j]!);
    for (let j = 0; j < n; j++) out[j * n + along]! += shift[2] * (out[j * n]! + out[j * n + focus]!);
  });
  return out;
}
