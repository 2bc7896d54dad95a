import { hypot2 } from '../maths/hypot.ts';
import type { Px } from '../units.ts';
import { moved, projection, type Camera, type Rigid } from '../geometry/camera.ts';
import { cross, norm, scaled, unitVector, type Vec3 } from '../geometry/vec.ts';
import { homographyOf } from '../maths/homography.ts';
import { byFactors, descended, type Descended, type Slope, type Stop } from '../maths/descent.ts';
import { scaledInverse } from '../maths/least-squares.ts';
import { choleskyInPlace, choleskySolve, median } from '../maths/linear.ts';
import { failure, success, type Result } from '../result.ts';
import {
  bowHeight,
  cardSystem,
  PER_PHOTO,
  RATIO,
  SHARED,
  SKEW,
  stepped,
  withoutCarry,
  type CardProblem,
  type CardSystem,
  type Motion,
  type Prior,
  type Unknowns,
} from './card-system.ts';
import type { CardSight } from './saddles.ts';

export { bowHeight, PER_PHOTO, RATIO, SHARED };

/** What is believed before the photos are seen; each a standard deviation. Common practice for telephones and small cameras. */
export const CAMERA_PRIOR = {
  /** Relative doubt of the focal length that the photo's own data state. */
  focal: 0.1,
  /** The same where the photos state none. */
  focalUnknown: 0.5,
  /** Principal point from the picture's centre, in shares of its width. */
  centre: 0.012,
  k1: 0.2,
  k2: 0.4,
  /** Relative change of focal length from photo to photo (autofocus). */
  focus: 2e-3,
  /** Sagitta of the card's bow over half its width, mm. */
  bow: 0.25,
  /** Of the log of the print's x over y beyond the scale given: held where nothing is said. */
  ratio: 1e-9,
  /** Skew and stretch of a photo by a shutter that reads row by row: none where nothing is said, since they blur the principal point. */
  skew: 1e-9,
  stretch: 1e-9,
};
export type Beliefs = Readonly<typeof CAMERA_PRIOR>;

/** Focal length in shares of the picture's diagonal where the photos state none: a telephone's main lens (26 mm over 43.3 mm). */
export const FOCAL_GUESS = 26 / 43.27;

/** Fewest saddle points for a pose. */
export const CARD_POINTS_NEEDED = 12;

/** A point whose error exceeds this many sigma is left out. */
const OUTLIER = 6;
/** Least sigma that is believed, px: below it rounding and the model's own limits count. */
const LEAST_SIGMA = 0.004;
/** Fits in a row, each with the sigma and the points that the one before left. */
const ROUNDS = 4;
/** Gain, as a share of the cost, below which a fit ends: all but the last one's sigma and points change anyway. */
export const GAIN = { passing: 1e-4, last: 1e-10 } as const;

export interface Calibration {
  /** One per photo: the shared camera with the photo's own focal length. */
  readonly cameras: readonly Camera[];
  readonly shared: Camera;
  /** Card frame to camera frame, per photo. */
  readonly cameraFromCard: readonly Rigid[];
  /** Height of the card over its plane: `b0 X^2 + b1 X Y + b2 Y^2` with X, Y in units of half the card's length, mm. */
  readonly bow: Vec3;
  /** Of SHARED + PER_PHOTO * photos parameters, row-major. */
  readonly covariance: Float64Array;
  /** Log of the print's x over y beyond the scale given, and its standard deviation. */
  readonly ratio: { readonly value: number; readonly u: number };
  /** Each photo's own skew and stretch, as its camera holds them too; the skews' standard deviations. */
  readonly motion: readonly Motion[];
  readonly skewU: readonly number[];
  /** Where the fit ended: what another one may start from. */
  readonly at: Unknowns;
  /** Observed minus model of all points, kept or not, [du, dv] each, px, per photo. */
  readonly errors: readonly Float64Array[];
  /** Standard deviation of one coordinate of a card point, px. */
  readonly sigma: number;
  /** Which points of each photo were kept. */
  readonly kept: readonly (readonly boolean[])[];
  /** Why the last round of the fit ended, and tries of all rounds. */
  readonly stop: Stop;
  readonly steps: number;
}

export type CalibrationFailure =
  | { readonly code: 'card-points'; readonly seen: number; readonly needed: number }
  | { readonly code: 'camera-rank'; readonly rank: number };

