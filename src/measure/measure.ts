import { median } from '../maths/linear.ts';
import type { Calibration } from '../vision/calibration.ts';
import { success, type Result } from '../result.ts';
import { shutterCalibration, type ShutterCalibration } from '../vision/shutter.ts';
import type { CalibrationFailure } from '../vision/calibration.ts';
import type { Asked } from './asked.ts';
import type { CoarseStand } from './coarse.ts';
import { verdicts } from './judge.ts';
import { lookAt, type Added } from './look.ts';
import { marksOf } from './marks.ts';
import { tiltedView } from './tilted-photos.ts';
import type { Measured } from './measured.ts';
import { leftOut, photoBook, photoResult, remarked, type PhotoBook } from './photo-result.ts';
import { beyondMeasure } from './fit-gates.ts';
import { resultOf } from './result.ts';
import type { SetNumbers } from '../faces/numbers.ts';
import { printedCalibration, type Bars } from '../vision/print-scale.ts';
import { asSeen } from './turned-pixels.ts';
import { disturbance } from './headline.ts';
import {
  givenStands,
  numberedFronts,
  numberedPhotos,
  numbersNotes,
  numbersResult,
  setNumbers,
  type NumberedSet,
} from './number-photos.ts';
import { withOpenFronts } from './open-fronts.ts';
import { agreeing, fitPhoto, roughNote, widthGround } from './rough-checks.ts';
import { inOneFrame, oneCamera, setFaults, type CameraChoice } from './set-checks.ts';
import { doneInPlace, type Work } from './photo-tasks.ts';
import { firstRounds, rounds } from './set-rounds.ts';
import { SO_FAR } from './so-far.ts';
import type {
  Job,
  MeasureFailure,
  MeasurePhoto,
  MeasureResult,
  Note,
  PhotoResult,
  Progress,
  SoFar,
} from '../formats/result.ts';

/** A set of photos that were looked at one by one, measured together. */
export interface Gathering {
  /** Takes what a look at one photo gave. */
  take(name: string, found: Result<Added, readonly Note[]>): PhotoResult;
  /** Which numbers are up in the photos added so far, and their faces looked at straight on; nothing is measured. */
  numbers(): Result<NumbersTable, MeasureFailure>;
  /** The same as work whose tasks may be done elsewhere. */
  numbering(): Work<Result<NumbersTable, MeasureFailure>>;
  /** What is known of the die from the photos added so far, by two coarse rounds; null where that is nothing. */
  soFar(): Work<SoFar | null>;
  /** Asks otherwise from here on of the photos added; those that are not asked about any more are forgotten. */
  ask(asked: Asked): void;
  /** Measures the die from the photos added so far. */
  finish(onProgress?: (progress: Progress) => void): Result<MeasureResult, MeasureFailure>;
  /** The same as work whose tasks may be done elsewhere. */
  finishing(onProgress: (progress: Progress) => void): Work<Result<MeasureResult, MeasureFailure>>;
}

/** The same where pictures are at hand: photos are looked at as they are added. */
export interface Measurement extends Gathering {
  /** Looks at one photo; its picture is not needed afterwards. */
  addPhoto(photo: MeasurePhoto): PhotoResult;
}

/** The numbers of a set's photos, without a measurement. */
export interface NumbersTable {
  readonly set: SetNumbers;
  /** What is said of each photo, in the job's order. */
  readonly photos: readonly PhotoResult[];
  /** What the numbers were read from, in the order of the set's photos, and the camera of each. */
  readonly used: readonly Added[];
  readonly calibration: Calibration;
}

/** Measures one die; photos are added one by one, so that only one full picture need be in memory. */
export function createMeasurement(first: Asked): Measurement {
  const gathering = createGathering(first);
  const addPhoto = (photo: MeasurePhoto): PhotoResult =>
    gathering.take(photo.name, lookAt(photo, { photo: photo.name, up: '', front: '' }));
  return { ...gathering, addPhoto };
}

