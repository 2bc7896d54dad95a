import { moved, product, projection, rotationOf, turned, type Camera, type Rigid } from '../geometry/camera.ts';
import { homographyOf } from '../maths/homography.ts';
import { cholesky, choleskySolve, median } from '../maths/linear.ts';
import { scaledInverse } from '../maths/least-squares.ts';
import { failure, success, type Result } from '../result.ts';
import { cross, norm, scaled, unitVector, type Vec3 } from '../geometry/vec.ts';
import type { CardSight } from './saddles.ts';

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
} as const;

/** Focal length in shares of the picture's diagonal where the photos state none: a telephone's main lens (26 mm over 43.3 mm). */
export const FOCAL_GUESS = 26 / 43.27;

/** Rows of parameters shared by all photos: log f, cx, cy, k1, k2, then three of the bow. */
export const SHARED = 8;
/** Rows per photo: log of its focal change, then turn (3) and shift (3) as left perturbations. */
export const PER_PHOTO = 7;

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
  /** Standard deviation of one coordinate of a card point, px. */
  readonly sigma: number;
  /** Which points of each photo were kept. */
  readonly kept: readonly (readonly boolean[])[];
  readonly steps: number;
}

export type CalibrationFailure = { readonly code: 'card-points'; readonly seen: number; readonly needed: number } | { readonly code: 'camera-rank'; readonly rank: number };

/** Half the length of the card, mm: the unit of the bow's coordinates. */
const BOW_UNIT = 56;

/** Fewest saddle points for a pose. */
export const CARD_POINTS_NEEDED = 12;

export const bowHeight = (bow: Vec3, x: number, y: number): number => (bow[0] * x * x + bow[1] * x * y + bow[2] * y * y) / (BOW_UNIT * BOW_UNIT);

interface Unknowns {
  shared: Camera;
  bow: Vec3;
  focus: number[];
  poses: Rigid[];
}

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
  focal: number | null,
  scale: readonly [number, number],
): Result<Calibration, CalibrationFailure> {
  const fewest = Math.min(...sights.map((s) => s.card.length / 2));
  if (fewest < CARD_POINTS_NEEDED) return failure({ code: 'card-points', seen: fewest, needed: CARD_POINTS_NEEDED });
  const f0 = focal ?? FOCAL_GUESS * Math.hypot(size.width, size.height);
  const c0: readonly [number, number] = [(size.width - 1) / 2, (size.height - 1) / 2];
  const printed = sights.map((s) => s.card.map((v, i) => v * scale[i % 2]!));
  let at: Unknowns = {
    shared: { f: f0, cx: c0[0], cy: c0[1], k1: 0, k2: 0 },
    bow: [0, 0, 0],
    focus: sights.map(() => 0),
    poses: sights.map((s, i) => posed(printed[i]!, s.picture, f0, c0)),
  };
  const prior: Prior = { f0, c0, focal: focal === null ? CAMERA_PRIOR.focalUnknown : CAMERA_PRIOR.focal, centre: CAMERA_PRIOR.centre * size.width };
  const kept = sights.map((s) => Array.from({ length: s.card.length / 2 }, () => true));
  let sigma = 0.3;
  let steps = 0;
  let system: System | null = null;
  for (let round = 0; round < 4; round++) {
    const run = descended(at, printed, sights, kept, sigma, prior);
    at = run.at;
    system = run.system;
    steps += run.steps;
    const all = run.system.errors;
    const flat = all.flatMap((e, i) => Array.from(e).filter((_, k) => kept[i]![k >> 1]!));
    sigma = Math.max(0.004, 1.4826 * median(flat.map(Math.abs)));
    all.forEach((e, i) => kept[i]!.forEach((_, k) => (kept[i]![k] = Math.hypot(e[2 * k]!, e[2 * k + 1]!) < 6 * sigma)));
  }
  const final = normalSystem(at, printed, sights, kept, sigma, prior, true);
  const covariance = scaledInverse(final.a, final.n);
  if (typeof covariance === 'number') return failure({ code: 'camera-rank', rank: covariance });
  void system;
  return success({
    shared: at.shared,
    cameras: at.focus.map((d) => ({ ...at.shared, f: at.shared.f * Math.exp(d) })),
    cameraFromCard: at.poses,
    bow: at.bow,
    covariance,
    sigma,
    kept,
    steps,
  });
}

