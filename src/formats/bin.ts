import type { Mm } from '../units.ts';
import * as v from 'valibot';
import { failure, success, type Result } from '../result.ts';
import type { DieKind } from '../geometry/solid.ts';
import { BOUNDS, CHECK_BAR_U_RANGE } from './bounds.ts';
import { CHECK_BAR_U } from './job.ts';
import { NOTE, SEEN, type NoteCode } from './notes.ts';
import {
  crossed,
  APEX,
  CHECK_BAR,
  codeOf,
  dieFault,
  KIND,
  LINE,
  list,
  NUMBER,
  numbers,
  QUANTITY,
  range,
  SHARE,
  text,
  TRUE_OR_FALSE,
  type Of,
} from './parts.ts';
import { read, type FormatFault } from './read.ts';
import { notMeasured, RESULT_FORMAT, type NotMeasured, type Quantity } from './result.ts';

/*
 * The bin's files: its job (no version; fields are only ever added), "evencast-bin-reference/1" (what dice are held against) and "evencast-bin/1" (what was
 * found). Lengths in mm, `u` standard uncertainties. Within /1 fields are only ever added; a stored result keeps those that this version does not know.
 */

export const BIN_FORMAT = 'evencast-bin/1';
export const BIN_REFERENCE_FORMAT = 'evencast-bin-reference/1';

/** Most photos of one bin. */
export const MOST_BIN_PHOTOS = BOUNDS.binPhotos;

/** Sizes and corner radii that a reference may name, mm. */
const SIZE = range(3, 60);
const RADIUS = range(0.01, 10);
const LIMIT = v.nullish(v.pipe(v.number(), v.gtValue(0), v.maxValue(20)));

/** Limits of a good die. Lengths in mm. */
const LIMITS = v.strictObject({
  /** Size may differ from the reference by so much. */
  size: LIMIT,
  /** Mean corner radius at most. */
  radius: LIMIT,
  /** Departure of the outline from the nearest pose of a true die at most: how far out of round. */
  departure: LIMIT,
});
export type LimitName = keyof typeof LIMITS.entries;
export const LIMIT_NAMES = Object.keys(LIMITS.entries) as readonly LimitName[];
/** Limits of a good die, mm; see the schema. */
export type BinLimits = { readonly [L in LimitName]: number };

/** Those that are given. */
function givenLimits(limits: Of<typeof LIMITS> | null | undefined): Partial<BinLimits> {
  const given = Object.entries(limits ?? {}).filter(([, value]) => value !== null && value !== undefined);
  return Object.fromEntries(given);
}

const REFERENCE = v.looseObject({
  size: v.nullable(QUANTITY),
  radius: v.nullable(QUANTITY),
  source: v.picklist(['typed', 'die', 'bin']),
});
/** What dice are held against: a nominal size, or a die that was measured. Lengths in mm. */
export type BinReference = Of<typeof REFERENCE>;

/** What is sorted, and against what. */
export interface BinJob {
  readonly die: DieKind;
  /** Of a d10: apex height over belt radius of its mould, where it is not 1. */
  readonly apex?: number;
  /** Measured lengths of the card's check bars, mm; null where nobody measured. */
  readonly checkBar: Mm | null;
  readonly checkBarY: Mm | null;
  readonly checkBarU: Mm;
  readonly reference: BinReference | null;
  readonly limits: Partial<BinLimits>;
  /** Whether every photo shows the same dice at the same places, each turned: then photos narrow each other. */
  readonly sameDice: boolean;
}

export interface BinFolderJob {
  readonly job: BinJob;
  /** Names of the photos, or null: all pictures that lie there. */
  readonly photos: readonly string[] | null;
}

/**
 * A bin's job as a file gives it: `die`, and where wanted `photos`, `checkBar`, `checkBarY`, `checkBarU`, `apex`, `size` and `radius`
 * (nominal, mm), `limits` { size, radius, departure } (mm), `sameDice`.
 */
