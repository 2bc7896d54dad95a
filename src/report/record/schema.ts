import { RESULT_DEFS } from './schema-result.ts';
import type { Schema } from './schema-check.ts';

const NUMBER: Schema = { type: 'number' };
const TEXT: Schema = { type: 'string', maxLength: 4000 };
const LINE: Schema = { type: 'string', maxLength: 200 };
const HEX: Schema = { type: 'string', pattern: '^[0-9a-f]{64}$' };
const DATE: Schema = { type: 'string', pattern: '^([0-9]{4}-[0-9]{2}-[0-9]{2})?$' };
const BASE64: Schema = { type: 'string', pattern: '^[A-Za-z0-9+/]*={0,2}$', maxLength: 2000 };
const orNull = (schema: Schema): Schema => ({ anyOf: [{ type: 'null' }, schema] });
const list = (items: Schema, maxItems: number): Schema => ({ type: 'array', items, maxItems });
const SHARE: Schema = { type: 'number', minimum: 0, maximum: 1 };
const VERDICT: Schema = { enum: ['pass', 'fail', 'undecided'] };

/** An object of exactly these keys. */
const exactly = (properties: Readonly<Record<string, Schema>>): Schema => ({
  type: 'object',
  properties,
  required: Object.keys(properties),
  additionalProperties: false,
});

const LIMITS = exactly({ low: { type: ['number', 'null'] }, high: { type: ['number', 'null'] } });
const INTERVAL = { value: NUMBER, low: NUMBER, high: { type: ['number', 'null'] } } satisfies Record<string, Schema>;

const REMEDY: Schema = {
  type: 'object',
  properties: {
    kind: { enum: ['on-limit', 'bars', 'photos', 'instrument', 'rolls'] },
    times: NUMBER,
    U95: NUMBER,
    bars: { type: 'boolean' },
    rolls: NUMBER,
  },
  required: ['kind'],
  additionalProperties: false,
};

const FINDING = exactly({
  key: { enum: ['size', 'range', 'edges', 'chances'] },
  low: { type: ['number', 'null'] },
  high: { type: ['number', 'null'] },
  value: NUMBER,
  u: { type: 'number', minimum: 0 },
  member: { type: ['string', 'null'], maxLength: 60 },
  judged: { type: 'integer', minimum: 1 },
  passed: { type: 'integer', minimum: 0 },
  failed: { type: 'integer', minimum: 0 },
  verdict: VERDICT,
  probability: SHARE,
  remedy: orNull(REMEDY),
});

const ROLLS_MUST = exactly({
  method: { enum: ['kernel', 'throws'] },
  table: { const: 'unknown' },
  faces: list(exactly({ name: LINE, p: SHARE, low: SHARE, high: SHARE, uLn: { type: 'number', minimum: 0 } }), 40),
  meanRoll: orNull(exactly({ ...INTERVAL, even: NUMBER })),
  unevenness: exactly(INTERVAL),
  rollsToNotice: exactly(INTERVAL),
  looksEven: { type: 'boolean' },
  beyond: list(LINE, 20),
  sentences: list(TEXT, 20),
});
const THROWN = exactly({
  seed: { type: 'integer' },
  throws: { type: 'integer', minimum: 1 },
  counts: list({ type: 'integer', minimum: 0 }, 40),
});
/** Reports of before there were throws in them do not say that there are none. */
const ROLLS: Schema = { ...ROLLS_MUST, properties: { ...ROLLS_MUST.properties, thrown: orNull(THROWN) } };

const JOB: Schema = {
  type: 'object',
  properties: {
    die: { $ref: '#/$defs/kind' },
    shots: list({ type: 'object', properties: { photo: LINE, up: LINE, front: LINE }, required: ['photo', 'up', 'front'] }, 60), // prettier-ignore
    checkBar: { type: ['number', 'null'] },
    checkBarY: { type: ['number', 'null'] },
    checkBarU: { type: 'number', exclusiveMinimum: 0 },
    numbering: { type: ['object', 'null'] },
    apex: NUMBER,
  },
  required: ['die', 'shots', 'checkBar', 'checkBarY', 'checkBarU', 'numbering'],
};

const DATA = exactly({
  about: exactly({
    die: LINE,
    maker: LINE,
    measuredBy: LINE,
    measuredOn: DATE,
    reportedOn: DATE,
    place: LINE,
    conditions: TEXT,
    ruler: LINE,
    note: TEXT,
  }),
  result: { $ref: '#/$defs/result' },
  job: orNull(JOB),
  photos: list(exactly({ photo: LINE, sha256: HEX, bytes: { type: 'integer', minimum: 0 } }), 60),
  tolerance: exactly({
    name: LINE,
    source: LINE,
    size: orNull(LIMITS),
    range: orNull(LIMITS),
    edges: orNull(LIMITS),
    chances: orNull(LIMITS),
  }),
  rule: {
    anyOf: [
      exactly({ kind: { enum: ['simple', 'guard'] } }),
      exactly({ kind: { const: 'shared' }, probability: { type: 'number', minimum: 0.5, maximum: 0.9999 } }),
    ],
  },
  assessment: exactly({
    findings: list(FINDING, 4),
    verdict: { anyOf: [{ type: 'null' }, VERDICT] },
    probability: orNull(exactly({ low: SHARE, high: SHARE })),
  }),
  rolls: orNull(ROLLS),
  rollsMissing: { type: ['string', 'null'], maxLength: 2000 },
  software: exactly({
    name: { const: 'Evencast' },
    version: { type: 'string', maxLength: 40 },
    model: { type: 'string', pattern: '^[0-9a-f]{16}$' },
  }),
  seeds: exactly({ joint: { type: 'integer' }, jointDraws: { type: 'integer' } }),
});

/** JSON Schema of "evencast-report/1". `public/evencast-report-1.schema.json` is its copy for other programs. */
export const REPORT_SCHEMA: Schema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Evencast report',
  description:
    'A measured die with its doubt, its verdict and its digests. Lengths in mm, u standard uncertainties. digest.data is the SHA-256 of the canonical JSON (RFC 8785) of data.',
  ...exactly({
    format: { const: 'evencast-report/1' },
    number: { type: 'string', pattern: '^EV(-[0-9A-HJKMNP-TV-Z]{4}){4}$' },
    digest: exactly({ algorithm: { const: 'SHA-256' }, of: { const: 'RFC 8785' }, data: HEX }),
    data: DATA,
    signature: orNull(exactly({ kind: { enum: ['ECDSA-P256', 'Ed25519'] }, publicKey: BASE64, value: BASE64 })),
  }),
  $defs: RESULT_DEFS,
};

/** JSON Schema of "evencast-result/1", as `evencast measure --json` writes a measured die. */
export const RESULT_SCHEMA: Schema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Evencast result',
  description: 'A measured die. Lengths in mm, u standard uncertainties.',
  $ref: '#/$defs/result',
  $defs: RESULT_DEFS,
};
