import type { Px } from '../units.ts';
import * as v from 'valibot';
import type { PhotoCoding } from './photo-coding.ts';
import type { Picture } from '../vision/picture.ts';
import { failure, type Result } from '../result.ts';
import { BOUNDS } from './bounds.ts';
import { NOTE, type Note, type NoteCode } from './notes.ts';
import {
  crossed,
  APEX,
  CHECK_BAR,
  codeOf,
  dieFault,
  DOUBT,
  isSquare,
  KIND,
  LABEL,
  LENGTH,
  LINE,
  list,
  MATRIX,
  NAME,
  NUMBER,
  NUMBERING,
  numbers,
  QUANTITY,
  SHARE,
  text,
  TRUE_OR_FALSE,
  type CrossFault,
  type Of,
} from './parts.ts';
import { CHECK_BAR_U_RANGE } from './bounds.ts';
import { checked, read, type FormatFault } from './read.ts';
import { range } from './parts.ts';

/*
 * "evencast-result/1": a measured die, as measuring writes it and as everything else reads it. Lengths in mm, `u` standard uncertainties.
 *
 * Version and upgrade path: within /1 fields are only ever added, each of them optional to a reader, and every reader keeps those that it does
 * not know. A change that an old reader would misread is /2, read beside /1 by a step that makes /2 of it, as `ui/store/upgrade.ts` does for
 * kept records.
 */

/** The name of the format. */
export const RESULT_FORMAT = 'evencast-result/1';

const DIE = v.looseObject({
  kind: KIND,
  /** Of a d10: apex height over belt radius of its mould, where it is not 1. */
  apex: v.exactOptional(APEX),
  /** Numbering of the die where it is not the usual one. */
  numbering: v.exactOptional(NUMBERING),
});

export const AXIS = v.looseObject({
  /** The two numbers, lower first: "1-20"; on a d4 "1-corner". */
  name: NAME,
  /** Over the faces, as caliper jaws touch them: the length at the edges and both faces' crowns, mm. */
  length: LENGTH,
  /** At the edges, where outlines at usual leans show the faces, mm; results of before have none. */
  lengthAtEdges: v.exactOptional(QUANTITY),
  /** Standard uncertainty of `length`, all parts together, mm. */
  u: DOUBT,
  /** The part that all axes share (scale, where an edge lies), and the part that tells them apart; mm. */
  uCommon: DOUBT,
  uDifference: DOUBT,
});
export type AxisResult = Of<typeof AXIS>;

export const NAMED_RADIUS = v.looseObject({ name: NAME, radius: LENGTH, u: DOUBT });

export const FACE = v.looseObject({
  name: NAME,
  /** Of the face's plane at its edges from the body's origin, mm: with the crown added, of its middle. */
  distance: LENGTH,
  u: DOUBT,
  /** Area of the flat land, mm^2. */
  land: v.pipe(v.number(), v.minValue(0)),
  /** How far the face's middle stands proud of its rim, mm, hollow below 0; null where no photo grazes the face. */
  crown: v.nullish(QUANTITY),
});
export type FaceResult = Of<typeof FACE>;

/** A mark on a face: of a gate, of a cut, or of colour alone. */
export const MARK = v.looseObject({
  face: NAME,
  /** [x, y] of its middle, mm, in the face as its number is read: x right, y up, from the face's middle. */
  place: v.strictTuple([NUMBER, NUMBER]),
  /** Longer and shorter extent, mm. */
  size: v.strictTuple([LENGTH, LENGTH]),
  /** Over the face, mm, below 0 where sunk; null where it could not be told. */
  height: v.nullable(QUANTITY),
  kind: codeOf<'proud' | 'sunk' | 'colour only'>(),
  /**
   * The direction of its place from the face's middle: counter-clockwise, seen from outside, from that to this corner; radians. So it is found on
   * the solid, however the number stands.
   */
  bearing: v.exactOptional(v.looseObject({ corner: NAME, angle: NUMBER })),
  /** What it was told from: outline, shading, colour, or a person. */
  from: v.exactOptional(v.union([NAME, list(NAME, BOUNDS.photos)])),
});
export type MarkResult = Of<typeof MARK>;

