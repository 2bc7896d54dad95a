import { normalQuantile } from '../maths/distributions.ts';
import { shareInterval } from '../maths/counts.ts';
import type { Limits } from './capability.ts';
import type { Lot, LotDie } from './lot.ts';
import type { LotQuantity } from './quantities.ts';
import { maybeOnLimit, rangeShares, RISK } from './range-verdict.ts';

/** Guard band in standard uncertainties: one-sided 95 % (JCGM 106:2012, 8.3). */
export const GUARD = normalQuantile(0.95);

export type DieVerdict = 'within' | 'undecided' | 'outside';

/** A die against the lot's limits. */
export interface DieConformity {
  readonly label: string;
  readonly verdict: DieVerdict;
  /** Keys of the quantities that are outside, or else undecided. */
  readonly because: readonly string[];
}

export interface Conformity {
  readonly dice: readonly DieConformity[];
  readonly within: number;
  readonly undecided: number;
  readonly outside: number;
  /** Share outside with its exact 95 % interval, undecided dice counted on neither side, then on both: the widest. */
  readonly share: { readonly value: number; readonly low: number; readonly high: number };
}

/** A value against limits with a guard band on both sides of each. */
export function verdict(value: number, u: number, lower: number | null, upper: number | null): DieVerdict {
  const room = Math.min(upper === null ? Infinity : upper - value, lower === null ? Infinity : value - lower);
  return room >= GUARD * u ? 'within' : room < -GUARD * u ? 'outside' : 'undecided';
}

/** A range of axes against its limits, by the same risk; null where nothing is known of how the axes go together. */
function rangeVerdict(die: LotDie, limits: Limits): DieVerdict | null {
  const shares = rangeShares(die, limits);
  if (shares === null) return null;
  const least = Math.min(shares.aboveLower, shares.belowUpper);
  if (least >= 1 - RISK) return 'within';
  return least < RISK && (shares.aboveLower < RISK || !maybeOnLimit(die, limits.upper)) ? 'outside' : 'undecided';
}

/** Null where nothing is limited or there are no dice. */
export function conformity(lot: Lot, list: readonly LotQuantity[]): Conformity | null {
  const limited = list.flatMap((q) => {
    const limits = q.limited && lot.limits[q.limited];
    return limits && (limits.lower !== null || limits.upper !== null) ? [{ ...q, ...limits }] : [];
  });
  if (limited.length === 0 || lot.dice.length === 0) return null;
  const dice = lot.dice.map(({ label }, d): DieConformity => {
    const of = (q: (typeof limited)[number]): DieVerdict =>
      (q.key === 'rangeOfAxes' ? rangeVerdict(lot.dice[d]!, q) : null) ??
      verdict(q.values[d]!, q.us[d]!, q.lower, q.upper);
    const found = limited.map((q) => ({ key: q.key, verdict: of(q) }));
    const worst: DieVerdict =
      (['outside', 'undecided'] as const).find((v) => found.some((f) => f.verdict === v)) ?? 'within';
    const because = worst === 'within' ? [] : found.filter((f) => f.verdict === worst).map((f) => f.key);
    return { label, verdict: worst, because };
  });
  const count = (v: DieVerdict): number => dice.filter((d) => d.verdict === v).length;
  const [within, undecided, outside] = [count('within'), count('undecided'), count('outside')];
  const n = dice.length;
  return {
    dice,
    within,
    undecided,
    outside,
    share: { value: outside / n, low: shareInterval(outside, n)[0], high: shareInterval(outside + undecided, n)[1] },
  };
}
