import { product, rotationOf, turned, type Camera, type Rigid } from '../geometry/camera.ts';
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
  for (let photo = 0; photo < errors.length; photo++) cost += addPhoto(problem, at, photo, a, g, errors[photo]!);
  cost += addBeliefs(problem.prior, at, a, g);
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
  return { n, a, g, cost, errors };
}

/** What of `a` and `g` one photo's points change, taken out while they are added: it stands close together. */
const own = { a: new Float64Array(WIDTH * WIDTH), g: new Float64Array(WIDTH) };
/** Derivatives of one point's place: one row of WIDTH for u, one for v. */
const slopes = new Float64Array(2 * WIDTH);

/** Adds one photo's points to the lower triangle of `a` and to `g`, fills `errors`, and returns their cost. */
function addPhoto(
  problem: CardProblem,
  at: Unknowns,
  photo: number,
  a: Float64Array,
  g: Float64Array,
  errors: Float64Array,
): number {
  exchange(photo, a, g, false);
  const cost = addPoints(problem, viewOf(at, photo), photo, errors);
  exchange(photo, a, g, true);
  return cost;
}

/** Takes one photo's part out of `a` and `g`, or puts it `back`. */
function exchange(photo: number, a: Float64Array, g: Float64Array, back: boolean): void {
  const n = g.length;
  for (let j = 0; j < WIDTH; j++) {
    const row = placeOf(j, photo);
    if (back) g[row] = own.g[j]!;
    else own.g[j] = g[row]!;
    for (let m = 0; m <= j; m++) {
      const o = row * n + placeOf(m, photo);
      if (back) a[o] = own.a[j * WIDTH + m]!;
      else own.a[j * WIDTH + m] = a[o]!;
    }
  }
}

/** Where an unknown that a photo's points depend on stands among all. */
const placeOf = (j: number, photo: number): number => (j < SHARED ? j : PER_PHOTO * photo + j);

function addPoints(
  { sigma, robust, printed, sights, kept: keptOf }: CardProblem,
  view: PhotoView,
  photo: number,
  errors: Float64Array,
): number {
  const card = printed[photo]!;
  const { picture } = sights[photo]!;
  const kept = keptOf[photo]!;
  let cost = 0;
  for (let k = 0; k < errors.length; k += 2) {
    seenWithSlopes(view, card[k]!, card[k + 1]!, errors, k);
    errors[k] = picture[k]! - errors[k]!;
    errors[k + 1] = picture[k + 1]! - errors[k + 1]!;
    if (!kept[k >> 1]) continue;
    const r = errors[k]! / sigma;
    const s = errors[k + 1]! / sigma;
    if (!Number.isFinite(r) || !Number.isFinite(s)) return Infinity;
    const t = robust ? 1 + (r / CAUCHY) ** 2 : 1;
    const q = robust ? 1 + (s / CAUCHY) ** 2 : 1;
    cost += robust ? (CAUCHY ** 2 / 2) * Math.log(t) : (r * r) / 2;
    cost += robust ? (CAUCHY ** 2 / 2) * Math.log(q) : (s * s) / 2;
    addPoint(1 / (t * sigma * sigma), errors[k]!, 1 / (q * sigma * sigma), errors[k + 1]!);
  }
  return cost;
}

/** Adds one point, whose derivatives stand in `slopes`: u, then v. */
function addPoint(weightU: number, errorU: number, weightV: number, errorV: number): void {
  const { a, g } = own;
  for (let j = 0, o = 0; j < WIDTH; j++, o += WIDTH) {
    const u = weightU * slopes[j]!;
    const v = weightV * slopes[WIDTH + j]!;
    g[j] = g[j]! + u * errorU + v * errorV;
    for (let m = 0; m <= j; m++) a[o + m] = a[o + m]! + u * slopes[m]! + v * slopes[WIDTH + m]!;
  }
}

/** One photo's unknowns as its points are looked at. */
interface PhotoView extends Motion {
  readonly rotation: Float64Array;
  readonly shift: Vec3;
  readonly bow: Vec3;
  readonly shared: Camera;
  /** Focal length, px; printed over believed lengths along x and y. */
  readonly f: number;
  readonly alongX: number;
  readonly alongY: number;
}

function viewOf({ poses, bow, shared, motion, focus, ratio }: Unknowns, photo: number): PhotoView {
  const { rotation, shift } = poses[photo]!;
  const { skew, stretch } = motion[photo]!;
  const f = shared.f * Math.exp(focus[photo]!);
  return { rotation, shift, bow, shared, skew, stretch, f, alongX: Math.exp(ratio / 2), alongY: Math.exp(-ratio / 2) };
}

/**
 * Picture position of a card point, written to `out` at `k`, and its derivatives, to `slopes`.
 *
 * NaN where the point does not lie before the camera.
 */
