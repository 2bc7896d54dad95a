import * as v from 'valibot';
import { success, type Result } from '../result.ts';
import type { DieKind } from '../geometry/solid.ts';
import { BOUNDS } from './bounds.ts';
import {
  crossed,
  DOUBT,
  isSquare,
  KIND,
  LENGTH,
  list,
  MATRIX,
  NAME,
  QUANTITY,
  range,
  type CrossFault,
  type Of,
} from './parts.ts';
import { plain, read, type FormatFault } from './read.ts';

/*
 * "evencast-lot/1": measured dice from one source, judged together. Lengths in mm. The dice stand in the order in which they were made; labels are
 * unlike each other; all dice have the same names of axes, faces and corners in the same order.
 *
 * Version and upgrade path: within /1 fields are only ever added and may be left out; keys that this version does not know are passed over.
 */

/** The names of the formats. */
export const LOT_FORMAT = 'evencast-lot/1';
export const LOT_LIMITS_FORMAT = 'evencast-lot-limits/1';

/** Bounds of a lot beside those of all formats; bytes of its file, a time or a number of passes, dice of the whole lot. */
export const LOT_BOUNDS = { label: 80, note: 4000, time: 1e6, size: 1e9, bytes: 40e6, cavity: 9999 } as const;

/** Text from a file, as it may be shown in a terminal or on a page. */
const shownText = (most: number) =>
  v.pipe(
    v.string(),
    v.maxLength(most),
    v.transform((t) => plain(t, most)),
  );

const END = v.nullish(LENGTH, null);
const LIMIT = v.pipe(
  v.nullish(v.object({ lower: END, upper: END }), { lower: null, upper: null }),
  v.check(({ lower, upper }) => lower === null || upper === null || lower < upper, 'limits-order'),
);
/** Limits of one quantity, mm; null where that side is free. */
export type LotLimit = Of<typeof LIMIT>;

/** What can have limits: each axis, their mean and range, each corner's radius and their mean; mm. */
const LIMITS = v.object({
  axis: LIMIT,
  meanAxis: LIMIT,
  rangeOfAxes: LIMIT,
  corner: LIMIT,
  meanCornerRadius: LIMIT,
});
export type LotLimits = Of<typeof LIMITS>;
export type Limited = keyof LotLimits;
export const LIMITED = Object.keys(LIMITS.entries) as readonly Limited[];
export const NO_LIMITS: LotLimits = v.parse(LIMITS, {});

/** A length or a radius and its standard uncertainty, mm; neither is below 0. */
const SIZE = v.object({ value: LENGTH, u: DOUBT });
const NAMED = v.object({
  name: v.pipe(
    NAME,
    v.transform((n) => plain(n, BOUNDS.name)),
  ),
  value: LENGTH,
  u: DOUBT,
});
/** A named length, mm, with its standard uncertainty. */
export type Length = Of<typeof NAMED>;

/**
 * Standard uncertainties of a family of lengths of one die, mm, in four parts: what is common to the family and what tells its members
 * apart, each as far as a new measuring draws it anew (own) and as far as it repeats on every die measured with the same card.
 */
const FAMILY_DOUBT = v.object({ ownMean: DOUBT, ownDifference: DOUBT, repeatedMean: DOUBT, repeatedDifference: DOUBT });
export type FamilyDoubt = Of<typeof FAMILY_DOUBT>;