const OUTLINE = v.looseObject({
  /** Size of the upright photo, px: the camera's, with sides swapped where the photo was turned. */
  width: NUMBER,
  height: NUMBER,
  /** Fitted outline, [u, v] per point, px of the photo. */
  model: numbers(2 * BOUNDS.points),
  /** Measured edge points, [u, v] each, outward normals, residual along them (measured minus model) and sigma, px. */
  points: numbers(2 * BOUNDS.points),
  normals: numbers(2 * BOUNDS.points),
  residuals: numbers(BOUNDS.points),
  sigmas: numbers(BOUNDS.points),
});
export type PhotoOutline = Of<typeof OUTLINE>;

/** Where a photo's numbers come from: read from the faces; given, and not borne out by them; given and borne out. */
const FROM = v.picklist(['read', 'given', 'confirmed']);
export type NumbersFrom = v.InferOutput<typeof FROM>;

/** A number as files give it, bare or as text; null, here empty, where it is not known. */
const SHOWN_LABEL = v.union([
  LABEL,
  v.pipe(
    v.nullable(v.pipe(v.number(), v.integer())),
    v.transform((n) => (n === null ? '' : String(n))),
    LABEL,
  ),
]);

export const PHOTO = v.looseObject({
  photo: LINE,
  /** Number up and number in front; empty where not known. */
  up: SHOWN_LABEL,
  front: SHOWN_LABEL,
  /** Where up and front come from, and the stated chance that they are wrong; null where the faces do not tell. */
  numbersFrom: v.nullish(FROM),
  numbersChance: v.nullish(SHARE),
  status: v.picklist(['used', 'used-with-remark', 'left-out']),
  /** The worst remark's code, or null. */
  code: v.nullable(codeOf<NoteCode>()),
  /** Its sentences in English, for readers without the codes' words. */
  remark: v.nullable(text(2000)),
  notes: list(NOTE, BOUNDS.notes),
  /** Card points used, and their scatter, px. */
  cardPoints: NUMBER,
  cardSigma: NUMBER,
  /** Lean of the camera from straight above, degrees. */
  lean: v.nullable(NUMBER),
  /** Picture scale at the die, mm per px. */
  scale: v.nullable(NUMBER),
  /** Blur of the die's edge at the card and at its top, px, one standard deviation. */
  blur: v.nullable(v.strictTuple([NUMBER, NUMBER])),
  /** What the page draws, in the upright photo: the fitted outline and the measured residual along it; null where left out. */
  outline: v.nullable(OUTLINE),
});
export type PhotoResult = Of<typeof PHOTO>;
export type PhotoStatus = PhotoResult['status'];

/** A line of the uncertainty budget: standard uncertainty that a source alone gives. */
export const BUDGET_LINE = v.looseObject({
  source: codeOf<
    'noise' | 'outline' | 'camera' | 'scale' | 'edge' | 'sheen' | 'shade' | 'sharpening' | 'apex' | 'crown' | 'front'
  >(),
  /** Of the mean axis, of a difference of two axes (median), and of the mean corner radius, mm. */
  meanAxis: DOUBT,
  difference: DOUBT,
  meanRadius: DOUBT,
});
export type BudgetLine = Of<typeof BUDGET_LINE>;

const BARS = v.looseObject({
  /** As measured along the card's lower edge and along its side, mm; null where nobody did. */
  x: v.nullable(CHECK_BAR),
  y: v.nullable(CHECK_BAR),
  /** Standard uncertainty of each, mm. */
  u: range(...CHECK_BAR_U_RANGE),
});

const SET_NUMBERS = v.looseObject({
  from: v.nullable(FROM),
  chance: v.nullable(SHARE),
  /** Whether a d10 is printed in tens: its 8 as 80. */
  tens: v.exactOptional(TRUE_OR_FALSE),
});
export type SetNumbersResult = Of<typeof SET_NUMBERS>;

