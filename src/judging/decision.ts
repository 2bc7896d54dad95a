import type { DecisionRule, Limits, Verdict } from '../formats/report.ts';
import { normalCdf, normalQuantile, normalSurvival } from '../maths/distributions.ts';

export type { DecisionRule, Limits, Verdict } from '../formats/report.ts';

export const RULE_KINDS = ['simple', 'guard', 'shared'] as const;

/** What holds where nothing is said. */
export const RULE_DEFAULTS = { rule: { kind: 'guard' }, probability: 0.95 } as const satisfies {
  rule: DecisionRule;
  probability: number;
};

/** Coverage factor of U95 in reports (JCGM 100:2008, 6.3.3: about 95 % for a normal distribution). */
export const COVERAGE_FACTOR = 2;

export interface Decision {
  readonly verdict: Verdict;
  /** That the true value lies within the limits, given the value and its doubt. */
  readonly probability: number;
}

/**
 * Probability that a quantity known as a normal distribution lies within its limits (JCGM 106:2012, 7.3 and 7.4).
 *
 * @param u  Standard uncertainty, 0 or more; at 0 a value on the limit lies within.
 */
export function conformance(value: number, u: number, { low, high }: Limits): number {
  if (u === 0) return (low === null || value >= low) && (high === null || value <= high) ? 1 : 0;
  // Tails are subtracted from the smaller side, so that small chances keep their digits.
  const below = low === null ? 0 : normalCdf((low - value) / u);
  const above = high === null ? 0 : normalSurvival((high - value) / u);
  if (low !== null && high !== null && low > high) return 0;
  return Math.max(0, 1 - below - above);
}

/** Where values pass at once; null where the guard bands leave no room. For `shared` there is no such interval in closed form. */
export function acceptance(u: number, { low, high }: Limits, rule: DecisionRule): Limits | null {
  const w = rule.kind === 'guard' ? COVERAGE_FACTOR * u : 0;
  const [from, to] = [low === null ? null : low + w, high === null ? null : high - w];
  return from !== null && to !== null && from > to ? null : { low: from, high: to };
}

/** The verdict on one value. */
export function decide(value: number, u: number, limits: Limits, rule: DecisionRule): Decision {
  const probability = conformance(value, u, limits);
  if (rule.kind === 'shared') {
    const p = rule.probability;
    return { verdict: probability >= p ? 'pass' : 1 - probability >= p ? 'fail' : 'undecided', probability };
  }
  const w = rule.kind === 'guard' ? COVERAGE_FACTOR * u : 0;
  const { low, high } = limits;
  const room = acceptance(u, limits, rule);
  const within =
    room !== null && (room.low === null || value >= room.low) && (room.high === null || value <= room.high);
  const outside = (low !== null && value < low - w) || (high !== null && value > high + w);
  return { verdict: within ? 'pass' : outside ? 'fail' : 'undecided', probability };
}

/** The one-sided risk that a rule takes on a limit; 1 where it takes any. */
export const riskOf = (rule: DecisionRule): number =>
  rule.kind === 'simple' ? 1 : 1 - (rule.kind === 'guard' ? normalCdf(COVERAGE_FACTOR) : rule.probability);

/**
 * The verdict on a quantity that is no normal one, from the probability of conformity: a rule's guard band is that whose risk is the same for a normal quantity,
 * U95 at a coverage factor of 2.
 *
 * @param within  Whether the value itself lies within its limits, for the simple rule.
 */
export function decideByProbability(probability: number, within: boolean, rule: DecisionRule): Decision {
  if (rule.kind === 'simple') return { verdict: within ? 'pass' : 'fail', probability };
  const needed = 1 - riskOf(rule);
  return { verdict: probability >= needed ? 'pass' : 1 - probability >= needed ? 'fail' : 'undecided', probability };
}

/** All parts together: one that fails, fails all; one undecided leaves all undecided. */
export const together = (verdicts: readonly Verdict[]): Verdict =>
  verdicts.includes('fail') ? 'fail' : verdicts.includes('undecided') ? 'undecided' : 'pass';

/** Distance to the nearer limit, positive inside; Infinity where both sides are free. */
export const margin = (value: number, { low, high }: Limits): number =>
  Math.min(low === null ? Infinity : value - low, high === null ? Infinity : high - value);

/** Standard uncertainty at which a value at this distance from its limit would be decided; the other limit taken as far away. */
export function decidingU(distance: number, rule: DecisionRule): number {
  const d = Math.abs(distance);
  if (rule.kind === 'simple') return Infinity;
  return rule.kind === 'guard' ? d / COVERAGE_FACTOR : d / normalQuantile(rule.probability);
}
