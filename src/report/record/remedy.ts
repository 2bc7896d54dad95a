import type { Remedy } from '../../formats/report.ts';
import type { BudgetLine, MeasureResult } from '../../formats/result.ts';
import { COVERAGE_FACTOR, decidingU, margin, type DecisionRule, type Limits } from '../../judging/decision.ts';

export type { Remedy } from '../../formats/report.ts';

/** More photos than this many times the present ones are no advice. */
const MOST_TIMES = 8;
/** Closer to a limit than this share of the present doubt, no measurement tells on which side. */
export const ON_LIMIT = 0.02;
/** What more photos shrink; the other sources stay. */
const SHRINKING: readonly BudgetLine['source'][] = ['noise', 'outline', 'camera'];
/** Relative uncertainty of the scale once both check bars are measured to 0.05 mm of 100 mm. */
const CHECKED_SCALE = (0.05 / 100) * Math.SQRT1_2;

type Column = 'meanAxis' | 'difference' | 'meanRadius';

/**
 * What would decide a length that is undecided at its present doubt, from what its doubt is made of.
 *
 * @param column  The column of the budget whose shares are like this quantity's.
 */
export function remedyForLength(
  value: number,
  u: number,
  limits: Limits,
  rule: DecisionRule,
  result: Pick<MeasureResult, 'budget' | 'card'>,
  column: Column,
): Remedy {
  const distance = margin(value, limits);
  if (Math.abs(distance) < ON_LIMIT * u) return { kind: 'on-limit' };
  const needed = decidingU(distance, rule);
  const U95 = COVERAGE_FACTOR * needed;
  const square = (sources: (b: BudgetLine) => boolean): number =>
    result.budget.filter(sources).reduce((s, b) => s + b[column] ** 2, 0);
  const all = square(() => true);
  if (!(all > 0)) return { kind: 'instrument', U95 };
  // The quantity's own doubt, shared out as the budget's column is.
  const share = (sources: (b: BudgetLine) => boolean): number => (u * u * square(sources)) / all;
  const shrinking = share((b) => SHRINKING.includes(b.source));
  const scale = share((b) => b.source === 'scale');
  const bars = !result.card.checked;
  const scaleAfter = bars ? Math.min(scale, (CHECKED_SCALE * (column === 'difference' ? 0 : value)) ** 2) : scale;
  const fixed = u * u - shrinking - scale + scaleAfter;
  if (bars && fixed + shrinking <= needed ** 2) return { kind: 'bars', U95 };
  const times = shrinking / (needed ** 2 - fixed);
  if (times > 0 && times <= MOST_TIMES)
    return {
      kind: 'photos',
      times: Math.max(2, Math.ceil(times)),
      U95,
      bars: bars && scale - scaleAfter > 0.1 * u * u,
    };
  return { kind: 'instrument', U95 };
}

/** Rolls at the table that would decide a chance: those whose own doubt of ln p is what is needed. */
export function remedyForChance(p: number, lnValue: number, lnLimits: Limits, u: number, rule: DecisionRule): Remedy {
  const distance = margin(lnValue, lnLimits);
  if (Math.abs(distance) < ON_LIMIT * u) return { kind: 'on-limit' };
  const needed = decidingU(distance, rule);
  return { kind: 'rolls', rolls: (1 - p) / (p * needed * needed) };
}
