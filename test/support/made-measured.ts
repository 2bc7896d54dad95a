import { SHAPE_PRIOR } from '../../src/fit/normal-equations.ts';
import type { Tau } from '../../src/fit/stretches.ts';
import { bodyOf, parameterCount, type FitPhoto } from '../../src/fit/die-state.ts';
import type { Outline } from '../../src/geometry/outline.ts';
import type { DieKind } from '../../src/geometry/solid.ts';
import { seededNormal, seededRandom } from '../../src/maths/random.ts';
import { axisRows, meanOf, unit, type Linear } from '../../src/measure/linear-lengths.ts';
import type { Added } from '../../src/measure/look.ts';
import type { Measured } from '../../src/measure/measured.ts';
import type { RoundResult } from '../../src/measure/rounds.ts';
import type { Job, PhotoResult } from '../../src/formats/result.ts';
import { PER_PHOTO, SHARED } from '../../src/vision/calibration.ts';
import { LUMA } from '../../src/vision/picture.ts';
import { HALF_COLOUR_BLUR, TERM_COUNT, type Response } from '../../src/vision/profile.ts';
import { SRGB } from '../../src/vision/tone.ts';
import { madeAdded, NO_CROP, NO_REGION } from './made-added.ts';
import { CAMERA, exactOutline, shifted, unevenDie } from './synthetic-die.ts';

/** Doubts that {@link madeMeasured} states of its calibration: of the five numbers of the camera, and of each photo's nine. */
export const MADE_CAMERA_U = [2e-4, 0.4, 0.5, 0.003, 0.006] as const;
export const MADE_SCALE_U = 4e-4;
const MADE_POSE_U = 2e-4;

const RESPONSE: Response = { tone: SRGB, sharpening: 0.4, radius: 1.1, plane: LUMA, colourBlur: HALF_COLOUR_BLUR };

export interface MadeOptions {
  readonly kind?: DieKind;
  readonly count?: number;
  /** Noise of a point, px, and the offsets of stretches that the set is said to have. */
  readonly sigma?: number;
  readonly tau?: Tau;
  /** Further out by so many px, per photo. */
  readonly out?: readonly number[];
  readonly job?: Partial<Job>;
}

/** A set of photos of an uneven die that was never photographed: exact outlines with seeded noise, and a camera known as stated. Milliseconds. */
export function madeMeasured({
  kind = 'd6',
  count = 4,
  sigma = 0.05,
  tau = [0.012, 0.05, 0.04],
  out = [],
  job = {},
}: MadeOptions = {}): Measured {
  const { truth, photos } = unevenDie(kind, 31, count);
  const random = seededRandom(5);
  const normal = seededNormal(random);
  const outlines = photos.map((photo, i): Outline => {
    const exact = shifted(exactOutline(truth, photo, i, 6, sigma), () => sigma * normal() + (out[i] ?? 0));
    return {
      ...exact,
      terms: TERM_COUNT,
      byTerm: Float64Array.from({ length: exact.sigma.length * TERM_COUNT }, () => random()),
    };
  });
  const size = SHARED + PER_PHOTO * photos.length;
  const covariance = new Float64Array(size * size);
  for (let k = 0; k < size; k++)
    covariance[k * (size + 1)] = (MADE_CAMERA_U[k] ?? (k < SHARED ? 1e-9 : MADE_POSE_U)) ** 2;
  return {
    job: {
      die: kind,
      shots: photos.map(({ shot }, i) => ({ photo: `${i}.jpg`, ...shot })),
      checkBar: 100,
      checkBarY: 100,
      checkBarU: 0.05,
      numbering: null,
      ...job,
    } as Job,
    solid: truth.solid,
    state: truth,
    fit: { state: truth, cost: 0, stop: 'converged', steps: 1 },
    photos,
    used: photos.map((photo, i) => usedPhoto(photo, i)),
    looks: photos.map(() => ({
      crop: NO_CROP,
      blur: { low: 0.4, high: 0.4, top: 0.4 },
      noise: { inside: 1, outside: 1 },
      response: RESPONSE,
    })),
    rounds: outlines.map(roundOf),
    calibration: calibrationOf(photos, covariance),
    sheen: {
      mirror: 0.6,
      rough: 0.3,
      limb: 0.2,
      light: [0, 0, 0.1],
      covariance: Float64Array.of(0.01, -0.004, 0, -0.004, 0.04, 0, 0, 0, 0.09),
      scatter: 1,
      faces: 6,
    },
    response: RESPONSE,
    responseU: 0.07,
    tau,
    prior: SHAPE_PRIOR,
  };
}