/** Every field of the format; smaller readers take those that they need from here. */
export const RESULT_FIELDS = {
  format: v.literal(RESULT_FORMAT),
  die: DIE,
  axes: list(AXIS, BOUNDS.axes, 1),
  /** mm^2, in the order of `axes`. */
  axesCovariance: MATRIX,
  /** The same of the lengths at the edges. */
  axesAtEdgesCovariance: v.exactOptional(MATRIX),
  meanAxis: QUANTITY,
  rangeOfAxes: QUANTITY,
  corners: list(NAMED_RADIUS, BOUNDS.corners),
  meanCornerRadius: QUANTITY,
  edges: list(NAMED_RADIUS, BOUNDS.edges),
  faces: list(FACE, BOUNDS.faces, 4),
  marks: v.exactOptional(list(MARK, BOUNDS.marks)),
  /** What marks would have been told: the smallest diameter, mm (null: the skin's pattern hides them), and faces that no photo shows straight enough. */
  marksSeen: v.exactOptional(v.looseObject({ least: v.nullable(LENGTH), unseen: list(NAME, BOUNDS.faces) })),
  /** "face 1" ..., then "corner 1-2-3" ..., in the order above; mm^2. */
  shapeCovariance: v.looseObject({ names: list(LINE, BOUNDS.faces + BOUNDS.corners), matrix: MATRIX }),
  photos: list(PHOTO, BOUNDS.photos),
  /** The photos' numbers together: the weakest source, the chance that any is wrong (null where some are only given). */
  numbers: v.exactOptional(v.nullable(SET_NUMBERS)),
  notes: list(NOTE, BOUNDS.notes),
  camera: v.looseObject({
    width: NUMBER,
    height: NUMBER,
    f: NUMBER,
    cx: NUMBER,
    cy: NUMBER,
    k1: NUMBER,
    k2: NUMBER,
    u: numbers(20),
  }),
  card: v.looseObject({
    scaleX: QUANTITY,
    scaleY: QUANTITY,
    checked: TRUE_OR_FALSE,
    bow: NUMBER,
    /** The check bars as given; an older result has none. */
    bars: v.exactOptional(BARS),
  }),
  /** What was found of the surface and of the photos' response. */
  surface: v.looseObject({
    mirror: QUANTITY,
    rough: QUANTITY,
    limb: QUANTITY,
    sharpening: QUANTITY,
    sharpeningRadius: NUMBER,
  }),
  budget: list(BUDGET_LINE, BOUNDS.budget),
  fit: v.looseObject({
    /** Why the fit of the die ended, and that of camera and card; an older result does not say the latter. */
    stop: codeOf<'converged' | 'steps' | 'stuck'>(),
    cameraStop: v.exactOptional(codeOf<'converged' | 'steps' | 'stuck'>()),
    reducedChiSquare: NUMBER,
    points: NUMBER,
    outlineSigma: NUMBER,
  }),
  /** Seconds per stage, wall clock; filled by whoever owns a clock. */
  timing: v.exactOptional(v.record(NAME, NUMBER)),
} as const;

const FIELDS = v.looseObject(RESULT_FIELDS);
export type MeasureResult = Of<typeof FIELDS>;

/** What no field shows alone: the die is one, lists that belong together are equally long, a covariance is one. */
export function resultFault(r: Omit<MeasureResult, 'timing'>): CrossFault | null {
  const die = dieFault(r.die.kind, r.die.numbering, r.die.apex);
  if (die !== null) return { at: ['die', die], need: die };
  for (const key of ['axesCovariance', 'axesAtEdgesCovariance'] as const)
    if (!isSquare(r[key] ?? r.axesCovariance, r.axes.length)) return { at: [key], need: 'square' };
  const { names, matrix } = r.shapeCovariance;
  if (!isSquare(matrix, names.length)) return { at: ['shapeCovariance', 'matrix'], need: 'square' };
  const negative = r.axesCovariance.findIndex((row, i) => row[i]! < 0);
  if (negative >= 0) return { at: ['axesCovariance', negative, negative], need: 'variance' };
  const own = matrix.findIndex((row, i) => row[i]! < 0);
  if (own >= 0) return { at: ['shapeCovariance', 'matrix', own, own], need: 'variance' };
  const faces = new Set(r.faces.map((f) => f.name));
  const stray = r.marks?.findIndex((m) => !faces.has(m.face)) ?? -1;
  if (stray >= 0) return { at: ['marks', stray, 'face'], need: 'mark-of-face' };
  for (const [i, { outline }] of r.photos.entries()) {
    const need = outline && outlineFault(outline);
    if (need) return { at: ['photos', i, 'outline'], need };
  }
  return null;
}

