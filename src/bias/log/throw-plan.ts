import { rollsNeeded, unevenness } from '../meaning/meaning.ts';
import type { Prediction } from '../meaning/prediction.ts';

/** How often a measured die is to be thrown so that its prediction is put to the test. */
export interface ThrowingPlan {
  /** Rolls after which prediction and an even die are told apart 4 times out of 5; null where nobody throws so often. */
  readonly rolls: number | null;
  /** The same if the unevenness is as large, and as small, as the prediction's interval allows; null as above. */
  readonly least: number | null;
  readonly most: number | null;
  /** Hours of throwing one die by hand at {@link PACE}, for `rolls`. */
  readonly hours: number | null;
}

/** Throws and tallies of one person in an hour (a judgement: one every five seconds). */
export const PACE = 720;
/** More than this many hours nobody throws one die for. */
const LONGEST_HOURS = 40;
export const MOST_PLANNED = PACE * LONGEST_HOURS;

/** The plan for a predicted die. */
export function throwingPlan(prediction: Prediction): ThrowingPlan {
  const w = unevenness(prediction);
  const k = prediction.p.length;
  const needed = (x: number): number | null => {
    const rolls = x > 0 ? Math.ceil(rollsNeeded(x, k) / 100) * 100 : Infinity;
    return rolls <= MOST_PLANNED ? rolls : null;
  };
  const rolls = needed(w.value);
  return {
    rolls,
    least: needed(w.high),
    most: needed(w.low),
    hours: rolls === null ? null : rolls / PACE,
  };
}
