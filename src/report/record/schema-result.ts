import type { Schema } from './schema-check.ts';

const NUMBER: Schema = { type: 'number' };
const LENGTH: Schema = { type: 'number', minimum: 0, maximum: 1000 };
const DOUBT: Schema = { type: 'number', minimum: 0, maximum: 1000 };
const NAME: Schema = { type: 'string', maxLength: 60 };
const LINE: Schema = { type: 'string', maxLength: 200 };
const list = (items: Schema, maxItems: number, minItems = 0): Schema => ({ type: 'array', items, minItems, maxItems });
const QUANTITY: Schema = { $ref: '#/$defs/quantity' };
const MATRIX: Schema = { $ref: '#/$defs/matrix' };
const FLAT = (most: number): Schema => list(NUMBER, most);

const NOTE_STATUS = ['used', 'used-with-remark', 'left-out'] as const;

/** At least these keys; a later version of a result may say more. */
const atLeast = (properties: Readonly<Record<string, Schema>>): Schema => ({
  type: 'object',
  properties,
  required: Object.keys(properties),
});

const NOTE: Schema = {
  type: 'object',
  properties: { code: NAME, seen: { type: ['number', 'string'], maxLength: 400 }, needed: { type: ['number', 'string'], maxLength: 400 } }, // prettier-ignore
  required: ['code'],
};

const OUTLINE = atLeast({
  width: NUMBER,
  height: NUMBER,
  model: FLAT(40000),
  points: FLAT(40000),
  normals: FLAT(40000),
  residuals: FLAT(20000),
  sigmas: FLAT(20000),
});

const PHOTO = atLeast({
  photo: LINE,
  up: NAME,
  front: NAME,
  status: { enum: NOTE_STATUS },
  code: { type: ['string', 'null'], maxLength: 60 },
  remark: { type: ['string', 'null'], maxLength: 2000 },
  notes: list(NOTE, 40),
  cardPoints: NUMBER,
  cardSigma: NUMBER,
  lean: { type: ['number', 'null'] },
  scale: { type: ['number', 'null'] },
  blur: { anyOf: [{ type: 'null' }, list(NUMBER, 2, 2)] },
  outline: { anyOf: [{ type: 'null' }, OUTLINE] },
});

const RESULT = atLeast({
  format: { const: 'evencast-result/1' },
  die: atLeast({ kind: { $ref: '#/$defs/kind' } }),
  axes: list(atLeast({ name: NAME, length: LENGTH, u: DOUBT, uCommon: DOUBT, uDifference: DOUBT }), 40, 1),
  axesCovariance: MATRIX,
  meanAxis: QUANTITY,
  rangeOfAxes: QUANTITY,
  corners: list(atLeast({ name: NAME, radius: LENGTH, u: DOUBT }), 60),
  meanCornerRadius: QUANTITY,
  edges: list(atLeast({ name: NAME, radius: LENGTH, u: DOUBT }), 90),
  faces: list(atLeast({ name: NAME, distance: LENGTH, u: DOUBT, land: { type: 'number', minimum: 0 } }), 60, 1),
  shapeCovariance: atLeast({ names: list(LINE, 120), matrix: MATRIX }),
  photos: list(PHOTO, 60),
  notes: list(NOTE, 60),
  camera: atLeast({
    width: NUMBER,
    height: NUMBER,
    f: NUMBER,
    cx: NUMBER,
    cy: NUMBER,
    k1: NUMBER,
    k2: NUMBER,
    u: FLAT(20),
  }),
  card: atLeast({ scaleX: QUANTITY, scaleY: QUANTITY, checked: { type: 'boolean' }, bow: NUMBER }),
  surface: atLeast({
    mirror: QUANTITY,
    rough: QUANTITY,
    limb: QUANTITY,
    sharpening: QUANTITY,
    sharpeningRadius: NUMBER,
  }),
  budget: list(atLeast({ source: NAME, meanAxis: DOUBT, difference: DOUBT, meanRadius: DOUBT }), 20),
  fit: atLeast({ stop: NAME, reducedChiSquare: NUMBER, points: NUMBER, outlineSigma: NUMBER }),
});

export const RESULT_DEFS: Readonly<Record<string, Schema>> = {
  kind: { enum: ['d4', 'd6', 'd8', 'd10', 'd12', 'd20'] },
  quantity: atLeast({ value: NUMBER, u: DOUBT }),
  matrix: list(FLAT(120), 120),
  result: RESULT,
};
