import type { DieKind } from '../geometry/solid.ts';
import type { Quantity } from '../formats/result.ts';
import type { Limits } from './capability.ts';

/**
 * Standard uncertainties of a family of lengths of one die, mm, in four parts: what is common to the family and what tells its members
 * apart, each as far as a new measuring draws it anew (own) and as far as it repeats on every die measured with the same card.
 */
export interface Doubt {
  readonly ownMean: number;
  readonly ownDifference: number;
  readonly repeatedMean: number;
  readonly repeatedDifference: number;
}

/** A named length, mm, with its standard uncertainty. */
export interface Length {
  readonly name: string;
  readonly value: number;
  readonly u: number;
}

/** A measured die of a lot. */
export interface LotDie {
  /** Unlike all others of the lot. */
  readonly label: string;
  /** Number of the mould's cavity, from 1; null where unknown. */
  readonly cavity: number | null;
  /** Tumbling time or number of passes, in the lot's `timeUnit`; null where unknown. */
  readonly time: number | null;
  /** Card (or camera and card) it was measured with; what is measured alike is wrong alike. Null: as all others without. */
  readonly card: string | null;
  readonly axes: readonly Length[];
  readonly faces: readonly Length[];
  readonly corners: readonly Length[];
  readonly meanAxis: Quantity;
  readonly rangeOfAxes: Quantity;
  readonly meanCornerRadius: Quantity;
  readonly doubt: { readonly axes: Doubt; readonly faces: Doubt; readonly corners: Doubt };
}

/** What can have limits: each axis, their mean and range, each corner's radius and their mean; mm. */
export const LIMITED = ['axis', 'meanAxis', 'rangeOfAxes', 'corner', 'meanCornerRadius'] as const;
export type Limited = (typeof LIMITED)[number];
export type LotLimits = Readonly<Record<Limited, Limits>>;

export const NO_LIMITS: LotLimits = {
  axis: { lower: null, upper: null },
  meanAxis: { lower: null, upper: null },
  rangeOfAxes: { lower: null, upper: null },
  corner: { lower: null, upper: null },
  meanCornerRadius: { lower: null, upper: null },
};

/** Dice from one source judged together: JSON "evencast-lot/1" (read-lot.ts). The dice stand in the order in which they were made. */
export interface Lot {
  readonly name: string;
  readonly note: string;
  readonly kind: DieKind;
  /** "h", "min", "passes". */
  readonly timeUnit: string;
  /** Dice in the whole lot, of which those measured are a sample; null where unknown. */
  readonly size: number | null;
  readonly limits: LotLimits;
  readonly dice: readonly LotDie[];
}

/** Most that is read of a lot; a larger file is refused. */
export const BOUNDS = { dice: 2000, text: 200, note: 4000, length: 200, time: 1e6, size: 1e9, bytes: 40e6 } as const;

/** Where the members of each family stand, and the total that stands for it. */
export const FAMILIES = ['axes', 'corners', 'faces'] as const;
export type Family = (typeof FAMILIES)[number];

/** Labels of the dice of the whole lot that are not among those judged. */
export const leftOut = (whole: Lot, judged: Lot): readonly string[] => {
  const counted = new Set(judged.dice.map((d) => d.label));
  return whole.dice.map((d) => d.label).filter((l) => !counted.has(l));
};
