import * as v from 'valibot';
import type { Result } from '../result.ts';
import { BOUNDS } from './bounds.ts';
import { FACES_PICTURE } from './faces-picture.ts';
import { JOB } from './job.ts';
import { crossed, COUNT, LABEL, LINE, list, NAME, NUMBER, SHARE, TEXT, text, TRUE_OR_FALSE, type Of } from './parts.ts';
import { checked, type FormatFault } from './read.ts';
import { PHOTO, RESULT_FIELDS, resultFault } from './result.ts';

/*
 * "evencast-report/1": a measured die with its doubt, its verdict and its digests.
 *
 * Version and upgrade path: apart from the result and the job inside, which may be extended, a report holds exactly these keys, since a reader must
 * not sign for what it does not show. A new field of the report itself is therefore optional here first, or makes /2.
 */

/** The name of the format. */
export const REPORT_FORMAT = 'evencast-report/1';

const HEX = v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/));
const DATE = v.pipe(v.string(), v.regex(/^([0-9]{4}-[0-9]{2}-[0-9]{2})?$/));
const BASE64 = v.pipe(text(2000), v.regex(/^[A-Za-z0-9+/]*={0,2}$/));
const NUMBER_OR_NULL = v.nullable(NUMBER);

/** What a person types about a measurement; plain text, empty where nothing was said. */
const ABOUT = v.strictObject({
  /** Which die. */
  die: LINE,
  /** Who made or sells it. */
  maker: LINE,
  measuredBy: LINE,
  /** Dates as YYYY-MM-DD, or empty. */
  measuredOn: DATE,
  reportedOn: DATE,
  place: LINE,
  /** Light, temperature, support, camera: what may have mattered. */
  conditions: TEXT,
  /** With what the card's check bars were measured. */
  ruler: LINE,
  note: TEXT,
});
export type About = Of<typeof ABOUT>;
export const ABOUT_KEYS = Object.keys(ABOUT.entries) as (keyof About)[];

const PHOTO_DIGEST = v.strictObject({ photo: LINE, sha256: HEX, bytes: COUNT });
export type PhotoDigest = Of<typeof PHOTO_DIGEST>;

/** Tolerance limits of one quantity, same unit as it; null where that side is free. */
const LIMITS = v.strictObject({ low: NUMBER_OR_NULL, high: NUMBER_OR_NULL });
export type Limits = Of<typeof LIMITS>;

/** What a die is held to. Lengths mm; what is null is not judged. */
const TOLERANCE = v.strictObject({
  name: LINE,
  /** Where it comes from. */
  source: LINE,
  /** Of the mean axis. */
  size: v.nullable(LIMITS),
  /** Longest axis minus shortest. */
  range: v.nullable(LIMITS),
  /** Radius of every edge. */
  edges: v.nullable(LIMITS),
  /** Chance of every number, as a share of an even die's. */
  chances: v.nullable(LIMITS),
  /** Crown of every face; height of every mark. */
  crowns: v.exactOptional(v.nullable(LIMITS)),
  marks: v.exactOptional(v.nullable(LIMITS)),
});
export type Tolerance = Of<typeof TOLERANCE>;

/** Probabilities that the rule `shared` may ask for. */
const PROBABILITY = v.pipe(v.number(), v.minValue(0.5), v.maxValue(0.9999));

/**
 * How a value with its doubt becomes a verdict.
 *
 * - `simple`: within the limits passes, outside fails; both parties share the risk that comes with the doubt (JCGM 106:2012, 8.2).
 * - `guard`: passes only further inside than w = U95, fails only further outside (JCGM 106:2012, 8.3; ISO 14253-1); between them undecided.
 * - `shared`: passes where it lies within with at least `probability`, fails where it lies outside with at least that; so the risk of a
 *   wrong verdict, stated beforehand, is the same for both parties.
 */
const RULE = v.variant('kind', [
  v.strictObject({ kind: v.literal('simple') }),
  v.strictObject({ kind: v.literal('guard') }),
  v.strictObject({ kind: v.literal('shared'), probability: PROBABILITY }),
]);
export type DecisionRule = Of<typeof RULE>;

const VERDICT = v.picklist(['pass', 'fail', 'undecided']);
export type Verdict = v.InferOutput<typeof VERDICT>;