export interface CalibrationOptions {
  readonly beliefs: Beliefs;
  /** Cauchy's weights, and points far off left out; else all points alike, and `sigma` is their plain root mean square. */
  readonly robust: boolean;
  /** A calibration of the same points with other beliefs, from which this one goes on: its points and their sigma are kept. */
  readonly from: Pick<Calibration, 'at' | 'kept' | 'sigma'> | null;
  /** Gain, as a share of the cost, below which the last round ends. */
  readonly least: number;
}

export const CALIBRATION_OPTIONS: CalibrationOptions = {
  beliefs: CAMERA_PRIOR,
  robust: true,
  from: null,
  least: GAIN.last,
};

/**
 * One camera, a pose per photo and the card's bow, from the card's points in all photos of a set.
 *
 * Levenberg-Marquardt on all parameters together, run to convergence, with Cauchy weights; the points' own scatter sets their
 * sigma. Source of the scheme: Zhang, "A flexible new technique for camera calibration" (2000).
 *
 * @param focal  Stated focal length in px, or null.
 * @param scale  Printed over designed length along x and y.
 */
export function calibration(
  sights: readonly CardSight[],
  size: { readonly width: number; readonly height: number },
  focal: Px | null,
  scale: readonly [number, number],
  options: Partial<CalibrationOptions> = {},
): Result<Calibration, CalibrationFailure> {
  const { beliefs, robust, from, least } = { ...CALIBRATION_OPTIONS, ...options };
  const fewest = sights.length === 0 ? 0 : Math.min(...sights.map((s) => s.card.length / 2));
  if (fewest < CARD_POINTS_NEEDED) return failure({ code: 'card-points', seen: fewest, needed: CARD_POINTS_NEEDED });
  const prior = priorOf(size, focal, beliefs);
  const printed = sights.map((s) => printedPlaces(s.card, scale));
  let at: Unknowns = from?.at ?? {
    shared: { f: prior.f, cx: prior.centre[0], cy: prior.centre[1], k1: 0, k2: 0 },
    bow: [0, 0, 0],
    ratio: 0,
    focus: sights.map(() => 0),
    motion: sights.map(() => ({ skew: 0, stretch: 0 })),
    poses: sights.map((s, i) => posed(printed[i]!, s.picture, prior)),
  };
  let kept = from?.kept ?? sights.map((s) => Array.from({ length: s.card.length / 2 }, () => true));
  let sigma = from?.sigma ?? 0.3;
  let steps = 0;
  let stop: Stop = 'steps';
  let errors: readonly Float64Array[] = [];
  for (let round = from ? ROUNDS - 1 : 0; round < ROUNDS; round++) {
    const run = descendedTo(
      { sights, printed, kept, sigma, prior, robust },
      at,
      round < ROUNDS - 1 ? GAIN.passing : least,
    );
    at = run.place.at;
    steps += run.steps;
    stop = run.stop;
    errors = run.place.system.errors;
    sigma = scatter(errors, kept, robust);
    if (robust) kept = errors.map((e) => pointsWithin(e, OUTLIER * sigma));
  }
  const final = cardSystem({ sights, printed, kept, sigma, prior, robust }, at);
  const carried = scaledInverse(final.a, final.n);
  if (typeof carried === 'number') return failure({ code: 'camera-rank', rank: carried });
  const covariance = withoutCarry(carried, final.n, at.poses);
  const cameras = at.focus.map((d, i) => ({ ...at.shared, ...at.motion[i]!, f: at.shared.f * Math.exp(d) }));
  const ratio = { value: at.ratio, u: Math.sqrt(covariance[RATIO * final.n + RATIO]!) };
  const skewU = at.motion.map((_, i) => Math.sqrt(covariance[(SHARED + PER_PHOTO * i + SKEW) * (final.n + 1)]!));
  const { shared, bow, motion, poses: cameraFromCard } = at;
  return success({
    shared,
    cameras,
    cameraFromCard,
    bow,
    ratio,
    motion,
    skewU,
    at,
    errors,
    covariance,
    sigma,
    kept,
    stop,
    steps,
  });
}

function printedPlaces(card: Float64Array, [x, y]: readonly [number, number]): Float64Array {
  const out = card.slice();
  for (let k = 0; k < out.length; k += 2) {
    out[k]! *= x;
    out[k + 1]! *= y;
  }
  return out;
}