/** First pose from the plane's homography (Zhang 2000, section 3.1), lens ignored. */
function posed(card: Float64Array, picture: Float64Array, f: number, c: readonly [number, number]): Rigid {
  const h = homographyOf(card, picture.map((v, i) => (v - c[i % 2]!) / f));
  const m = h ?? Float64Array.of(1, 0, 0, 0, -1, 0, 0, 0, 300);
  const sign = m[8]! < 0 ? -1 : 1;
  const column = (k: number): Vec3 => [sign * m[k]!, sign * m[3 + k]!, sign * m[6 + k]!];
  const size = 2 / (norm(column(0)) + norm(column(1)));
  const x = unitVector(column(0));
  const z = unitVector(cross(x, column(1)));
  const y = cross(z, x);
  return { rotation: Float64Array.of(x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]), shift: scaled(column(2), size) };
}

interface Prior {
  readonly f0: number;
  readonly c0: readonly [number, number];
  readonly focal: number;
  readonly centre: number;
}

interface System {
  readonly n: number;
  /** Normal matrix, n x n, and gradient. */
  readonly a: Float64Array;
  readonly g: Float64Array;
  readonly cost: number;
  /** Observed minus model per photo, [du, dv] per point, px. */
  readonly errors: readonly Float64Array[];
}

function descended(start: Unknowns, printed: readonly Float64Array[], sights: readonly CardSight[], kept: readonly boolean[][], sigma: number, prior: Prior): { at: Unknowns; system: System; steps: number } {
  let at = start;
  let system = normalSystem(at, printed, sights, kept, sigma, prior, true);
  let damping = 1e-4;
  let steps = 0;
  for (; steps < 60; steps++) {
    const { n } = system;
    const a = Float64Array.from(system.a);
    for (let i = 0; i < n; i++) a[i * n + i] = a[i * n + i]! * (1 + damping) + 1e-12;
    const l = cholesky(a, n, 0);
    const h = l && choleskySolve(l, n, system.g);
    const next = h && stepped(at, h);
    const tried = next && normalSystem(next, printed, sights, kept, sigma, prior, true);
    if (tried && tried.cost < system.cost) {
      const gain = system.cost - tried.cost;
      at = next;
      system = tried;
      damping = Math.max(1e-12, damping / 8);
      if (gain < 1e-8 * tried.cost) break;
    } else {
      damping *= 10;
      if (damping > 1e8) break;
    }
  }
  return { at, system, steps };
}

function stepped(at: Unknowns, h: Float64Array): Unknowns {
  const { shared: s } = at;
  return {
    shared: { f: s.f * Math.exp(h[0]!), cx: s.cx + h[1]!, cy: s.cy + h[2]!, k1: s.k1 + h[3]!, k2: s.k2 + h[4]! },
    bow: [at.bow[0] + h[5]!, at.bow[1] + h[6]!, at.bow[2] + h[7]!],
    focus: at.focus.map((d, i) => d + h[SHARED + PER_PHOTO * i]!),
    poses: at.poses.map((p, i) => {
      const o = SHARED + PER_PHOTO * i + 1;
      const turn = rotationOf([h[o]!, h[o + 1]!, h[o + 2]!]);
      const t = turned(turn, p.shift);
      return { rotation: product(turn, p.rotation), shift: [t[0] + h[o + 3]!, t[1] + h[o + 4]!, t[2] + h[o + 5]!] };
    }),
  };
}

/** Derivative of a picture position by the shared parameters (5), the point in the camera frame (3): two rows of 8. */
function derivative(camera: Camera, p: Vec3, row: Float64Array): readonly [number, number] {
  const iz = 1 / p[2];
  const x = p[0] * iz;
  const y = p[1] * iz;
  const r2 = x * x + y * y;
  const g = 1 + r2 * (camera.k1 + camera.k2 * r2);
  const dg = 2 * (camera.k1 + 2 * camera.k2 * r2);
  const f = camera.f;
  // by log f, cx, cy, k1, k2
  row[0] = f * g * x;
  row[8] = f * g * y;
  row[1] = 1;
  row[9] = 0;
  row[2] = 0;
  row[10] = 1;
  row[3] = f * x * r2;
  row[11] = f * y * r2;
  row[4] = f * x * r2 * r2;
  row[12] = f * y * r2 * r2;
  // by x and y, then by the point
  const uxx = f * (g + dg * x * x);
  const uxy = f * dg * x * y;
  const uyy = f * (g + dg * y * y);
  row[5] = uxx * iz;
  row[6] = uxy * iz;
  row[7] = -(uxx * x + uxy * y) * iz;
  row[13] = uxy * iz;
  row[14] = uyy * iz;
  row[15] = -(uxy * x + uyy * y) * iz;
  return [camera.cx + f * g * x, camera.cy + f * g * y];
}

