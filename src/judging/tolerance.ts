import type { DecisionRule, Limits, Tolerance } from '../formats/report.ts';
import { decide } from './decision.ts';

export type { Tolerance } from '../formats/report.ts';

export const LIMIT_KEYS = ['size', 'range', 'edges', 'chances', 'crowns', 'marks'] as const;
export type LimitKey = (typeof LIMIT_KEYS)[number];

export const NO_LIMITS: Tolerance = { name: '', source: '', size: null, range: null, edges: null, chances: null };

const COMMON = 'common practice, no published source';
const INCH = 25.4;
const most = (high: number): Limits => ({ low: null, high });

/**
 * Classes to start from, all meant to be edited; a person's own limits come first.
 *
 * Common practice, no published source: machined gaming dice are held to about 1/5000 inch face to face, the strictest makers to
 * 1/10000 inch; moulded dice are commonly true to some hundredths of a millimetre (0.05 taken), heavily tumbled ones to some tenths (0.3 taken).
 */
export const CLASSES = {
  strictest: { ...NO_LIMITS, name: 'Machined, strictest', source: COMMON, range: most(INCH / 10000) },
  machined: { ...NO_LIMITS, name: 'Machined', source: COMMON, range: most(INCH / 5000) },
  moulded: { ...NO_LIMITS, name: 'Moulded', source: COMMON, range: most(0.05) },
  tumbled: { ...NO_LIMITS, name: 'Heavily tumbled', source: COMMON, range: most(0.3) },
} as const satisfies Record<string, Tolerance>;
export type ClassName = keyof typeof CLASSES;

/** Limits of the mean axis from a nominal size and what it may depart. */
export const aroundNominal = (nominal: number, minus: number, plus: number): Limits => ({
  low: nominal - minus,
  high: nominal + plus,
});

/** Whether a rule would ever let a value pass at this doubt: not where both guard bands eat up the tolerance. */
export const passable = (u: number, limits: Limits, rule: DecisionRule): boolean =>
  limits.low === null ||
  limits.high === null ||
  decide((limits.low + limits.high) / 2, u, limits, rule).verdict === 'pass';

/** What is wrong with limits as a file or a person gives them; null where nothing is. */
export function toleranceFault(t: Tolerance): string | null {
  for (const key of LIMIT_KEYS) {
    const limits = t[key] ?? null;
    if (limits === null) continue;
    const { low, high } = limits;
    if (low === null && high === null) return `${key}: neither a lower nor an upper limit is given`;
    for (const v of [low, high])
      if (v !== null && !(Number.isFinite(v) && v >= 0 && v <= 1000))
        return `${key}: ${v} given, a number from 0 to 1000 needed`;
    if (low !== null && high !== null && low >= high) return `${key}: the lower limit ${low} is not below ${high}`;
  }
  return null;
}

/**
 * Where a range of axes stands between machined and tampered with, mm: up to so much it is like a die made that way; beyond the last, like
 * one that somebody has tampered with. From the classes above; common practice, no published source.
 */
export const MAKES = [
  { make: 'machined', upTo: INCH / 5000 },
  { make: 'moulded', upTo: 0.05 },
  { make: 'tumbled', upTo: 0.3 },
  { make: 'tampered', upTo: Infinity },
] as const;
export type Make = (typeof MAKES)[number]['make'];
/** Taken off a machined gaming die, a thousandth of an inch counts as tampering (common practice, no published source), mm. */
export const TAMPERED_FROM = INCH / 1000;
