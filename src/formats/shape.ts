import * as v from 'valibot';
import { failure, type Result } from '../result.ts';
import { BOUNDS } from './bounds.ts';
import { APEX, list, NUMBER, NUMBERING, QUANTITY, text, type Of } from './parts.ts';
import { read, type FormatFault } from './read.ts';
import { notMeasured, RESULT_FIELDS, type NotMeasured } from './result.ts';

/*
 * What rolls need of a result ("evencast-result/1"), or of a shape written by hand: `die.kind`, names and distances of the faces suffice. The names
 * and bounds are the result's own; mark, trim and centre of mass are additions for shapes written by hand.
 */

const NAME = v.union([
  v.pipe(
    v.number(),
    v.transform((n) => String(n)),
  ),
  text(BOUNDS.name),
]);
const NAMED = v.looseObject({ name: NAME });

/** Crown as a result gives it, or its height alone as a hand does; mm. */
const CROWN = v.union([NUMBER, QUANTITY]);

export const SHAPE = v.looseObject({
  die: v.looseObject({
    kind: text(BOUNDS.name),
    apex: v.nullish(APEX),
    numbering: v.nullish(NUMBERING),
  }),
  faces: list(
    v.looseObject({ name: NAME, distance: NUMBER, u: v.nullish(NUMBER), crown: v.nullish(CROWN) }),
    3 * BOUNDS.faces,
  ),
  corners: v.nullish(list(v.looseObject({ name: NAME, radius: NUMBER, u: v.nullish(NUMBER) }), BOUNDS.corners)),
  meanCornerRadius: v.nullish(v.looseObject({ value: NUMBER })),
  axes: v.nullish(list(NAMED, BOUNDS.axes)),
  axesCovariance: v.nullish(RESULT_FIELDS.axesCovariance),
  shapeCovariance: v.nullish(RESULT_FIELDS.shapeCovariance),
  marks: v.nullish(RESULT_FIELDS.marks.wrapped),
  /** On the face of that name: place [x, y] from its middle, height and width of the foot, mm. */
  mark: v.nullish(
    v.looseObject({ face: NAME, at: v.nullish(v.strictTuple([NUMBER, NUMBER])), height: NUMBER, width: NUMBER }),
  ),
  /** Of the edge between two faces ("1-2"): how deep it was cut, mm. */
  trim: v.nullish(v.looseObject({ edge: text(BOUNDS.name), depth: NUMBER })),
  /** Centre of mass from the middle, mm. */
  massOffset: v.nullish(v.strictTuple([NUMBER, NUMBER, NUMBER])),
});
export type ShapeFile = Of<typeof SHAPE>;

/** A shape as read from a file; whether it can be a die is asked later, by whoever throws it. */
export function readShapeFile(json: unknown): Result<ShapeFile, FormatFault | NotMeasured> {
  const failed = notMeasured(json);
  return failed ? failure(failed) : read(SHAPE, json);
}