export function createGathering(first: Asked): Gathering {
  let asked = first;
  const looked = new Map<string, Result<Added, readonly Note[]>>();
  const sights: Sights = { taken: 0, last: null };
  function* finishing(onProgress: (progress: Progress) => void): Work<Result<MeasureResult, MeasureFailure>> {
    const tell = risingProgress(onProgress);
    const ready = yield* prepared(asked, looked, sights, tell);
    return ready.ok ? yield* finish(asked, ready.value, tell) : ready;
  }
  function* numbering(): Work<Result<NumbersTable, MeasureFailure>> {
    const ready = yield* prepared(asked, looked, sights, () => undefined);
    if (!ready.ok) return ready;
    const { numbered, book, camera, calibration } = ready.value;
    return success({ set: numbered.set, photos: book.inOrder(), used: camera.used, calibration });
  }
  function* soFar(): Work<SoFar | null> {
    const ready = yield* prepared(asked, looked, sights, () => undefined);
    return ready.ok ? yield* early(asked, ready.value) : null;
  }
  return {
    soFar,
    take(name, found) {
      const shot = asked.shots.find((s) => s.photo === name);
      if (!shot) return leftOut(name, '', '', [{ code: 'unreadable' }]);
      const named = { photo: shot.photo, up: shot.up ?? '', front: shot.front ?? '' };
      looked.set(name, found.ok ? success({ ...found.value, shot: named }) : found);
      sights.taken++;
      return resultsOf(asked, looked).get(name)!;
    },
    numbers: () => doneInPlace(numbering()),
    numbering,
    ask(otherwise) {
      asked = otherwise;
      for (const name of looked.keys()) if (!asked.shots.some(({ photo }) => photo === name)) looked.delete(name);
    },
    finish: (onProgress = () => undefined) => doneInPlace(finishing(onProgress)),
    finishing,
  };
}

type Looked = ReadonlyMap<string, Result<Added, readonly Note[]>>;

/** Photos that may be used, in the job's order: that in which they came must not matter. */
const usable = (asked: Asked, looked: Looked): Added[] =>
  inOneFrame(
    asked.shots.flatMap(({ photo }) => {
      const one = looked.get(photo);
      return one?.ok ? [one.value] : [];
    }),
  );