function normalSystem(at: Unknowns, printed: readonly Float64Array[], sights: readonly CardSight[], kept: readonly boolean[][], sigma: number, prior: Prior, robust: boolean): System {
  const n = SHARED + PER_PHOTO * sights.length;
  const a = new Float64Array(n * n);
  const g = new Float64Array(n);
  let cost = 0;
  const errors: Float64Array[] = [];
  const d = new Float64Array(16);
  const row = new Float64Array(SHARED + PER_PHOTO);
  sights.forEach((sight, i) => {
    const camera = { ...at.shared, f: at.shared.f * Math.exp(at.focus[i]!) };
    const pose = at.poses[i]!;
    const card = printed[i]!;
    const e = new Float64Array(card.length);
    errors.push(e);
    const o = SHARED + PER_PHOTO * i;
    for (let k = 0; k < card.length / 2; k++) {
      const x = card[2 * k]!;
      const y = card[2 * k + 1]!;
      const p = moved(pose, [x, y, bowHeight(at.bow, x, y)]);
      const [u, v] = p[2] > 1 ? derivative(camera, p, d) : [NaN, NaN];
      e[2 * k] = sight.picture[2 * k]! - u;
      e[2 * k + 1] = sight.picture[2 * k + 1]! - v;
      if (!kept[i]![k]) continue;
      if (!Number.isFinite(u)) {
        cost = Infinity;
        continue;
      }
      const z = turned(pose.rotation, [0, 0, 1]);
      for (let c = 0; c < 2; c++) {
        const q = 8 * c;
        const [d0, d1, d2] = [d[q + 5]!, d[q + 6]!, d[q + 7]!];
        for (let j = 0; j < 5; j++) row[j] = d[q + j]!;
        const lift = (d0 * z[0] + d1 * z[1] + d2 * z[2]) / (BOW_UNIT * BOW_UNIT);
        row[5] = lift * x * x;
        row[6] = lift * x * y;
        row[7] = lift * y * y;
        row[8] = d[q]!;
        row[9] = d2 * p[1] - d1 * p[2];
        row[10] = d0 * p[2] - d2 * p[0];
        row[11] = d1 * p[0] - d0 * p[1];
        row[12] = d0;
        row[13] = d1;
        row[14] = d2;
        const r = e[2 * k + c]! / sigma;
        // Cauchy's weights: a point six sigma off counts a tenth.
        const t = robust ? 1 + (r / 2.5) ** 2 : 1;
        cost += robust ? 3.125 * Math.log(t) : r * r / 2;
        const w = 1 / (t * sigma * sigma);
        for (let j = 0; j < row.length; j++) {
          const jj = j < SHARED ? j : o + j - SHARED;
          g[jj] = g[jj]! - w * row[j]! * -e[2 * k + c]!;
          for (let m = 0; m <= j; m++) {
            const mm = m < SHARED ? m : o + m - SHARED;
            a[jj * n + mm] = a[jj * n + mm]! + w * row[j]! * row[m]!;
          }
        }
      }
    }
  });
  // Priors; the residual is what was believed minus what is.
  const believe = (j: number, residual: number, sd: number): void => {
    cost += (residual / sd) ** 2 / 2;
    a[j * n + j] = a[j * n + j]! + 1 / (sd * sd);
    g[j] = g[j]! + residual / (sd * sd);
  };
  believe(0, Math.log(prior.f0 / at.shared.f), prior.focal);
  believe(1, prior.c0[0] - at.shared.cx, prior.centre);
  believe(2, prior.c0[1] - at.shared.cy, prior.centre);
  believe(3, -at.shared.k1, CAMERA_PRIOR.k1);
  believe(4, -at.shared.k2, CAMERA_PRIOR.k2);
  at.bow.forEach((b, i) => {
    believe(5 + i, -b, CAMERA_PRIOR.bow);
  });
  at.focus.forEach((x, i) => {
    believe(SHARED + PER_PHOTO * i, -x, CAMERA_PRIOR.focus);
  });
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
  return { n, a, g, cost, errors };
}

/** Picture position of a point given in the card frame (printed mm), for checks and overlays. */
export const seenAt = (c: Calibration, photo: number, p: Vec3): readonly [number, number] => projection(c.cameras[photo]!, moved(c.cameraFromCard[photo]!, p));
