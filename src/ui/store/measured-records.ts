import * as v from 'valibot';
import { DIE_KINDS } from '../../geometry/solid.ts';
import type { Job, MeasureResult, PhotoResult } from '../../formats/result.ts';

/** What a record or an imported file may hold of measuring: shapes and bounds, so that nothing else reaches the page. */

export const text = (most: number) => v.pipe(v.string(), v.maxLength(most));
export const LABEL = text(12);
const NUMBER = v.pipe(v.number(), v.finite());
const numbers = (most: number) => v.pipe(v.array(NUMBER), v.maxLength(most));
const QUANTITY = v.object({ value: NUMBER, u: NUMBER });
const MATRIX = v.pipe(v.array(numbers(100)), v.maxLength(100));
const CODE = text(40);
const SEEN = v.union([NUMBER, text(300)]);

export const NUMBERING = v.pipe(
  v.record(LABEL, v.pipe(v.array(LABEL), v.maxLength(20))),
  v.check((r) => Object.keys(r).length <= 20, 'at most 20 faces'),
);

const NOTE = v.object({ code: CODE, seen: v.exactOptional(SEEN), needed: v.exactOptional(SEEN) });
const OUTLINE_POINTS = 20_000;
const OUTLINE = v.object({
  width: NUMBER,
  height: NUMBER,
  model: numbers(OUTLINE_POINTS),
  points: numbers(OUTLINE_POINTS),
  normals: numbers(OUTLINE_POINTS),
  residuals: numbers(OUTLINE_POINTS),
  sigmas: numbers(OUTLINE_POINTS),
});

// Fields that a later version adds are carried along, so that a result goes through a file unchanged.
const JUDGED_FIELDS = v.looseObject({
  photo: text(255),
  up: LABEL,
  front: LABEL,
  status: v.picklist(['used', 'used-with-remark', 'left-out']),
  code: v.nullable(CODE),
  remark: v.nullable(text(2000)),
  notes: v.pipe(v.array(NOTE), v.maxLength(50)),
  cardPoints: NUMBER,
  cardSigma: NUMBER,
  lean: v.nullable(NUMBER),
  scale: v.nullable(NUMBER),
  blur: v.nullable(v.tuple([NUMBER, NUMBER])),
  outline: v.nullable(OUTLINE),
});
export const JUDGED = v.pipe(
  JUDGED_FIELDS,
  v.transform((judged) => judged as unknown as PhotoResult),
);

export const JOB = v.pipe(
  v.looseObject({
    die: v.picklist(DIE_KINDS),
    shots: v.pipe(v.array(v.object({ photo: text(255), up: LABEL, front: LABEL })), v.maxLength(60)),
    checkBar: v.nullable(NUMBER),
    checkBarY: v.nullable(NUMBER),
    checkBarU: NUMBER,
    numbering: v.nullable(NUMBERING),
    apex: v.exactOptional(NUMBER),
  }),
  v.transform((job) => job as unknown as Job),
);

const NAMED_RADIUS = v.pipe(v.array(v.looseObject({ name: text(40), radius: NUMBER, u: NUMBER })), v.maxLength(100));

export const RESULT = v.pipe(
  v.looseObject({
    format: v.literal('evencast-result/1'),
    die: v.looseObject({ kind: v.picklist(DIE_KINDS) }),
    axes: v.pipe(
      v.array(v.looseObject({ name: text(40), length: NUMBER, u: NUMBER, uCommon: NUMBER, uDifference: NUMBER })),
      v.minLength(1),
      v.maxLength(20),
    ),
    axesCovariance: MATRIX,
    meanAxis: QUANTITY,
    rangeOfAxes: QUANTITY,
    corners: NAMED_RADIUS,
    meanCornerRadius: QUANTITY,
    edges: NAMED_RADIUS,
    faces: v.pipe(
      v.array(v.looseObject({ name: text(40), distance: NUMBER, u: NUMBER, land: NUMBER })),
      v.minLength(4),
      v.maxLength(20),
    ),
    shapeCovariance: v.looseObject({ names: v.pipe(v.array(text(40)), v.maxLength(100)), matrix: MATRIX }),
    photos: v.pipe(v.array(JUDGED_FIELDS), v.maxLength(60)),
    notes: v.pipe(v.array(NOTE), v.maxLength(50)),
    camera: v.looseObject({ width: NUMBER, height: NUMBER, f: NUMBER, cx: NUMBER, cy: NUMBER, u: numbers(20) }),
    card: v.looseObject({ scaleX: QUANTITY, scaleY: QUANTITY, checked: v.boolean(), bow: NUMBER }),
    surface: v.looseObject({ mirror: QUANTITY, rough: QUANTITY, limb: QUANTITY, sharpening: QUANTITY }),
    budget: v.pipe(
      v.array(v.looseObject({ source: CODE, meanAxis: NUMBER, difference: NUMBER, meanRadius: NUMBER })),
      v.maxLength(40),
    ),
    fit: v.looseObject({ stop: CODE, reducedChiSquare: NUMBER, points: NUMBER, outlineSigma: NUMBER }),
    timing: v.record(text(40), NUMBER),
  }),
  v.check(
    ({ axes, axesCovariance }) =>
      axesCovariance.length === axes.length && axesCovariance.every((row) => row.length === axes.length),
    'a covariance of all axes is needed',
  ),
  v.check(
    ({ shapeCovariance: { names, matrix } }) =>
      matrix.length === names.length && matrix.every((row) => row.length === names.length),
    'a covariance of the whole shape is needed',
  ),
  v.transform((result) => result as unknown as MeasureResult),
);