/** What can be said of the photos before anything is fitted. */
function resultsOf(asked: Asked, looked: Looked): Map<string, PhotoResult> {
  const whole = usable(asked, looked);
  const faults = setFaults(whole);
  return new Map(
    asked.shots.map(({ photo, ...given }) => {
      const [up, front] = [given.up ?? '', given.front ?? ''];
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

/** What is known before the die is fitted: one camera, and which numbers are up. */
interface Prepared {
  readonly book: PhotoBook;
  readonly camera: CameraChoice;
  readonly calibration: ShutterCalibration;
  readonly numbered: NumberedSet;
}

/** What is seen of a set before anything is fitted: the camera, and the numbers that are up. */
interface Sight {
  readonly turned: readonly Added[];
  readonly camera: CameraChoice;
  readonly numbers: Result<SetNumbers, Note> | null;
  /** Per photo, where its numbers were given. */
  readonly stands: readonly (CoarseStand | null)[];
}

/** What was seen last, and of what: a set whose numbers were shown is measured without reading them twice. */
interface Sights {
  /** Photos taken so far, those that were taken again among them. */
  taken: number;
  last: { readonly of: string; readonly sight: Sight } | null;
}

/** Where progress stands when faces are looked at. */
const COARSE: Progress = { stage: 'coarse', photo: null, fraction: 0.05 };

/** Camera and numbers of photos, or what was seen of the same photos when the same was asked: how a die was finished changes neither. */
function* sightOf(asked: Asked, whole: readonly Added[], sights: Sights, tell: (p: Progress) => void): Work<Sight> {
  const of = JSON.stringify([sights.taken, whole.map((a) => a.shot.photo), { ...asked, finish: null, handTest: null }]);
  if (sights.last?.of === of) {
    tell(COARSE);
    return sights.last.sight;
  }
  const seen = asSeen(
    whole,
    (list) => calibrated(list, asked, shutterCalibration),
    (list) => calibrated(list, asked, printedCalibration),
  );
  const camera = oneCamera(seen.photos, seen.calibration, (list) => calibrated(list, asked, shutterCalibration));
  const { calibration } = camera;
  tell(COARSE);
  const numbers = calibration.ok ? yield* setNumbers(asked, camera.used, calibration.value) : null;
  const stands = calibration.ok && numbers?.ok ? yield* givenStands(numbers.value, camera.used, calibration.value) : [];
  const sight = { turned: seen.turned, camera, numbers, stands };
  sights.last = { of, sight };
  return sight;
}

function* prepared(
  asked: Asked,
  looked: Looked,
  sights: Sights,
  tell: (p: Progress) => void,
): Work<Result<Prepared, MeasureFailure>> {
  const book = photoBook(asked, resultsOf(asked, looked));
  const all = usable(asked, looked);
  const faults = setFaults(all);
  const whole = all.filter((a) => !faults.has(a));
  if (whole.length === 0) return book.failed({ code: 'no-photo', seen: 0, needed: 1 });
  tell({ stage: 'calibrate', photo: null, fraction: 0 });
  const { turned, camera, numbers, stands } = yield* sightOf(asked, whole, sights, tell);
  for (const a of turned) book.remark(a, { code: 'turned-pixels', seen: 180 }, false);
  for (const { photo, note } of camera.odd) book.remark(photo, note, true);
  if (camera.doubtful) for (const a of camera.used) book.remark(a, TWO_CAMERAS, false);
  const { calibration: found } = camera;
  if (!found.ok) return book.failed(found.error.code === 'camera-rank' ? { code: 'camera-rank' } : found.error);
  const numbered = numberedPhotos(numbers!, stands, camera.used, book);
  if (!numbered.ok) return book.failed(numbered.error);
  return success({ book, camera, calibration: found.value, numbered: numbered.value });
}

function* finish(
  asked: Asked,
  ready: Prepared,
  tell: (p: Progress) => void,
): Work<Result<MeasureResult, MeasureFailure>> {
  const { book, camera, calibration: found, numbered } = ready;
  const { set, known: rough } = numbered;
  if (rough.length === 0 || FEW_KNOWN * rough.length < camera.used.length)
    return book.failed({ code: 'numbers-unknown', seen: rough.length, needed: camera.used.length });
  const { solid } = set;
  const job: Job = { ...asked, die: set.kind, numbering: set.numbering, shots: rough.map(({ a }) => a.shot) };
  const fits = agreeing(rough.map((r) => r.stand));
  rough.forEach(({ a, stand }, i) => {
    const at = camera.used.findIndex(({ shot }) => shot.photo === a.shot.photo);
    if (!fits[i]) book.remark(a, roughNote(solid, a, fitPhoto(found, a, at), stand), true);
  });
  const kept = rough.filter((_, i) => fits[i]);
  const fit = yield* settled(kept, camera.used.length + camera.odd.length, found, book, function* (photos, cal) {
    const used = photos.map((k) => k.a);
    const again = cal ? success(cal) : calibrated(used, job, shutterCalibration);
    const stands = photos.map((k) => k.stand);
    if (!again.ok) return null;
    return yield* withOpenFronts(used, (list) => rounds(job, solid, list, stands, again.value, tell));
  });
  const departure = fit.departure ?? widthGround(median(rough.map((r) => r.stand.misfit)));
  if (fit.few)
    return book.failed(disturbance(camera.used, departure) ?? { code: 'wrong-kind', ...departure, needed: job.die });
  if (!fit.measured) return book.failed({ code: 'camera-rank' });
  const beyond = beyondMeasure(fit.measured);
  if (beyond) return book.failed(beyond);
  numberedFronts(fit.measured, book);
  const { measured } = fit;
  const { used, state } = measured;
  const tilted = rough.flatMap(({ a, stand }) => {
    if (used.some(({ shot }) => shot.photo === a.shot.photo)) return [];
    const at = camera.used.findIndex(({ shot }) => shot.photo === a.shot.photo);
    return tiltedView(state, fitPhoto(found, a, at), a.survey.crop, stand) ?? [];
  });
  let reckoned: ReturnType<typeof resultOf> | undefined;
  const resultOnce = (): ReturnType<typeof resultOf> => (reckoned ??= resultOf(measured, book.inOrder()));
  const marks = yield* marksOf(measured, tilted, resultOnce);
  const result = resultOnce();
  if (!result.ok) return result;
  const notes = [...result.value.notes, ...numbersNotes(set, rough.length)];
  return success({
    ...result.value,
    ...marks,
    notes,
    numbers: numbersResult(set, used),
  });
}

/** The die of photos whose numbers are known and that agree, by two coarse rounds. */
function* early(asked: Asked, { camera, calibration: found, numbered }: Prepared): Work<SoFar | null> {
  const { set, known } = numbered;
  const fits = agreeing(known.map((k) => k.stand));
  const kept = known.filter(({ a }, i) => fits[i] && !a.openFronts);
  const job: Job = { ...asked, die: set.kind, numbering: set.numbering, shots: kept.map(({ a }) => a.shot) };
  const used = kept.map(({ a }) => a);
  if (used.length < SO_FAR.photos) return null;
  const again = used.length === camera.used.length ? success(found) : calibrated(used, job, shutterCalibration);
  if (!again.ok) return null;
  const stands = kept.map((k) => k.stand);
  return yield* firstRounds(job, set.solid, used, stands, again.value, () => undefined);
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
  readonly departure: Pick<Note, 'as' | 'seen'> | null;
}

/** Measures, judges, and measures again without the photos that do not belong, until all that are left do. */
function* settled(
  rough: readonly Rough[],
  total: number,
  calibrationOfAll: ShutterCalibration,
  book: PhotoBook,
  measure: (photos: readonly Rough[], known: ShutterCalibration | null) => Work<Measured | null>,
): Work<Settled> {
  let kept = rough;
  let departure: Pick<Note, 'as' | 'seen'> | null = null;
  for (;;) {
    // A photo that alone of many seems to fit does so by chance.
    if (kept.length === 0 || FEW * kept.length < total) return { measured: null, few: true, departure };
    const measured = yield* measure(kept, kept.length === calibrationOfAll.cameras.length ? calibrationOfAll : null);
    if (!measured) return { measured, few: false, departure };
    const judged = verdicts(measured);
    const leaves = judged.find((v) => v?.leave);
    judged.forEach((v, i) => v && (v.leave || !leaves) && book.remark(kept[i]!.a, v.note, v.leave));
    // Nor does it count where most of those that are left hardly fit.
    const poor = judged.filter((v) => v?.note.code === 'misfit').length;
    if (!leaves && FEW * (kept.length - poor) < total)
      return { measured: null, few: true, departure: groundOf(judged.find((v) => v?.note.code === 'misfit')!.note) };
    if (!leaves) return { measured, few: false, departure };
    departure = groundOf(leaves.note);
    kept = kept.filter((_, i) => !judged[i]?.leave);
  }
}

const groundOf = ({ as, seen }: Note): Pick<Note, 'as' | 'seen'> => ({
  ...(as === undefined ? {} : { as }),
  ...(seen === undefined ? {} : { seen }),
});

/** Of so many photos one at least must be left, or the rest counts for nothing: when most do not fit, the ones that do may do so by chance. */
const FEW = 2;
/** Of so many photos the numbers of one at least must be known. */
const FEW_KNOWN = 3;

const TWO_CAMERAS: Note = { code: 'other-camera', as: 'two-cameras' };

/** Never lets the fraction fall, though a set is measured again without a photo. */
function risingProgress(onProgress: (p: Progress) => void): (p: Progress) => void {
  let most = 0;
  return (p) => {
    most = Math.max(most, p.fraction);
    onProgress({ ...p, fraction: most });
  };
}

/** Calibrates photos of a job by their card's points, with whatever of a camera `by` frees. */
function calibrated<T>(
  used: readonly Added[],
  job: Bars,
  by: (...of: Parameters<typeof shutterCalibration>) => Result<T, CalibrationFailure>,
): Result<T, CalibrationFailure> {
  const { width, height } = used[0]!.survey;
  const focals = used.flatMap((a) => (a.focal === null ? [] : [a.focal]));
  const sights = used.map((a) => a.survey.sight);
  return by(sights, { width, height }, focals.length > 0 ? median(focals) : null, job);
}
