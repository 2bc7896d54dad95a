import type { DieSolid } from '../geometry/solid.ts';
import { outlineFit } from './fit/outline-fit.ts';
import type { CardView } from '../fit/pose.ts';
import { failure, success, type Result } from '../result.ts';
import { binThings } from './vision/regions.ts';
import { PRINT_PRIOR, printedCalibration, type PrintedCalibration } from '../vision/print-scale.ts';
import { CAMERA_PRIOR, CARD_POINTS_NEEDED, type Calibration } from '../vision/calibration.ts';
import { cardMap } from '../vision/card-map.ts';
import type { Cv } from '../vision/cv.ts';
import { REGION } from '../vision/region.ts';
import { saddlePoints, type CardSight } from '../vision/saddles.ts';
import { cardFault, markersIn, MARKERS_NEEDED } from '../vision/survey.ts';
import { diceIn, dieFigures, shapeOf, type MeasuredDie, type OtherThing } from './die.ts';
import { judgedDie, judgedThing, type PhotoDoubt } from './judge.ts';
import { matching } from './match.ts';
import { binMedian, limitsFor } from './reference.ts';
import { touched } from './touch.ts';
import type { BinDie, BinJob, BinPhoto, BinResult } from './types.ts';
import { ACCEPT } from '../measure/look.ts';
import { remarkOf } from '../text/notes.ts';
import { asStored, uprightPlaces, uprightSize } from '../photo/orientation.ts';
import type { MeasurePhoto, Note } from '../formats/result.ts';

/** What is kept of a photo: points and outlines, no pixels. */
interface LookedAt {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly orientation: number;
  readonly focal: number | null;
  readonly sight: CardSight;
  readonly view: CardView;
  readonly focalU: number;
  /** Relative standard uncertainties of the print: of all lengths alike, and of x over y. */
  readonly print: { readonly u: number; readonly ratioU: number };
  readonly things: readonly (MeasuredDie | OtherThing)[];
  readonly notes: readonly Note[];
}

/** Photos of a bin, sorted one by one. */
export interface Bin {
  /** Measures one photo, and judges it by what is known so far; its picture is not needed afterwards. */
  addPhoto(photo: MeasurePhoto): BinPhoto;
  /** Judges a frame of a live camera by what is known so far, and forgets it. */
  look(photo: MeasurePhoto): BinPhoto;
  /** Says of a file that no picture came of it. */
  refuse(name: string, note: Note): BinPhoto;
  /** Judges all photos together: one camera, one reference. */
  finish(): BinResult;
}

/** Photos that are calibrated together: more gain little, and one odd photo spoils fewer. */
const TOGETHER = 6;

/** A stated focal length is good to this share (common practice: whole millimetres of about 26, and focusing). */
const STATED_FOCAL = 0.03;

/** Parts of the work on a photo, in their order. */
export const BIN_STAGES = ['card', 'things', 'dice'] as const;
export type BinStage = (typeof BIN_STAGES)[number];

/**
 * Sorts a bin from its photos; a poor photo costs only itself.
 *
 * @param done  Told of each part of a photo's work that ends.
 */
export function createBin(cv: Cv, job: BinJob, done: (stage: BinStage) => void = () => undefined): Bin {
  const shape = shapeOf(job.die, job.apex);
  const photos: (LookedAt | { readonly name: string; readonly left: Note })[] = [];
  const put = (entry: (typeof photos)[number]): void => {
    const i = photos.findIndex((p) => p.name === entry.name);
    if (i < 0) photos.push(entry);
    else photos[i] = entry;
  };
  const seen = (): LookedAt[] => photos.filter((p) => 'things' in p);
  return {
    addPhoto(photo) {
      const twinOf = (sight: CardSight): string | null =>
        seen().find((p) => p.name !== photo.name && samePoints(p.sight, sight))?.name ?? null;
      const looked = lookAt(cv, photo, job, done, twinOf);
      if (!looked.ok) {
        put({ name: photo.name, left: looked.error });
        return leftOut(photo.name, looked.error);
      }
      put(looked.value);
      return judged(looked.value, shape.solid, job, seen());
    },
    look(photo) {
      const looked = lookAt(cv, photo, job, done);
      if (!looked.ok) return leftOut(photo.name, looked.error);
      return judged(looked.value, shape.solid, job, [...seen(), looked.value]);
    },
    refuse(name, left) {
      put({ name, left });
      return leftOut(name, left);
    },
    finish() {
      return resultOf(job, shape.solid, photos, refined(seen(), job));
    },
  };
}