export const BIN_JOB = v.looseObject({
  die: KIND,
  photos: v.optional(list(v.pipe(LINE, v.minLength(1)), MOST_BIN_PHOTOS)),
  checkBar: v.nullish(CHECK_BAR),
  checkBarY: v.nullish(CHECK_BAR),
  checkBarU: v.nullish(range(...CHECK_BAR_U_RANGE)),
  apex: v.nullish(APEX),
  size: v.nullish(SIZE),
  radius: v.nullish(RADIUS),
  limits: v.nullish(LIMITS),
  sameDice: v.nullish(TRUE_OR_FALSE),
});
const WHOLE_JOB = crossed(BIN_JOB, ({ die, apex }) =>
  dieFault(die, null, apex) ? { at: ['apex'], need: 'apex' } : null,
);

/** Reads a bin's job. Anything unfit is said, nothing is guessed. */
export function parseBinJob(json: unknown): Result<BinFolderJob, FormatFault> {
  const file = read(WHOLE_JOB, json);
  if (!file.ok) return file;
  const { die, photos, checkBar, checkBarY, checkBarU, apex, size, radius, limits, sameDice } = file.value;
  return success({
    photos: photos ?? null,
    job: {
      die,
      checkBar: checkBar ?? null,
      checkBarY: checkBarY ?? null,
      checkBarU: checkBarU ?? CHECK_BAR_U,
      ...(apex === null || apex === undefined ? {} : { apex }),
      reference:
        size === null || size === undefined
          ? null
          : { size: typed(size), radius: typed(radius ?? null), source: 'typed' },
      limits: givenLimits(limits),
      sameDice: sameDice ?? false,
    },
  });
}

/** A nominal value: exact by definition. */
export const typed = (value: number | null): Quantity | null => (value === null ? null : { value, u: 0 });

const MEASURED = v.looseObject({ value: v.pipe(v.number(), v.gtValue(0), v.maxValue(200)), u: range(0, 20) });
const NOMINAL = v.nullish(v.pipe(v.number(), v.gtValue(0), v.maxValue(200)));

/** What a reference file holds: a die measured fully, or a nominal size and limits. */
export const BIN_REFERENCE = v.variant('format', [
  v.looseObject({
    format: v.literal(RESULT_FORMAT),
    die: v.looseObject({ kind: KIND }),
    meanAxis: MEASURED,
    meanCornerRadius: MEASURED,
  }),
  v.looseObject({
    format: v.literal(BIN_REFERENCE_FORMAT),
    die: v.looseObject({ kind: KIND }),
    size: NOMINAL,
    radius: NOMINAL,
    limits: v.nullish(LIMITS),
  }),
]);

export interface ReferenceFile {
  readonly reference: BinReference;
  readonly limits: Partial<BinLimits>;
  readonly kind: DieKind;
}

/** Reads a reference. Untrusted: each number is checked. */
export function readReference(json: unknown): Result<ReferenceFile, FormatFault | NotMeasured> {
  const failed = notMeasured(json);
  if (failed) return failure(failed);
  const out = read(BIN_REFERENCE, json);
  if (!out.ok) return out;
  const file = out.value;
  const { kind } = file.die;
  if (file.format === RESULT_FORMAT) {
    const one = ({ value, u }: Quantity): Quantity => ({ value, u });
    const reference = { size: one(file.meanAxis), radius: one(file.meanCornerRadius), source: 'die' } as const;
    return success({ reference, limits: {}, kind });
  }
  const { size, radius } = file;
  const reference = { size: typed(size ?? null), radius: typed(radius ?? null), source: 'typed' } as const;
  return success({ reference, limits: givenLimits(file.limits), kind });
}

const VERDICT = v.picklist(['keep', 'look-again', 'reject']);
export type BinVerdict = v.InferOutput<typeof VERDICT>;

/** Why a die or a thing has its verdict; the words stand in `text/bin-reasons.ts`. */
export const REASON_CODES = [
  'within',
  'size',
  'radius',
  'departure',
  'near-size',
  'near-radius',
  'near-departure',
  'no-reference',
  'touching',
  'other-kind',
  'round',
  'shadow',
  'reaching-in',
  'no-die',
  'hidden',
  'small',
  'faint',
  'disagrees',
] as const;
export type ReasonCode = (typeof REASON_CODES)[number];