/** What would decide a limit that is undecided. `U95` is what the doubt must shrink to, same unit as the quantity. */
const REMEDY = v.variant('kind', [
  v.strictObject({ kind: v.literal('on-limit') }),
  v.strictObject({ kind: v.literal('bars'), U95: NUMBER }),
  v.strictObject({ kind: v.literal('photos'), times: NUMBER, U95: NUMBER, bars: TRUE_OR_FALSE }),
  v.strictObject({ kind: v.literal('instrument'), U95: NUMBER }),
  v.strictObject({ kind: v.literal('rolls'), rolls: NUMBER }),
  v.strictObject({ kind: v.literal('grazing'), U95: NUMBER }),
]);
export type Remedy = Of<typeof REMEDY>;

/** The verdict on one limit. Lengths mm; chances as a share of an even die's. */
const FINDING = v.strictObject({
  key: v.picklist(['size', 'range', 'edges', 'chances', 'crowns', 'marks']),
  low: NUMBER_OR_NULL,
  high: NUMBER_OR_NULL,
  /** Of what decides: the quantity itself, or of many the one that is worst off; its doubt and its name. */
  value: NUMBER,
  u: v.pipe(v.number(), v.minValue(0)),
  member: v.nullable(NAME),
  /** How many were judged, and how many passed and failed. */
  judged: v.pipe(v.number(), v.integer(), v.minValue(1)),
  passed: COUNT,
  failed: COUNT,
  verdict: VERDICT,
  /** That all of them lie within. */
  probability: SHARE,
  /** What would decide it; null where it is decided. */
  remedy: v.nullable(REMEDY),
});
export type Finding = Of<typeof FINDING>;

/** All verdicts together. */
const ASSESSMENT = v.strictObject({
  findings: list(FINDING, 6),
  /** Null where nothing was judged. */
  verdict: v.nullable(VERDICT),
  /** Bounds of the probability that everything lies within, whatever hangs on what (Frechet). */
  probability: v.nullable(v.strictObject({ low: SHARE, high: SHARE })),
});
export type Assessment = Of<typeof ASSESSMENT>;

const INTERVAL = { value: NUMBER, low: NUMBER, high: NUMBER_OR_NULL } as const;
const STATED_INTERVAL = v.strictObject(INTERVAL);
/** An interval at 95 %; `high` null where it has no end. */
export type StatedInterval = Of<typeof STATED_INTERVAL>;

const INTEGER = v.pipe(v.number(), v.integer());

/** Throws of a measured die on the mean of all tables: the same seed and number give the same counts. */
const THROWN = v.strictObject({ seed: INTEGER, throws: v.pipe(INTEGER, v.minValue(1)), counts: list(COUNT, 40) });

/** Rolls of this very die at a table, counts in the order of the faces, against what its shape predicts. */
const ROLLED = v.strictObject({
  rolls: v.pipe(INTEGER, v.minValue(1)),
  counts: list(COUNT, 40),
  verdict: v.picklist(['agree', 'disagree', 'cannot-tell']),
  /** Of rolls so far from the prediction, its own doubt counted in. */
  p: SHARE,
  /** How likely these many rolls were to tell the prediction from even chances. */
  power: SHARE,
});

/** What a shape means for rolls, as a report states it. */
const ROLLS = v.strictObject({
  method: v.picklist(['kernel', 'throws']),
  /** The mean of all tables. */
  table: v.literal('unknown'),
  faces: list(
    v.strictObject({ name: LINE, p: SHARE, low: SHARE, high: SHARE, uLn: v.pipe(v.number(), v.minValue(0)) }),
    40,
  ),
  meanRoll: v.nullable(v.strictObject({ ...INTERVAL, even: NUMBER })),
  unevenness: STATED_INTERVAL,
  rollsToNotice: STATED_INTERVAL,
  looksEven: TRUE_OR_FALSE,
  /** Why the quick prediction is doubtful for this shape; empty where it serves. */
  beyond: list(LINE, 20),
  sentences: list(TEXT, 20),
  /** The throws that it is read from, where it is; reports of before there were any do not say that there are none. */
  thrown: v.exactOptional(v.nullable(THROWN)),
  /** Left out where no rolls were given. */
  rolled: v.exactOptional(ROLLED),
});
export type RollsData = Of<typeof ROLLS>;

