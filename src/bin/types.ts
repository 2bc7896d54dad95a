import type { DieKind } from '../geometry/solid.ts';
import type { Note, Quantity } from '../formats/result.ts';

/** What is sorted, and against what. */
export interface BinJob {
  readonly die: DieKind;
  /** Of a d10: apex height over belt radius of its mould, where it is not 1. */
  readonly apex?: number;
  /** Measured lengths of the card's check bars, mm; null where nobody measured. */
  readonly checkBar: number | null;
  readonly checkBarY: number | null;
  readonly checkBarU: number;
  readonly reference: BinReference | null;
  readonly limits: Partial<BinLimits>;
  /** Whether every photo shows the same dice at the same places, each turned: then photos narrow each other. */
  readonly sameDice: boolean;
}

/** What dice are held against: a nominal size, or a die that was measured. Lengths in mm. */
export interface BinReference {
  readonly size: Quantity | null;
  readonly radius: Quantity | null;
  readonly source: 'typed' | 'die' | 'bin';
}

/** Limits of a good die. Lengths in mm. */
export interface BinLimits {
  /** Size may differ from the reference by so much. */
  readonly size: number;
  /** Mean corner radius at most. */
  readonly radius: number;
  /** Departure of the outline from the nearest pose of a true die at most: how far out of round. */
  readonly departure: number;
}
export const LIMIT_NAMES = ['size', 'radius', 'departure'] as const;
export type LimitName = (typeof LIMIT_NAMES)[number];

export type Verdict = 'keep' | 'look-again' | 'reject';

/** Why a die or a thing has its verdict; the words stand in `bin-messages.ts`. */
export type ReasonCode =
  | 'within' | 'size' | 'radius' | 'departure' | 'no-reference'
  | 'touching' | 'other-kind' | 'round' | 'shadow' | 'reaching-in' | 'no-die' | 'hidden' | 'small' | 'faint' | 'disagrees'; // prettier-ignore

export interface Reason {
  readonly code: ReasonCode;
  /** Numbers or words behind it, mm where lengths. */
  readonly seen?: number | string;
  readonly limit?: number | string;
}

/** One die of a photo, or another thing on the stage. */
export interface BinDie {
  /** mm from the stage's centre, x right, y up as the card is read: the die's middle, straight over the card. */
  readonly x: number;
  readonly y: number;
  /** Mean axis; null where the thing was not measured. All with standard uncertainty, mm. */
  readonly size: Quantity | null;
  readonly radius: Quantity | null;
  readonly departure: Quantity | null;
  readonly verdict: Verdict;
  /** How sure the verdict is: the chance that the die keeps all limits (keep, look again), or breaks this one (reject); null where not judged. */
  readonly sure: number | null;
  /** In words, with numbers. */
  readonly reason: string;
  readonly reasons: readonly Reason[];
  /** Rounding against the reference. */
  readonly rounding: 'sharper' | 'alike' | 'rounder' | 'over' | null;
  /** Share of its outline that was measured. */
  readonly seen: number;
  /** Outline for drawing, [u, v] per point, px of the upright photo. */
  readonly outline: readonly number[];
}

export type BinPhotoStatus = 'judged' | 'judged-with-remark' | 'left-out';

export interface BinPhoto {
  readonly photo: string;
  readonly status: BinPhotoStatus;
  readonly code: Note['code'] | null;
  readonly remark: string | null;
  readonly notes: readonly Note[];
  readonly width: number;
  readonly height: number;
  readonly dice: readonly BinDie[];
}

/** JSON "evencast-bin/1". Lengths in mm, `u` standard uncertainties. */
export interface BinResult {
  readonly format: 'evencast-bin/1';
  readonly die: { readonly kind: DieKind };
  readonly reference: BinReference;
  readonly limits: BinLimits;
  /** Photos that show the same dice, and whether they could be matched by place; null where they were not said to. */
  readonly matched: BinMatching | null;
  readonly tally: { readonly keep: number; readonly lookAgain: number; readonly reject: number };
  readonly notes: readonly string[];
  readonly photos: readonly BinPhoto[];
}

export interface BinMatching {
  readonly possible: boolean;
  readonly remark: string;
  /** Index of each die, per photo, in the matched list. */
  readonly places: readonly {
    readonly x: number;
    readonly y: number;
    readonly verdict: Verdict;
    readonly reason: string;
  }[];
}