function outlineFault({ residuals, sigmas, points, normals, model }: PhotoOutline): 'outline' | 'sigma' | null {
  const n = residuals.length;
  if (sigmas.length !== n || points.length !== 2 * n || normals.length !== 2 * n || model.length % 2 !== 0)
    return 'outline';
  // Below a billionth of a pixel squares of their ratios leave the numbers.
  return sigmas.some((s) => !(s > 1e-9)) ? 'sigma' : null;
}

/** The schema of the format, checks across fields included. */
export const RESULT = crossed(FIELDS, resultFault);

/** A result of the die that could not be measured, in place of one. */
const FAILED = v.looseObject({
  error: v.looseObject({ code: codeOf<NoteCode>(), message: v.exactOptional(text(2000)) }),
});

/** The file is a result, but of a die that could not be measured. */
export interface NotMeasured {
  readonly code: 'not-measured';
  readonly reason: string;
  /** In English, as the file has it. */
  readonly message: string | null;
}

/** Why a file holds no measured die. */
export type ResultFault = FormatFault | NotMeasured;

/** What a file says where the die could not be measured; null where it does not say so. */
export function notMeasured(json: unknown): NotMeasured | null {
  const failed = checked(FAILED, json);
  if (!failed.ok) return null;
  const { code, message } = failed.value.error;
  return { code: 'not-measured', reason: code, message: message?.slice(0, 300) ?? null };
}

/** A result as read from a file or a store; keys that this version does not know stay in it. */
export function readResult(json: unknown): Result<MeasureResult, ResultFault> {
  const failed = notMeasured(json);
  return failed ? failure(failed) : read(RESULT, json);
}

/** A decoded photo. */
export interface MeasurePhoto {
  readonly name: string;
  /** Upright. */
  readonly picture: Picture;
  /** EXIF orientation that made it upright; 1 where left out. */
  readonly orientation?: number;
  /** Focal length in px as the photo's own data state it, or null. */
  readonly focal: Px | null;
  /** How its file rounded it; null or left out where nothing is known of that. */
  readonly coding?: PhotoCoding | null;
}

/** A value and its standard uncertainty, same unit. */
export type Quantity = Of<typeof QUANTITY>;

export interface MeasureFailure extends Note {
  readonly photos: readonly PhotoResult[];
}

/** Where the work stands. */
export interface Progress {
  readonly stage: 'decode' | 'card' | 'calibrate' | 'coarse' | 'edges' | 'fit';
  /** Photo in hand, from 0, or null for work on the whole set. */
  readonly photo: number | null;
  /** Of all the work, 0 to 1. */
  readonly fraction: number;
  /** What is known of the die by then, handed over once, in the middle of the work; reckoned when it is asked for. */
  readonly soFar?: () => SoFar | null;
}

/** An axis as two coarse rounds see it: across the outlines, before crowns, marks and what photos disagree about were looked at. */
export interface AxisSoFar {
  readonly name: string;
  /** Longer than the mean of those that are told; null where no photo shows the axis well enough. */
  readonly beyondMean: Quantity | null;
}

/** What is known of a die whose photos are still coming, or still being worked on; mm. */
export interface SoFar {
  /** Photos that it comes from. */
  readonly photos: number;
  /** Of the axes that are told. */
  readonly mean: Quantity;
  /** In the order of their numbers. */
  readonly axes: readonly AxisSoFar[];
}

export type { Note, NoteCode } from './notes.ts';
export type { Job, JobShot } from './job.ts';