function priorOf(size: { readonly width: number; readonly height: number }, focal: Px | null, beliefs: Beliefs): Prior {
  return {
    f: focal ?? FOCAL_GUESS * Math.hypot(size.width, size.height),
    centre: [(size.width - 1) / 2, (size.height - 1) / 2],
    sd: {
      ...beliefs,
      focal: focal === null ? beliefs.focalUnknown : beliefs.focal,
      centre: beliefs.centre * size.width,
    },
  };
}

/**
 * Standard deviation of the coordinates of the kept points, px: from their median, or their root mean square.
 *
 * Widened by what the fit took away: each photo's pose takes six coordinates' worth, the camera and the bow up to SHARED.
 */
function scatter(errors: readonly Float64Array[], kept: readonly (readonly boolean[])[], robust: boolean): number {
  const sizes: number[] = [];
  let squares = 0;
  for (const [i, e] of errors.entries()) {
    const own = kept[i]!;
    for (let k = 0; k < e.length; k++) {
      if (!own[k >> 1]) continue;
      sizes.push(Math.abs(e[k]!));
      squares += e[k]! * e[k]!;
    }
  }
  if (!robust) return Math.sqrt(squares / sizes.length);
  const left = Math.max(1, sizes.length - SHARED - (PER_PHOTO - 1) * errors.length);
  return Math.max(LEAST_SIGMA, 1.4826 * median(sizes) * Math.sqrt(sizes.length / left));
}

/** Which points, of [du, dv] each, lie off by less than so much. */
function pointsWithin(errors: Float64Array, most: number): boolean[] {
  const out: boolean[] = [];
  for (let k = 0; k < errors.length; k += 2) out.push(hypot2(errors[k]!, errors[k + 1]!) < most);
  return out;
}

/** First pose from the plane's homography (Zhang 2000, section 3.1), lens ignored. */
function posed(card: Float64Array, picture: Float64Array, { f, centre }: Prior): Rigid {
  const h = homographyOf(
    card,
    picture.map((v, i) => (v - centre[i % 2]!) / f),
  );
  const m = h ?? Float64Array.of(1, 0, 0, 0, -1, 0, 0, 0, 300);
  const sign = m[8]! < 0 ? -1 : 1;
  const column = (k: number): Vec3 => [sign * m[k]!, sign * m[3 + k]!, sign * m[6 + k]!];
  const size = 2 / (norm(column(0)) + norm(column(1)));
  const x = unitVector(column(0));
  const z = unitVector(cross(x, column(1)));
  const y = cross(z, x);
  return {
    rotation: Float64Array.of(x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]),
    shift: scaled(column(2), size),
  };
}

/** Damping of a calibration's steps, and how many are tried at most. */
const DAMPING = byFactors(1e-4, 8, 10, 1e-12, 1e8);
const STEPS = 60;

/** Unknowns with what the points say there. */
interface Place {
  readonly at: Unknowns;
  readonly system: CardSystem;
  readonly cost: number;
}

/** The descent at fixed sigma and fixed points, until a step gains less than this share of the cost. */
function descendedTo(problem: CardProblem, start: Unknowns, least: number): Descended<Place> {
  return descended(placeAt(problem, start), new CardSlope(problem, least), DAMPING, STEPS);
}

function placeAt(problem: CardProblem, at: Unknowns): Place {
  const system = cardSystem(problem, at);
  return { at, system, cost: system.cost };
}

class CardSlope implements Slope<Place> {
  readonly #problem: CardProblem;
  readonly #least: number;

  constructor(problem: CardProblem, least: number) {
    this.#problem = problem;
    this.#least = least;
  }

  tried({ at, system }: Place, damping: number): Place | null {
    const { n } = system;
    const a = system.a.slice();
    for (let i = 0; i < n; i++) a[i * n + i] = a[i * n + i]! * (1 + damping) + 1e-12;
    return choleskyInPlace(a, n, 0) ? placeAt(this.#problem, stepped(at, choleskySolve(a, n, system.g))) : null;
  }

  ends({ cost }: Place, gain: number | null): boolean {
    return gain !== null && gain < this.#least * cost;
  }
}

/** Picture position of a point given in the card frame (printed mm), for checks and overlays. */
export const seenAt = (c: Calibration, photo: number, p: Vec3): readonly [number, number] =>
  projection(c.cameras[photo]!, moved(c.cameraFromCard[photo]!, p));