/** A measured die of a lot. */
const LOT_DIE = v.object({
  /** Unlike all others of the lot. */
  label: v.pipe(
    shownText(LOT_BOUNDS.label),
    v.check((label) => label.trim() !== '', 'visible'),
  ),
  /** Number of the mould's cavity, from 1; null where unknown. */
  cavity: v.nullish(v.pipe(range(1, LOT_BOUNDS.cavity), v.integer()), null),
  /** Tumbling time or number of passes, in the lot's `timeUnit`; null where unknown. */
  time: v.nullish(range(0, LOT_BOUNDS.time), null),
  /** Card (or camera and card) it was measured with; what is measured alike is wrong alike. Null: as all others without. */
  card: v.nullish(shownText(LOT_BOUNDS.label), null),
  /** Distances of opposite faces; on a d4 from a face to the corner opposite. */
  axes: list(NAMED, BOUNDS.axes, 1),
  /** Distances of the faces from the centre. */
  faces: list(NAMED, BOUNDS.faces, 1),
  /** Radii of the corners. */
  corners: list(NAMED, BOUNDS.corners, 1),
  meanAxis: SIZE,
  rangeOfAxes: SIZE,
  meanCornerRadius: SIZE,
  /** Mean crown of the faces that some photo saw edge-on; left out where none did. Hollow below 0. */
  meanCrown: v.exactOptional(QUANTITY),
  doubt: v.object({ axes: FAMILY_DOUBT, faces: FAMILY_DOUBT, corners: FAMILY_DOUBT }),
  /** Of the axes' lengths in their order above, mm^2: what their range is judged by; null: by `doubt` alone. */
  axesCovariance: v.nullish(MATRIX, null),
});
export type LotDie = Of<typeof LOT_DIE>;

/** Where the members of each family stand. */
export const FAMILIES = ['axes', 'corners', 'faces'] as const;
export type Family = (typeof FAMILIES)[number];

/** What a die of a lot must be like, beyond its fields; the place of the fault is within the die. */
export type DieRule = (kind: DieKind, die: LotDie, first: LotDie) => CrossFault | null;

/** The schema of the file; `rule` asks what hangs on the kind. */
export const LOT = v.object({
  format: v.literal(LOT_FORMAT),
  name: v.nullish(shownText(BOUNDS.line), ''),
  note: v.nullish(shownText(LOT_BOUNDS.note), ''),
  die: v.object({ kind: KIND }),
  /** "h", "min", "passes". */
  timeUnit: v.nullish(shownText(20), 'h'),
  /** Dice in the whole lot, of which those here are a sample; null where unknown. */
  size: v.nullish(v.pipe(range(1, LOT_BOUNDS.size), v.integer()), null),
  limits: v.nullish(LIMITS, NO_LIMITS),
  dice: list(LOT_DIE, BOUNDS.dice),
});
type LotFile = Of<typeof LOT>;

/** Dice from one source judged together. The dice stand in the order in which they were made. */
export type Lot = Omit<LotFile, 'format' | 'die'> & { readonly kind: DieKind };

/** What no die shows alone. */
const lotFault =
  (rule: DieRule) =>
  ({ die: { kind }, dice }: LotFile): CrossFault | null => {
    const labels = new Set<string>();
    for (const [i, die] of dice.entries()) {
      if (labels.has(die.label)) return { at: ['dice', i, 'label'], need: 'unlike' };
      labels.add(die.label);
      if (die.axesCovariance && !isSquare(die.axesCovariance, die.axes.length))
        return { at: ['dice', i, 'axesCovariance'], need: 'square' };
      const fault = rule(kind, die, dice[0]!);
      if (fault) return { at: ['dice', i, ...fault.at], need: fault.need };
    }
    return null;
  };

/** Reads a lot file whole or not at all. */
export function readLotFile(json: unknown, rule: DieRule): Result<Lot, FormatFault> {
  const file = read(crossed(LOT, lotFault(rule)), json);
  if (!file.ok) return file;
  const { name, note, die, timeUnit, size, limits, dice } = file.value;
  return success({ name, note, kind: die.kind, timeUnit, size, limits, dice });
}

/** The schema of limits alone: `{ "format": "evencast-lot-limits/1", "limits": { "axis": { "lower": 19.9, "upper": 20.1 } } }`. */
export const LOT_LIMITS = v.object({ format: v.literal(LOT_LIMITS_FORMAT), limits: LIMITS });

/** Reads limits alone. */
export function readLimits(json: unknown): Result<LotLimits, FormatFault> {
  const file = read(LOT_LIMITS, json);
  return file.ok ? success(file.value.limits) : file;
}

/** Text of a lot file; reading it gives the lot again. */
export const lotText = ({ kind, ...rest }: Lot): string =>
  `${JSON.stringify({ format: LOT_FORMAT, die: { kind }, ...rest }, null, 1)}\n`;
