import { SHAPE_PRIOR } from '../../src/fit/normal-equations.ts';
import type { Tau } from '../../src/fit/stretches.ts';
import { bodyOf, parameterCount, type FitPhoto } from '../../src/fit/die-state.ts';
import type { Outline } from '../../src/geometry/outline.ts';
import type { DieKind } from '../../src/geometry/solid.ts';
import { seededNormal, seededRandom } from '../../src/maths/random.ts';
import { axisRows, meanOf, unit, type Linear } from '../../src/measure/linear-lengths.ts';
import type { Added } from '../../src/measure/look.ts';
import type { Measured } from '../../src/measure/measured.ts';
import type { Job, PhotoResult } from '../../src/formats/result.ts';
import { PER_PHOTO, SHARED } from '../../src/vision/calibration.ts';
import { TERM_COUNT } from '../../src/vision/profile.ts';
import { CAMERA, exactOutline, shifted, unevenDie } from './synthetic-die.ts';

/** Doubts that {@link madeMeasured} states of its calibration: of the five numbers of the camera, and of each photo's nine. */
export const MADE_CAMERA_U = [2e-4, 0.4, 0.5, 0.003, 0.006] as const;
export const MADE_SCALE_U = 4e-4;
const MADE_POSE_U = 2e-4;

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
    fit: { state: truth, stop: 'converged' } as unknown as Measured['fit'],
    photos,
    used: photos.map((photo, i) => usedPhoto(photo, i)),
    looks: photos.map(
      () =>
        ({ blur: { low: 0.4, high: 0.4 }, noise: { inside: 1, outside: 1 } }) as unknown as Measured['looks'][number],
    ),
    rounds: outlines.map((outline) => ({
      outline,
      edges: { contrast: new Float64Array(outline.sigma.length).fill(60) },
      curve: { xy: outline.xy, normal: outline.normal, count: outline.sigma.length },
    })) as unknown as Measured['rounds'],
    calibration: {
      shared: CAMERA,
      covariance,
      sigma: 0.04,
      kept: photos.map(() => [true, true, false]),
      bow: [0.1, -0.2, 0.05],
      motion: photos.map(() => ({ skew: 0, stretch: 0 })),
      print: {
        x: { value: 1.001, u: MADE_SCALE_U },
        y: { value: 0.999, u: MADE_SCALE_U },
        u: MADE_SCALE_U,
        lean: 0,
        contradiction: null,
      },
    } as unknown as Measured['calibration'],
    sheen: {
      mirror: 0.6,
      rough: 0.3,
      limb: 0.2,
      light: [0, 0, 0.1],
      covariance: Float64Array.of(0.01, -0.004, 0, -0.004, 0.04, 0, 0, 0, 0.09),
      scatter: 1,
      faces: 6,
    },
    response: { sharpening: 0.4, radius: 1.1 } as unknown as Measured['response'],
    responseU: 0.07,
    tau,
    prior: SHAPE_PRIOR,
  };
}

function usedPhoto({ shot }: FitPhoto, i: number): Added {
  const regions = [{ area: 300 ** 2 }];
  const survey = { width: 3000, height: 2240, regions, grain: null, spread: null };
  return {
    shot: { photo: `${i}.jpg`, ...shot },
    survey,
    focal: null,
    orientation: 1,
    blur: 0.5,
    coding: null,
    notes: [],
  } as unknown as Added;
}

/** What is kept of the photos of a set that were all used. */
export const usedPhotos = (m: Measured): PhotoResult[] =>
  m.used.map(
    ({ shot: { photo, up, front } }) =>
      ({ photo, up, front, status: 'used', code: null, remark: null, notes: [] }) as unknown as PhotoResult,
  );

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