function resultOf(
  job: BinJob,
  solid: DieSolid,
  entries: readonly (LookedAt | { readonly name: string; readonly left: Note })[],
  looked: readonly LookedAt[],
): BinResult {
  const dice = looked.flatMap(diceOf);
  const reference = job.reference?.size ? job.reference : binMedian(solid, dice);
  const photos = entries.map((e) => {
    const one = looked.find((p) => p.name === e.name);
    return one ? judged(one, solid, job, looked) : leftOut(e.name, (e as { left: Note }).left);
  });
  const all = photos.flatMap((p) => p.dice);
  const count = (v: BinDie['verdict']): number => all.filter((d) => d.verdict === v).length;
  const matched = job.sameDice ? matching(photos) : null;
  const remarks = remarksOf(job, reference.source);
  return {
    format: 'evencast-bin/1',
    die: { kind: job.die },
    reference,
    limits: limitsFor(job.limits, reference, dice, solid),
    matched,
    tally: { keep: count('keep'), lookAgain: count('look-again'), reject: count('reject') },
    notes: remarks.map((n) => remarkOf(n)),
    remarks,
    photos,
  };
}

/** What is to be said of the bin as a whole. */
function remarksOf(job: BinJob, source: 'typed' | 'die' | 'bin'): Note[] {
  const out: Note[] = [{ code: 'one-view' }];
  if (source === 'bin') out.push({ code: 'bin-median' });
  if (job.checkBar === null && job.checkBarY === null)
    out.push({ code: 'scale-unchecked', seen: (200 * PRINT_PRIOR.common).toFixed(1) });
  return out;
}

const diceOf = (p: LookedAt): MeasuredDie[] => p.things.filter((t) => t.code === 'die');

const samePoints = (p: CardSight, q: CardSight): boolean =>
  p.picture.length === q.picture.length && p.picture.every((v, i) => v === q.picture[i]);

function lookAt(
  cv: Cv,
  photo: MeasurePhoto,
  job: BinJob,
  done: (stage: BinStage) => void,
  twinOf: (sight: CardSight) => string | null = () => null,
): Result<LookedAt, Note> {
  const { picture, orientation } = asStored(photo.picture, photo.orientation ?? 1);
  const markers = markersIn(cv, picture);
  if (markers.found.length < MARKERS_NEEDED) return failure(cardFault(markers));
  const sight = saddlePoints(picture, markers.found);
  const points = sight.card.length / 2;
  const twin = twinOf(sight);
  if (twin !== null) return failure({ code: 'duplicate', seen: twin });
  const map = points < CARD_POINTS_NEEDED ? null : cardMap(sight.card, sight.picture);
  if (!map) return failure({ code: 'card-points', seen: points, needed: CARD_POINTS_NEEDED });
  const size = { width: picture.width, height: picture.height };
  const found = calibrated([sight], size, photo.focal, job);
  if (!found.ok) return failure(found.error.code === 'camera-rank' ? { code: 'camera-rank' } : found.error);
  const view: CardView = { camera: found.value.cameras[0]!, cameraFromCard: found.value.cameraFromCard[0]! };
  done('card');
  const { things: outlined, colour: stage } = binThings(cv, picture, map);
  if (outlined.length > REGION.most)
    return failure({ code: 'crowded-stage', seen: outlined.length, needed: REGION.most });
  done('things');
  const things = diceIn(picture, view, outlined, stage, job.die, job.apex);
  done('dice');
  if (things.length === 0) return failure({ code: 'no-die', seen: 0, needed: 1 });
  return success({
    name: photo.name,
    ...size,
    orientation,
    focal: photo.focal,
    sight,
    view,
    focalU: focalDoubt(found.value),
    print: printDoubt(found.value),
    things: touched(things, shapeOf(job.die, job.apex)),
    notes: photoNotes(things, stage),
  });
}

const calibrated = (
  sights: readonly CardSight[],
  size: { readonly width: number; readonly height: number },
  focal: number | null,
  job: BinJob,
): ReturnType<typeof printedCalibration> =>
  printedCalibration(sights, size, focal, job, { beliefs: { ...CAMERA_PRIOR, focal: STATED_FOCAL } });

