import { TAU_USUAL } from '../fit/doubt.ts';
import { NO_TAU, type Tau } from '../fit/stretches.ts';
import type { Asked } from '../vision/profile.ts';

/** What one round does: which segments it looks at, what it asks of them, and what it frees in the fit. */
export interface Round {
  /** Of so many segments one is looked at. */
  readonly every: number;
  readonly asked: Asked;
  readonly free: 'size' | 'whole';
  readonly steps: number;
  /** How many times further off than usual a point may lie before it counts less. */
  readonly wide?: number;
  /** How far stretches of an outline are believed to depart from the model. */
  readonly tau: Tau;
  /** Whether the faces' light is seen anew once the die has been fitted. */
  readonly lights?: boolean;
  /** Whether a true die's faces are moved a little before the fit. */
  readonly unevens?: boolean;
  /** Whether the set's sharpening follows what the photos want. */
  readonly sharpens?: boolean;
}

/** Where every set begins. */
export const FIRST: readonly Round[] = [
  { every: 4, asked: 'nothing', free: 'size', steps: 6, tau: NO_TAU, lights: true },
  { every: 4, asked: 'look', free: 'whole', steps: 4, tau: TAU_USUAL, unevens: true, lights: true },
];
export const NEARER: Round = { every: 2, asked: 'look', free: 'whole', steps: 4, tau: TAU_USUAL, sharpens: true };
/** The last has every segment, and how each moves by what is not certain of light and camera. */
export const LAST: Round = { every: 1, asked: 'all', free: 'whole', steps: 3, tau: TAU_USUAL };
/**
 * Looks with crowns in the state before the last: a crown moves the light beside it by more than one look follows. The sharpening stays the card's: beside
 * light that is looked up it took up what that lacks (from 0.20 to -0.09 on a d6, its edges 4 um further in).
 */
const CROWN_ROUND: Round = { ...NEARER, sharpens: false };
export const CROWNED: readonly [Round, ...Round[]] = [CROWN_ROUND, CROWN_ROUND, CROWN_ROUND];
/** Further ones where crowns stand out: a measured place follows the crown that it is measured with by half and more. */
export const SETTLING: readonly Round[] = [CROWN_ROUND, CROWN_ROUND];
/**
 * The rounds that are put in before the last where much of the outline strays (a rough outline that was bent by a mark, blocks or shade leads to a
 * shape that part of the points agree with): far points draw again.
 */
export const RECOVERY: readonly Round[] = [{ ...NEARER, steps: 8, wide: 12 }, { ...NEARER, steps: 6, wide: 4 }, NEARER];
/** Most rounds of one set, by which its progress is told. */
export const MOST_ROUNDS = FIRST.length + CROWNED.length + SETTLING.length + 2;
