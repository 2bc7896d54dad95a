import type { BinDie, BinLimits, LimitName } from './types.ts';

/** A die that a person sorted by hand. Lengths in mm; `size` is the difference from the reference, whichever sign. */
export interface SortedDie {
  readonly size: number | null;
  readonly radius: number;
  readonly departure: number;
  readonly keep: boolean;
}

/** Fewest dice of each sort from which a limit is suggested. */
export const LEARN_NEEDED = 4;

/** How often sorting by a limit disagrees with the person: of the rejects kept, of the keepers rejected. */
export interface ErrorRates {
  readonly rejectsKept: number;
  readonly rejects: number;
  readonly keepersRejected: number;
  readonly keepers: number;
}

export interface LimitSuggestion {
  readonly name: LimitName;
  /** mm; null where this number does not tell keepers from rejects. */
  readonly limit: number | null;
}

/** What is learnt from dice sorted by hand; a suggestion only, for the person to take or leave. */
export interface Suggestion {
  readonly limits: readonly LimitSuggestion[];
  /** On the dice that it was learnt from, and on each die by limits learnt from the others (leave-one-out). */
  readonly seen: ErrorRates;
  readonly leaveOneOut: ErrorRates;
}

export type LearnFailure = {
  readonly code: 'too-few';
  readonly keepers: number;
  readonly rejects: number;
  readonly needed: number;
};

const NAMES: readonly LimitName[] = ['size', 'radius', 'departure'];
const valueOf = (d: SortedDie, name: LimitName): number | null =>
  name === 'size' ? d.size && Math.abs(d.size) : d[name];

/**
 * Limits that sort as the person did, as nearly as may be: each die is rejected that breaks one of them.
 *
 * One limit after another is placed where the disagreements, each sort weighed by its number, become fewest, the others held; twice round.
 * Between a keeper and a reject the middle is taken. A limit that mends nothing is left out. Source of the check: leave-one-out
 * cross-validation (Stone 1974).
 */
export function suggestLimits(dice: readonly SortedDie[]): Suggestion | LearnFailure {
  const keepers = dice.filter((d) => d.keep).length;
  const rejects = dice.length - keepers;
  if (keepers < LEARN_NEEDED || rejects < LEARN_NEEDED)
    return { code: 'too-few', keepers, rejects, needed: LEARN_NEEDED };
  const limits = learnt(dice);
  const out = dice.map((d, i) => ({ d, broken: breaks(d, learnt(dice.filter((_, j) => j !== i))) }));
  return {
    limits: NAMES.map((name) => ({ name, limit: Number.isFinite(limits[name]) ? limits[name] : null })),
    seen: rates(dice.map((d) => ({ d, broken: breaks(d, limits) }))),
    leaveOneOut: rates(out),
  };
}

type Limits = Record<LimitName, number>;

const breaks = (d: SortedDie, limits: Limits): boolean => NAMES.some((n) => (valueOf(d, n) ?? 0) > limits[n]);

function rates(judged: readonly { readonly d: SortedDie; readonly broken: boolean }[]): ErrorRates {
  const keepers = judged.filter(({ d }) => d.keep);
  const rejects = judged.filter(({ d }) => !d.keep);
  return {
    rejectsKept: rejects.filter((j) => !j.broken).length,
    rejects: rejects.length,
    keepersRejected: keepers.filter((j) => j.broken).length,
    keepers: keepers.length,
  };
}

/** Disagreements, each sort as a share of its own number, so that few rejects count as much as many keepers. */
function cost(dice: readonly SortedDie[], limits: Limits): number {
  const r = rates(dice.map((d) => ({ d, broken: breaks(d, limits) })));
  return r.rejectsKept / Math.max(1, r.rejects) + r.keepersRejected / Math.max(1, r.keepers);
}

const TURNS = 2;

function learnt(dice: readonly SortedDie[]): Limits {
  const limits: Limits = { size: Infinity, radius: Infinity, departure: Infinity };
  for (let turn = 0; turn < TURNS; turn++)
    for (const name of NAMES) {
      let best = cost(dice, { ...limits, [name]: Infinity });
      let at = Infinity;
      for (const limit of between(dice, name)) {
        const c = cost(dice, { ...limits, [name]: limit });
        // Of equals the widest: a limit is no tighter than what was sorted asks for.
        if (c < best - 1e-12) [best, at] = [c, limit];
      }
      limits[name] = at;
    }
  return limits;
}

/** Middles between neighbouring values, widest first. */
function between(dice: readonly SortedDie[], name: LimitName): number[] {
  const values = [...new Set(dice.map((d) => valueOf(d, name)).filter((v) => v !== null))].sort((a, b) => b - a);
  return values.slice(1).map((v, i) => (v + values[i]!) / 2);
}

/** A measured die as the learner wants it, under a person's verdict; null for what was not measured. */
export function sortedDie(die: BinDie, keep: boolean, reference: number | null): SortedDie | null {
  if (!die.size || !die.radius || !die.departure) return null;
  return {
    size: reference === null ? null : die.size.value - reference,
    radius: die.radius.value,
    departure: die.departure.value,
    keep,
  };
}

/** The suggestion as limits, those it says nothing of as they are. */
export const applied = (limits: Partial<BinLimits>, { limits: found }: Suggestion): Partial<BinLimits> => ({
  ...limits,
  ...Object.fromEntries(found.flatMap((s) => (s.limit === null ? [] : [[s.name, Number(s.limit.toFixed(3))]]))),
});
