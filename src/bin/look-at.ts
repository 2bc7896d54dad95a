import type { Px } from '../units.ts';
import { failure, success, type Result } from '../result.ts';
import { binThings } from './vision/regions.ts';
import { printedCalibration, type PrintedCalibration } from '../vision/print-scale.ts';
import { CAMERA_PRIOR, CARD_POINTS_NEEDED, type Calibration } from '../vision/calibration.ts';
import { cardMap } from '../vision/card-map.ts';
import type { Cv } from '../vision/cv.ts';
import { REGION } from '../vision/region.ts';
import { saddlePoints, type CardSight } from '../vision/saddles.ts';
import { cardFault, markersIn, MARKERS_NEEDED } from '../vision/survey.ts';
import type { CardView } from '../fit/pose.ts';
import { diceIn, shapeOf, type MeasuredDie, type OtherThing } from './die.ts';
import { touched } from './touch.ts';
import type { BinJob } from './types.ts';
import { ACCEPT } from '../measure/look.ts';
import { asStored } from '../photo/orientation.ts';
import type { MeasurePhoto, Note } from '../formats/result.ts';

/** What is kept of a photo: points and outlines, no pixels. */
export interface LookedAt {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly orientation: number;
  readonly focal: Px | null;
  readonly sight: CardSight;
  readonly view: CardView;
  readonly focalU: number;
  /** Relative standard uncertainties of the print: of all lengths alike, and of x over y. */
  readonly print: { readonly u: number; readonly ratioU: number };
  readonly things: readonly (MeasuredDie | OtherThing)[];
  readonly notes: readonly Note[];
}

/** A stated focal length is good to this share (common practice: whole millimetres of about 26, and focusing). */
const STATED_FOCAL = 0.03;

/** Parts of the work on a photo, in their order. */
export const BIN_STAGES = ['card', 'things', 'dice'] as const;
export type BinStage = (typeof BIN_STAGES)[number];

/** Looks at one photo by itself: its card, and the dice on it, fitted. Depends on nothing but the photo and the job. */
export function lookAt(
  cv: Cv,
  photo: MeasurePhoto,
  job: BinJob,
  done: (stage: BinStage) => void = () => undefined,
  twinOf: (sight: CardSight) => string | null = () => null,
): Result<LookedAt, Note> {
  const { picture, orientation } = asStored(photo.picture, photo.orientation ?? 1);
  const markers = markersIn(picture);
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

/** Cameras of photos of one camera, with the print's stretch. */
export const calibrated = (
  sights: readonly CardSight[],
  size: { readonly width: number; readonly height: number },
  focal: Px | null,
  job: BinJob,
): ReturnType<typeof printedCalibration> =>
  printedCalibration(sights, size, focal, job, { beliefs: { ...CAMERA_PRIOR, focal: STATED_FOCAL } });

/** Relative standard uncertainty of the focal length: the first unknown of a calibration is its logarithm. */
export const focalDoubt = ({ covariance }: Calibration): number => Math.sqrt(Math.max(0, covariance[0]!));

export const printDoubt = ({ print, ratio }: PrintedCalibration): LookedAt['print'] => ({
  u: print.u,
  ratioU: ratio.u,
});

function photoNotes(things: readonly (MeasuredDie | OtherThing)[], stage: readonly number[]): Note[] {
  const out: Note[] = [];
  const dice = things.filter((t) => t.code === 'die');
  const blur = dice.length > 0 ? Math.max(...dice.map((d) => d.blur)) : 0;
  if (blur > ACCEPT.blur) out.push({ code: 'blur', seen: blur.toFixed(1), needed: ACCEPT.blur });
  const brightest = Math.max(...stage);
  if (brightest >= ACCEPT.burnt) out.push({ code: 'burnt', seen: Math.round(brightest), needed: ACCEPT.burnt });
  return out;
}