function usedPhoto({ shot }: FitPhoto, i: number): Added {
  const region = { ...NO_REGION, area: 300 ** 2 };
  return madeAdded({ shot: { photo: `${i}.jpg`, ...shot }, blur: 0.5 }, { regions: [region] });
}

/** What edges and outline of a photo are, were it measured as it is made. */
function roundOf(outline: Outline): RoundResult {
  const count = outline.sigma.length;
  const nothing = (): Float64Array => new Float64Array(count);
  return {
    outline,
    edges: {
      ...{ count, xy: outline.xy, normal: outline.normal, sigma: outline.sigma, byTerm: outline.byTerm },
      ...{ offset: nothing(), strain: nothing(), skin: nothing(), contrast: nothing().fill(60), misfit: 1 },
      ...{ lookInformation: new Float64Array(9), lookGradient: new Float64Array(3), crowns: null },
      ...{ shade: { information: 0, gradient: 0 }, noise: { inside: 1, outside: 1 } },
    },
    curve: { count, step: 1, xy: outline.xy, normal: outline.normal, ball: new Int32Array(count).fill(-1) },
  };
}

/** A camera that is known as stated. */
function calibrationOf(photos: readonly FitPhoto[], covariance: Float64Array): Measured['calibration'] {
  const still = photos.map(() => ({ skew: 0, stretch: 0 }));
  const bow = [0.1, -0.2, 0.05] as const;
  const poses = photos.map((p) => p.cameraFromCard);
  return {
    cameras: photos.map(() => CAMERA),
    shared: CAMERA,
    cameraFromCard: poses,
    bow,
    covariance,
    ratio: { value: 0, u: 1e-9 },
    motion: still,
    skewU: photos.map(() => 1e-9),
    at: { shared: CAMERA, bow, ratio: 0, focus: photos.map(() => 0), motion: still, poses },
    errors: photos.map(() => new Float64Array(6)),
    sigma: 0.04,
    kept: photos.map(() => [true, true, false]),
    stop: 'converged',
    steps: 1,
    moved: false,
    print: {
      x: { value: 1.001, u: MADE_SCALE_U },
      y: { value: 0.999, u: MADE_SCALE_U },
      u: MADE_SCALE_U,
      lean: 0,
      contradiction: null,
    },
  };
}

/** What is kept of the photos of a set that were all used. */
export const usedPhotos = (m: Measured): PhotoResult[] =>
  m.used.map(({ shot: { photo, up, front } }) => ({
    ...{ photo, up, front, status: 'used', code: null, remark: null, notes: [], cardPoints: 2, cardSigma: 0.04 },
    ...{ lean: 0, scale: 0.08, blur: [0.4, 0.4], outline: null },
  }));

/** The set with one photo's part changed. */
export const withPhoto = <K extends 'used' | 'looks' | 'rounds' | 'photos'>(
  m: Measured,
  part: K,
  i: number,
  change: Partial<Measured[K][number]>,
): Measured => ({
  ...m,
  [part]: (m[part] as readonly Measured[K][number][]).map((p, k) => (k === i ? { ...p, ...change } : p)),
});

/** The axes of a set's die at their edges, their mean, and the mean radius, as rows over the parameters. */
export function axesOfDie({ solid, state }: Measured): {
  readonly axes: Linear[];
  readonly mean: Linear;
  readonly radius: Linear;
} {
  const n = parameterCount(state);
  const axes = axisRows(solid, state, bodyOf(state));
  const corners = solid.corners.map(({ name }, i) => ({
    name,
    value: state.radii[i]!,
    row: unit(n, state.distances.length + i),
  }));
  return { axes, mean: meanOf(axes, n), radius: meanOf(corners, n) };
}