/** Relative standard uncertainty of the focal length: the first unknown of a calibration is its logarithm. */
const focalDoubt = ({ covariance }: Calibration): number => Math.sqrt(Math.max(0, covariance[0]!));

const printDoubt = ({ print, ratio }: PrintedCalibration): LookedAt['print'] => ({ u: print.u, ratioU: ratio.u });

function photoNotes(things: readonly (MeasuredDie | OtherThing)[], stage: readonly number[]): Note[] {
  const out: Note[] = [];
  const dice = things.filter((t) => t.code === 'die');
  const blur = dice.length > 0 ? Math.max(...dice.map((d) => d.blur)) : 0;
  if (blur > ACCEPT.blur) out.push({ code: 'blur', seen: blur.toFixed(1), needed: ACCEPT.blur });
  const brightest = Math.max(...stage);
  if (brightest >= ACCEPT.burnt) out.push({ code: 'burnt', seen: Math.round(brightest), needed: ACCEPT.burnt });
  return out;
}

/** Cameras found from several photos together, and the dice fitted anew in them; photos of one size and stated focal length. */
function refined(photos: readonly LookedAt[], job: BinJob): LookedAt[] {
  const out = [...photos];
  const groups = new Map<string, number[]>();
  photos.forEach((p, i) => {
    const key = `${p.width} ${p.height} ${p.focal ?? ''}`;
    groups.set(key, [...(groups.get(key) ?? []), i]);
  });
  for (const group of groups.values())
    for (let from = 0; from < group.length; from += TOGETHER) {
      // The last few are calibrated with some before them.
      const last = Math.min(group.length, from + TOGETHER);
      const places = group.slice(Math.max(0, Math.min(from, last - TOGETHER)), last);
      if (places.length < 2) continue;
      const first = photos[places[0]!]!;
      const joint = calibrated(
        places.map((i) => photos[i]!.sight),
        first,
        first.focal,
        job,
      );
      if (!joint.ok || joint.value.sigma > JOINT_SIGMA * (first.width / 2000)) continue;
      places.forEach((i, k) => (out[i] = refitted(photos[i]!, joint.value, k, job)));
    }
  return out;
}

/** Scatter of the card's points over which photos are no photos of one camera, px on a picture 2000 px wide. */
const JOINT_SIGMA = 0.12;

function refitted(photo: LookedAt, joint: PrintedCalibration, k: number, job: BinJob): LookedAt {
  const view: CardView = { camera: joint.cameras[k]!, cameraFromCard: joint.cameraFromCard[k]! };
  const shape = shapeOf(job.die, job.apex);
  const things = photo.things.map((t): MeasuredDie | OtherThing => {
    if (t.code !== 'die') return t;
    const found = outlineFit(shape, view, t.edges, t.pose);
    return found ? { ...t, found: dieFigures(found), pose: found.fit.pose } : t;
  });
  return { ...photo, view, things, focalU: focalDoubt(joint), print: printDoubt(joint) };
}

function judged(photo: LookedAt, solid: DieSolid, job: BinJob, all: readonly LookedAt[]): BinPhoto {
  const dice = all.flatMap(diceOf);
  const reference = job.reference?.size ? job.reference : binMedian(solid, dice);
  const limits = limitsFor(job.limits, reference, dice, solid);
  const doubt: PhotoDoubt = {
    scale: photo.print.u,
    ratio: photo.print.ratioU,
    focal: photo.focalU,
    distance: Math.hypot(...photo.view.cameraFromCard.shift),
  };
  const upright = (d: BinDie): BinDie => ({
    ...d,
    outline: Array.from(uprightPlaces(Float64Array.from(d.outline), photo, photo.orientation)),
  });
  const { width, height } = uprightSize(photo, photo.orientation);
  const first = photo.notes[0];
  return {
    photo: photo.name,
    status: first ? 'judged-with-remark' : 'judged',
    code: first?.code ?? null,
    remark: photo.notes.length > 0 ? photo.notes.map((n) => remarkOf(n)).join(' ') : null,
    notes: photo.notes,
    width,
    height,
    dice: photo.things.map((t) =>
      upright(t.code === 'die' ? judgedDie(solid, t, reference, limits, doubt, dice.length) : judgedThing(t)),
    ),
  };
}

const leftOut = (photo: string, note: Note): BinPhoto => ({
  photo,
  status: 'left-out',
  code: note.code,
  remark: remarkOf(note),
  notes: [note],
  width: 0,
  height: 0,
  dice: [],
});