/** Readings of the same die by another instrument, beside what photos gave. Lengths mm. */
const INSTRUMENT_CHECK = v.strictObject({
  instrument: LINE,
  /** Expanded uncertainty of its readings. */
  U95: v.pipe(v.number(), v.minValue(1e-5), v.maxValue(10)),
  /** YYYY-MM-DD. */
  date: DATE,
  readings: list(
    v.strictObject({ axis: NAME, reading: NUMBER, length: NUMBER, u: v.pipe(v.number(), v.minValue(0)) }),
    40,
    1,
  ),
});
export type InstrumentCheck = Of<typeof INSTRUMENT_CHECK>;

// A report is checked as it stands, for its digest: photos' numbers are labels there already.
const REPORT_PHOTO = v.looseObject({ ...PHOTO.entries, up: LABEL, front: LABEL });
// It says nothing of the seconds it took.
const REPORT_RESULT = v.omit(v.looseObject({ ...RESULT_FIELDS, photos: list(REPORT_PHOTO, BOUNDS.photos) }), [
  'timing',
]);
/** A result as a report keeps it: without the seconds it took, outlines to a ten-thousandth of a pixel. */
export type ReportResult = Of<typeof REPORT_RESULT>;

/** Everything that a report says. Same data, same bytes in every form. */
const DATA = v.strictObject({
  about: ABOUT,
  result: crossed(REPORT_RESULT, resultFault),
  /** What was told beforehand; null where the result alone was at hand. */
  job: v.nullable(JOB),
  /** Empty where the photos were not at hand. */
  photos: crossed(list(PHOTO_DIGEST, BOUNDS.photos), (photos) => {
    const twin = photos.findIndex((p, i) => photos.findIndex((q) => q.photo === p.photo) < i);
    return twin < 0 ? null : { at: [twin, 'photo'], need: 'unlike' };
  }),
  tolerance: TOLERANCE,
  rule: RULE,
  assessment: ASSESSMENT,
  rolls: v.nullable(ROLLS),
  /** Why there is no word on rolls. */
  rollsMissing: v.nullable(text(2000)),
  /** `model`: which kernels predicted the rolls, see `modelDigest`. */
  software: v.strictObject({
    name: v.literal('Evencast'),
    version: text(40),
    model: v.pipe(v.string(), v.regex(/^[0-9a-f]{16}$/)),
  }),
  /** What the die was checked against; reports without such readings do not say so. */
  checkedAgainst: v.exactOptional(list(INSTRUMENT_CHECK, 20)),
  /** What is on its faces; left out where no picture was at hand. */
  faces: v.exactOptional(FACES_PICTURE),
  seeds: v.strictObject({ joint: v.pipe(v.number(), v.integer()), jointDraws: v.pipe(v.number(), v.integer()) }),
});
export type ReportData = Of<typeof DATA>;

/** ECDSA on P-256 with SHA-256 (FIPS 186-5), or Ed25519 (RFC 8032). */
export const SIGNATURE_KINDS = ['ECDSA-P256', 'Ed25519'] as const;
export type SignatureKind = (typeof SIGNATURE_KINDS)[number];

/** Who holds the private key has signed this report's data. It does not say who that is. */
const SIGNATURE = v.strictObject({
  kind: v.picklist(SIGNATURE_KINDS),
  /** SubjectPublicKeyInfo (RFC 5280), base64. */
  publicKey: BASE64,
  /** Of the signed bytes, base64. */
  value: BASE64,
});
export type Signature = Of<typeof SIGNATURE>;

/** The schema of the file. `digest.data` is the SHA-256 of the canonical JSON (RFC 8785) of `data`. */
export const REPORT = v.strictObject({
  format: v.literal(REPORT_FORMAT),
  /** Made from the digest: another datum, another number. */
  number: v.pipe(v.string(), v.regex(/^EV(-[0-9A-HJKMNP-TV-Z]{4}){4}$/)),
  digest: v.strictObject({ algorithm: v.literal('SHA-256'), of: v.literal('RFC 8785'), data: HEX }),
  data: DATA,
  signature: v.nullable(SIGNATURE),
});
export type ReportRecord = Of<typeof REPORT>;

/** A report as read from a file, its form checked; its digests are not. */
export const readRecord = (json: unknown): Result<ReportRecord, FormatFault> => checked(REPORT, json);