const REASON = v.looseObject({
  code: codeOf<ReasonCode>(),
  /** Numbers or names behind it, mm where lengths. */
  seen: v.exactOptional(SEEN),
  limit: v.exactOptional(SEEN),
});
export type Reason = Of<typeof REASON>;

const THING = v.looseObject({
  /** mm from the stage's centre, x right, y up as the card is read: the die's middle, straight over the card. */
  x: NUMBER,
  y: NUMBER,
  /** Mean axis; null where the thing was not measured. All with standard uncertainty, mm. */
  size: v.nullable(QUANTITY),
  radius: v.nullable(QUANTITY),
  departure: v.nullable(QUANTITY),
  verdict: VERDICT,
  /** How sure the verdict is: the chance that the die keeps all limits (keep, look again), or breaks this one (reject); null where not judged. */
  sure: v.nullable(SHARE),
  /** In English, with numbers, for readers without the codes' words. */
  reason: text(1000),
  reasons: list(REASON, 20, 1),
  /** Rounding against the reference. */
  rounding: v.nullable(v.picklist(['sharper', 'alike', 'rounder', 'over'])),
  /** Share of its outline that was measured. */
  seen: NUMBER,
  /** Outline for drawing, [u, v] per point, px of the upright photo. */
  outline: numbers(400),
});
/** One die of a photo, or another thing on the stage. */
export type BinDie = Of<typeof THING>;

export const BIN_PHOTO = v.looseObject({
  photo: LINE,
  status: v.picklist(['judged', 'judged-with-remark', 'left-out']),
  code: v.nullable(codeOf<NoteCode>()),
  remark: v.nullable(text(2000)),
  notes: list(NOTE, 20),
  width: NUMBER,
  height: NUMBER,
  dice: list(THING, BOUNDS.things),
});
export type BinPhoto = Of<typeof BIN_PHOTO>;
export type BinPhotoStatus = BinPhoto['status'];

/** Whether photos of the same dice could be matched, or why not; the words stand in `text/bin-reasons.ts`. */
export const MATCH_CODES = ['matched', 'one-photo', 'counts', 'places', 'unlike'] as const;

const MATCHING = v.looseObject({
  possible: TRUE_OR_FALSE,
  code: v.exactOptional(codeOf<(typeof MATCH_CODES)[number]>()),
  /** Numbers behind it (photos; dice of either; the place of a die, mm), and the photos that differ. */
  seen: v.exactOptional(SEEN),
  needed: v.exactOptional(SEEN),
  photos: v.exactOptional(list(LINE, 2)),
  /** In English, for readers without the codes' words. */
  remark: text(1000),
  /** Index of each die, per photo, in the matched list. */
  places: list(
    v.looseObject({
      x: NUMBER,
      y: NUMBER,
      verdict: VERDICT,
      reason: text(1000),
      reasons: v.exactOptional(list(REASON, 20)),
    }),
    BOUNDS.things,
  ),
});
export type BinMatching = Of<typeof MATCHING>;

/** The schema of what was found. */
export const BIN_RESULT = v.looseObject({
  format: v.literal(BIN_FORMAT),
  die: v.looseObject({ kind: KIND }),
  reference: REFERENCE,
  limits: v.looseObject({ size: NUMBER, radius: NUMBER, departure: NUMBER }),
  /** Photos that show the same dice, and whether they could be matched by place; null where they were not said to. */
  matched: v.nullable(MATCHING),
  tally: v.looseObject({ keep: NUMBER, lookAgain: NUMBER, reject: NUMBER }),
  /** In English, for readers without the codes' words. */
  notes: list(text(1000), 20),
  /** The same by code and numbers. */
  remarks: v.exactOptional(list(NOTE, 20)),
  photos: list(BIN_PHOTO, MOST_BIN_PHOTOS),
});
export type BinResult = Of<typeof BIN_RESULT>;
