import { fitDie, type DieFit } from '../fit/die-fit.ts';
import { seenIn, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { CUT, SHAPE_PRIOR } from '../fit/normal-equations.ts';
import { NO_TAU, type Tau } from '../fit/stretches.ts';
import { stretchSigma, TAU_USUAL } from '../fit/doubt.ts';
import { dieSolid, type DieSolid } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import { success, type Result } from '../result.ts';
import { calibration, type Calibration } from '../vision/calibration.ts';
import { cardResponse, type CardResponse } from '../vision/card-response.ts';
import type { Cv } from '../vision/cv.ts';
import { faceLights, sheenOf, type Sheen } from '../vision/face-light.ts';
import { LUMA } from '../vision/picture.ts';
import { HALF_COLOUR_BLUR, type Response, type Surface } from '../vision/profile.ts';
import { SRGB } from '../vision/tone.ts';
import { trueDie, type CoarseStand } from './coarse.ts';
import { verdicts } from './judge.ts';
import { lookAt, type Added } from './look.ts';
import { leftOut, photoBook, photoResult, remarked, type PhotoBook } from './photo-result.ts';
import { resultOf } from './result.ts';
import { agreeing, fitPhoto, roughNote, roughStand, shareOfWidth } from './rough-checks.ts';
import { measuredOutline, lookStep, movedBlur, type LookStep, type PhotoLook, type RoundResult } from './rounds.ts';
import { inOneFrame, oneCamera, setFaults } from './set-checks.ts';
import type { Job, MeasureFailure, MeasurePhoto, MeasureResult, Note, PhotoResult, Progress } from './types.ts';

/** Beliefs about a die's surface before its faces are seen: polished plastic. */
export const SURFACE_PRIOR = { mean: [0.4, 0.7, 0.4], sd: [0.4, 0.4, 0.4] } as const;

/** The light is taken to come from everywhere over the card alike. */
const EVEN_SKY = 1;

/** The rounds: how many segments are looked at, whether the whole shape is free, and whether changes by the terms are wanted. */
const ROUNDS = [
  { every: 4, free: 'size', steps: 6 },
  { every: 4, free: 'whole', steps: 6 },
  { every: 2, free: 'whole', steps: 6 },
  { every: 1, free: 'whole', steps: 6 },
] as const;

export interface Measurement {
  /** Looks at one photo; its picture is not needed afterwards. */
  addPhoto(photo: MeasurePhoto): PhotoResult;
  /** Measures the die from the photos added so far. */
  finish(onProgress?: (progress: Progress) => void): Result<MeasureResult, MeasureFailure>;
}

/** All that is known once a set has been measured, before it is put into words and numbers. */
export interface Measured {
  readonly job: Job;
  readonly solid: DieSolid;
  readonly state: DieState;
  readonly fit: DieFit;
  readonly photos: readonly FitPhoto[];
  readonly used: readonly Added[];
  readonly looks: readonly PhotoLook[];
  readonly rounds: readonly RoundResult[];
  readonly calibration: Calibration;
  readonly sheen: Sheen;
  readonly response: Response;
  readonly responseU: number;
  readonly tau: Tau;
  readonly scale: readonly [number, number];
}

/** Measures one die; photos are added one by one, so that only one full picture need be in memory. */
export function createMeasurement(cv: Cv, job: Job): Measurement {
  const solid = dieSolid(job.die, job.numbering ?? undefined, job.apex);
  const looked = new Map<string, Result<Added, readonly Note[]>>();
  return {
    addPhoto(photo) {
      const shot = job.shots.find((s) => s.photo === photo.name);
      if (!shot) return leftOut(photo.name, '', '', [{ code: 'unreadable' }]);
      looked.set(photo.name, lookAt(cv, photo, shot));
      return resultsOf(job, looked).get(photo.name)!;
    },
    finish(onProgress = () => undefined) {
      return finish(job, solid, looked, onProgress);
    },
  };
}

type Looked = ReadonlyMap<string, Result<Added, readonly Note[]>>;

/** Photos that may be used, in the job's order: that in which they came must not matter. */
const usable = (job: Job, looked: Looked): Added[] =>
  inOneFrame(
    job.shots.flatMap(({ photo }) => {
      const one = looked.get(photo);
      return one?.ok ? [one.value] : [];
    }),
  );

/** What can be said of the photos before anything is fitted. */
function resultsOf(job: Job, looked: Looked): Map<string, PhotoResult> {
  const whole = usable(job, looked);
  const faults = setFaults(whole);
  return new Map(
    job.shots.map(({ photo, up, front }) => {
      const one = looked.get(photo);
      if (!one?.ok) return [photo, leftOut(photo, up, front, one?.error ?? [{ code: 'no-file', seen: photo }])];
      const a = whole.find(({ shot }) => shot.photo === photo)!;
      const fault = faults.get(a);
      if (fault) return [photo, leftOut(photo, up, front, [fault, ...a.notes])];
      const result = remarked(photoResult(photo, up, front, 'used', []), a.notes);
      return [photo, { ...result, cardPoints: a.survey.sight.card.length / 2 }];
    }),
  );
}

function finish(
  job: Job,
  solid: DieSolid,
  looked: Looked,
  onProgress: (p: Progress) => void,
): Result<MeasureResult, MeasureFailure> {
  const book = photoBook(job, resultsOf(job, looked));
  const tell = risingProgress(onProgress);
  const scale = [(job.checkBar ?? 100) / 100, (job.checkBarY ?? job.checkBar ?? 100) / 100] as const;
  const all = usable(job, looked);
  const faults = setFaults(all);
  const whole = all.filter((a) => !faults.has(a));
  if (whole.length === 0) return book.failed({ code: 'no-photo', seen: 0, needed: 1 });
  tell({ stage: 'calibrate', photo: null, fraction: 0 });
  const camera = oneCamera(whole, (list) => calibrated(list, scale));
  for (const { photo, note } of camera.odd) book.remark(photo, note, true);
  if (camera.doubtful) for (const a of camera.used) book.remark(a, TWO_CAMERAS, false);
  const { calibration: found } = camera;
  if (!found.ok) return book.failed(found.error.code === 'camera-rank' ? { code: 'camera-rank' } : found.error);
  tell({ stage: 'coarse', photo: null, fraction: 0.05 });
  const rough = camera.used.map((a, i) => ({ a, stand: roughStand(solid, a, fitPhoto(found.value, a, i)) }));
  const fits = agreeing(rough.map((r) => r.stand));
  rough.forEach(({ a, stand }, i) => {
    if (!fits[i]) book.remark(a, roughNote(solid, a, fitPhoto(found.value, a, i), stand), true);
  });
  const kept = rough.filter((_, i) => fits[i]);
  const fit = settled(kept, rough.length, found.value, book, (photos, cal) => {
    const used = photos.map((k) => k.a);
    const again = cal ? success(cal) : calibrated(used, scale);
    const stands = photos.map((k) => k.stand);
    return again.ok ? rounds(job, solid, used, stands, again.value, scale, tell) : null;
  });
  const departure = fit.departure ?? shareOfWidth(median(rough.map((r) => r.stand.misfit)));
  if (fit.few) return book.failed({ code: 'wrong-kind', seen: departure, needed: job.die });
  return fit.measured ? resultOf(fit.measured, book.inOrder()) : book.failed({ code: 'camera-rank' });
}

interface Rough {
  readonly a: Added;
  readonly stand: CoarseStand;
}

interface Settled {
  /** Null where too few photos agree (`few`), or those that do determine no camera. */
  readonly measured: Measured | null;
  readonly few: boolean;
  /** How far the photos departed that were left out, as the message says it. */
  readonly departure: string | null;
}

/** Measures, judges, and measures again without the photos that do not belong, until all that are left do. */
function settled(
  rough: readonly Rough[],
  total: number,
  calibrationOfAll: Calibration,
  book: PhotoBook,
  measure: (photos: readonly Rough[], known: Calibration | null) => Measured | null,
): Settled {
  let kept = rough;
  let departure: string | null = null;
  for (;;) {
    // A photo that alone of many seems to fit does so by chance.
    if (kept.length === 0 || FEW * kept.length < total) return { measured: null, few: true, departure };
    const measured = measure(kept, kept.length === total ? calibrationOfAll : null);
    if (!measured) return { measured, few: false, departure };
    const judged = verdicts(measured);
    const leaves = judged.find((v) => v?.leave);
    judged.forEach((v, i) => v && (v.leave || !leaves) && book.remark(kept[i]!.a, v.note, v.leave));
    if (!leaves) return { measured, few: false, departure };
    departure = String(leaves.note.seen);
    kept = kept.filter((_, i) => !judged[i]?.leave);
  }
}

/** So many times as many photos of a set must be left out as misfits before the rest counts for nothing. */
const FEW = 3;

const TWO_CAMERAS: Note = {
  code: 'other-camera',
  seen: 'card points that do not fit those of the other photo',
  needed: 'one camera',
};

/** Never lets the fraction fall, though a set is measured again without a photo. */
function risingProgress(onProgress: (p: Progress) => void): (p: Progress) => void {
  let most = 0;
  return (p) => {
    most = Math.max(most, p.fraction);
    onProgress({ ...p, fraction: most });
  };
}

function calibrated(used: readonly Added[], scale: readonly [number, number]): ReturnType<typeof calibration> {
  const { width, height } = used[0]!.survey;
  const focals = used.flatMap((a) => (a.focal === null ? [] : [a.focal]));
  return calibration(
    used.map((a) => a.survey.sight),
    { width, height },
    focals.length > 0 ? median(focals) : null,
    scale,
  );
}

/** Rough blur from which a photo's own edge says more of it than the card's, px. */
const BLURRED = 1.45;

/** Share of the progress bar that the rounds take. */
const ROUNDS_FROM = 0.1;

function rounds(
  job: Job,
  solid: DieSolid,
  used: readonly Added[],
  coarse: readonly CoarseStand[],
  cal: Calibration,
  scale: readonly [number, number],
  onProgress: (p: Progress) => void,
): Measured {
  const photos = used.map((a, i) => fitPhoto(cal, a, i));
  const card = cameraResponse(used, plainest(used, coarse));
  const { responseU, cardBlur } = card;
  let response = card.response;
  const start = trueDie(
    solid,
    median(coarse.map((c) => c.distance)),
    coarse.map((c) => c.stand),
  );
  let state = fitDie(
    start,
    photos,
    coarse.map((c) => c.outline),
    { prior: { face: 10, radius: 10 }, free: 'size', steps: 12, cut: CUT, tau: NO_TAU },
  ).state;
  const top = 2 * state.distances[0]!;
  const first = { low: cardBlur, high: cardBlur, top };
  // A photo far blurrier than its card's edges would not be followed there in the few rounds.
  const starts = used.map(({ blur }) => (blur !== null && blur > BLURRED ? { low: blur, high: blur, top } : first));
  const looks: PhotoLook[] = used.map((a, i) => ({
    crop: a.survey.crop,
    blur: starts[i]!,
    noise: { inside: 3, outside: 5 },
    response,
  }));
  let surface: Surface = {
    mirror: SURFACE_PRIOR.mean[0],
    rough: SURFACE_PRIOR.mean[1],
    limb: SURFACE_PRIOR.mean[2],
    shade: EVEN_SKY,
  };
  let sheen: Sheen | null = null;
  let fit: DieFit | null = null;
  let found: RoundResult[] = [];
  let tau: Tau = NO_TAU;
  ROUNDS.forEach((round, r) => {
    const last = r === ROUNDS.length - 1;
    const steps: LookStep[] = [];
    found = photos.map((photo, i) => {
      onProgress({
        stage: 'edges',
        photo: i,
        fraction: ROUNDS_FROM + ((1 - ROUNDS_FROM) * (r + i / photos.length)) / ROUNDS.length,
      });
      const one = measuredOutline(
        state,
        solid,
        photo,
        i,
        looks[i]!,
        surface,
        round.every,
        last ? 'all' : r > 0 ? 'look' : 'nothing',
      );
      looks[i]!.noise = one.edges.noise;
      const step = r > 0 && !last ? lookStep(looks[i]!.blur, one.edges, starts[i]!) : null;
      if (step) {
        looks[i]!.blur = movedBlur(looks[i]!.blur, step);
        steps.push(step);
      }
      return one;
    });
    if (r > 1 && steps.length > 0) {
      response = { ...response, sharpening: sharpened(response.sharpening, card.response.sharpening, steps) };
      for (const l of looks) l.response = response;
    }
    onProgress({ stage: 'fit', photo: null, fraction: ROUNDS_FROM + ((1 - ROUNDS_FROM) * (r + 0.95)) / ROUNDS.length });
    if (r === 1) state = unevened(state);
    const outlines = found.map((f) => f.outline);
    if (r > 0) tau = TAU_USUAL;
    fit = fitDie(state, photos, outlines, { prior: SHAPE_PRIOR, free: round.free, steps: round.steps, cut: CUT, tau });
    state = fit.state;
    if (r < 2) {
      const now = state;
      const lights = photos.flatMap((p, i) =>
        faceLights(
          looks[i]!.crop,
          seenIn(now, p, i),
          solid,
          p.camera,
          p.cameraFromCard,
          response.tone,
          used[i]!.survey.stage.map(response.tone.toLight),
          i,
        ),
      );
      sheen = sheenOf(lights, SURFACE_PRIOR);
      surface = { ...sheen, shade: EVEN_SKY };
    }
  });
  const outlines = found.map((f) => f.outline);
  for (let again = 0; again < 3; again++) {
    tau = stretchSigma(state, photos, outlines, CUT);
    fit = fitDie(state, photos, outlines, { prior: SHAPE_PRIOR, free: 'whole', steps: 40, cut: CUT, tau });
    state = fit.state;
  }
  return {
    job,
    solid,
    state,
    fit: fit!,
    photos,
    used,
    looks,
    rounds: found,
    calibration: cal,
    sheen: sheen!,
    response,
    responseU,
    tau,
    scale,
  };
}

/** How far a die's own edges may depart from the sharpening that the card's printed edges show, one standard deviation. */
const SHARPENING_BELIEF = 0.15;

/**
 * Sharpening as all photos' edges want it, drawn to the card's.
 *
 * A print's own edge is soft and spreads into the white, so that the card alone shows less than there is.
 */
function sharpened(now: number, card: number, steps: readonly LookStep[]): number {
  const w = 1 / SHARPENING_BELIEF ** 2;
  let [sum, weight] = [w * (card - now), w];
  for (const s of steps) {
    sum += s.weight * s.sharpening;
    weight += s.weight;
  }
  return now + Math.max(-0.4, Math.min(0.4, sum / weight));
}

/** Planes that meet in one point have no derivative there: moves the faces of a true die by micrometres, the same way each time. */
function unevened(state: DieState): DieState {
  return { ...state, distances: state.distances.map((d, i) => d + 0.002 * Math.sin(1 + 2.4 * i)), radii: state.radii };
}

/** A colour must part die and stage this many times better than luma before its half resolution is put up with. */
const COLOUR_GAIN = 1.8;

/** The plane in which die and stage differ most: luma, or one colour where luma hardly tells them apart. */
function plainest(used: readonly Added[], coarse: readonly CoarseStand[]): Response['plane'] {
  const differences = used.map((a, i) => {
    const { crop } = a.survey;
    const { xy, normal } = coarse[i]!.outline;
    const pairs = Array.from({ length: xy.length / 2 }, (_, k) =>
      [-6, 6].map((d) => {
        const x = Math.min(crop.width - 1, Math.max(0, Math.round(xy[2 * k]! + d * normal[2 * k]!) - crop.left));
        const y = Math.min(
          crop.height - 1,
          Math.max(0, Math.round(xy[2 * k + 1]! + d * normal[2 * k + 1]!) - crop.top),
        );
        return (y * crop.width + x) * crop.channels;
      }),
    );
    return [0, 1, 2].map((c) => median(pairs.map(([p, q]) => crop.data[q! + c]! - crop.data[p! + c]!)));
  });
  const mean = [0, 1, 2].map((c) => median(differences.map((d) => d[c]!)));
  const luma = Math.abs(LUMA[0] * mean[0]! + LUMA[1] * mean[1]! + LUMA[2] * mean[2]!);
  const best = [0, 1, 2].reduce((p, c) => (Math.abs(mean[c]!) > Math.abs(mean[p]!) ? c : p), 0);
  if (Math.abs(mean[best]!) < COLOUR_GAIN * luma) return LUMA;
  return [0, 1, 2].map((c) => (c === best ? 1 : 0)) as unknown as Response['plane'];
}

/** Photos whose card edges are looked at for the camera's sharpening. */
const RESPONSE_PHOTOS = 3;

/** The camera's sharpening, from the card's own edges; none where no card edge could be used. */
function cameraResponse(
  used: readonly Added[],
  plane: Response['plane'],
): { response: Response; responseU: number; cardBlur: number } {
  const spreads = used.flatMap((a) => (a.survey.spread ? [a.survey.spread] : [])).slice(0, RESPONSE_PHOTOS);
  const found = spreads.map((s) => cardResponse(s, SRGB)).filter((c): c is CardResponse => c !== null);
  if (found.length === 0)
    return {
      response: { tone: SRGB, sharpening: 0, radius: 1.4, plane, colourBlur: HALF_COLOUR_BLUR },
      responseU: 0.25,
      cardBlur: 0.6,
    };
  const sharpening = median(found.map((c) => c.amount));
  const radius = median(found.map((c) => c.radius));
  const spread = found.length > 1 ? Math.max(...found.map((c) => Math.abs(c.amount - sharpening))) : 0.1;
  return {
    response: { tone: SRGB, sharpening, radius, plane, colourBlur: HALF_COLOUR_BLUR },
    responseU: Math.max(0.08, spread),
    cardBlur: Math.min(1.5, Math.max(0.35, median(found.map((c) => c.blur)))),
  };
}