// Long because it is hot: nothing is put on the heap for a point.
function seenWithSlopes(view: PhotoView, cardX: number, cardY: number, out: Float64Array, k: number): void {
  const { rotation: r, shift, bow, f, skew, stretch } = view;
  const { k1, k2, cx, cy } = view.shared;
  const X = cardX * view.alongX;
  const Y = cardY * view.alongY;
  const Z = bowHeight(bow, X, Y);
  const px = r[0]! * X + r[1]! * Y + r[2]! * Z + shift[0];
  const py = r[3]! * X + r[4]! * Y + r[5]! * Z + shift[1];
  const pz = r[6]! * X + r[7]! * Y + r[8]! * Z + shift[2];
  // How the point moves as the print's x grows by half of the ratio and its y shrinks.
  const rx = X / 2;
  const ry = -Y / 2;
  const rz = (bow[0] * X * X - bow[2] * Y * Y) / (BOW_UNIT * BOW_UNIT);
  const iz = pz > 1 ? 1 / pz : NaN;
  const x = px * iz;
  const y = py * iz;
  const r2 = x * x + y * y;
  const g = 1 + r2 * (k1 + k2 * r2);
  const dg = 2 * (k1 + 2 * k2 * r2);
  for (let c = 0; c < 2; c++) {
    // Of the undisturbed picture's x and y, what shows as u (c = 0) or v.
    const ofX = 1 - c;
    const ofY = c === 0 ? skew : 1 + stretch;
    const q = ofX * x + ofY * y;
    out[k + c] = (c === 0 ? cx : cy) + f * g * q;
    const byX = f * (ofX * g + dg * q * x);
    const byY = f * (ofY * g + dg * q * y);
    const d0 = byX * iz;
    const d1 = byY * iz;
    const d2 = -(byX * x + byY * y) * iz;
    const lift = (d0 * r[2]! + d1 * r[5]! + d2 * r[8]!) / (BOW_UNIT * BOW_UNIT);
    // A change of focal length takes the card along, so that it does not grow or shrink: else the search creeps along a bent valley.
    const grown = f * g * q + d2 * shift[2];
    const o = c * WIDTH;
    slopes[o] = grown;
    slopes[o + 1] = 1 - c;
    slopes[o + 2] = c;
    slopes[o + 3] = f * q * r2;
    slopes[o + 4] = f * q * r2 * r2;
    slopes[o + 5] = lift * X * X;
    slopes[o + 6] = lift * X * Y;
    slopes[o + 7] = lift * Y * Y;
    slopes[o + 8] =
      d0 * (r[0]! * rx + r[1]! * ry + r[2]! * rz) +
      d1 * (r[3]! * rx + r[4]! * ry + r[5]! * rz) +
      d2 * (r[6]! * rx + r[7]! * ry + r[8]! * rz);
    slopes[o + 9] = grown;
    slopes[o + 10] = d2 * py - d1 * pz;
    slopes[o + 11] = d0 * pz - d2 * px;
    slopes[o + 12] = d1 * px - d0 * py;
    slopes[o + 13] = d0;
    slopes[o + 14] = d1;
    slopes[o + 15] = d2;
    slopes[o + 16] = (1 - c) * f * g * y;
    slopes[o + 17] = c * f * g * y;
  }
}

/** Adds what was believed, each as one more observation, and returns its cost. */
function addBeliefs({ sd, f, centre }: Prior, at: Unknowns, a: Float64Array, g: Float64Array): number {
  let cost = 0;
  cost += believe(a, g, 0, Math.log(f / at.shared.f), sd.focal);
  cost += believe(a, g, 1, centre[0] - at.shared.cx, sd.centre);
  cost += believe(a, g, 2, centre[1] - at.shared.cy, sd.centre);
  cost += believe(a, g, 3, -at.shared.k1, sd.k1);
  cost += believe(a, g, 4, -at.shared.k2, sd.k2);
  for (let i = 0; i < at.bow.length; i++) cost += believe(a, g, 5 + i, -at.bow[i]!, sd.bow);
  cost += believe(a, g, RATIO, -at.ratio, sd.ratio);
  for (let i = 0; i < at.focus.length; i++) {
    const o = SHARED + PER_PHOTO * i;
    cost += believe(a, g, o, -at.focus[i]!, sd.focus);
    cost += believe(a, g, o + SKEW, -at.motion[i]!.skew, sd.skew);
    cost += believe(a, g, o + STRETCH, -at.motion[i]!.stretch, sd.stretch);
  }
  return cost;
}

function believe(a: Float64Array, g: Float64Array, j: number, believedMinusIs: number, sd: number): number {
  a[j * g.length + j]! += 1 / (sd * sd);
  g[j]! += believedMinusIs / (sd * sd);
  return (believedMinusIs / sd) ** 2 / 2;
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
    poses: at.poses.map((pose, i) => steppedPose(pose, step, SHARED + PER_PHOTO * i + 1)),
  };
}

/** A photo's pose where a step leads whose numbers of the pose begin at `o`. */
function steppedPose({ rotation, shift }: Rigid, step: Float64Array, o: number): Rigid {
  const turn = rotationOf([step[o]!, step[o + 1]!, step[o + 2]!]);
  const [x, y, z] = turned(turn, shift);
  const along = z * Math.exp(step[0]! + step[o - 1]!);
  return { rotation: product(turn, rotation), shift: [x + step[o + 3]!, y + step[o + 4]!, along + step[o + 5]!] };
}

/**
 * The covariance of the unknowns by themselves, from that of a system's steps, in which each photo's distance grows with its focal length.
 */
export function withoutCarry(covariance: Float64Array, n: number, poses: readonly Rigid[]): Float64Array {
  const out = covariance.slice();
  for (let i = 0; i < poses.length; i++) addCarry(out, n, SHARED + PER_PHOTO * i, poses[i]!.shift[2]);
  return out;
}

/** Adds to a photo's distance what goes with its focal length, whose place is `focus`. */
function addCarry(covariance: Float64Array, n: number, focus: number, distance: number): void {
  const along = focus + ALONG;
  for (let j = 0; j < n; j++) covariance[along * n + j]! += distance * (covariance[j]! + covariance[focus * n + j]!);
  for (let j = 0; j < n; j++)
    covariance[j * n + along]! += distance * (covariance[j * n]! + covariance[j * n + focus]!);
}
