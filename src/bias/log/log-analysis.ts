import { exactTest, likelihoodRatio, pearson, type ExactResult, type TestResult } from './count-tests.ts';
import { countedChances, DECIDES, evidencePath, lnMixedEvidence, type EvidencePath } from './evidence.ts';
import { shapeAndRolls, type Joint } from './joint.ts';
import { rollsNeeded, TABLE_TEST } from '../meaning/meaning.ts';
import { mixSigns, type MixSign } from './mixed-dice.ts';
import { orderTests, type OrderTests } from './order-tests.ts';
import type { Interval, Prediction } from '../meaning/prediction.ts';
import type { RollLog } from './roll-log.ts';

/** All that a log tells. Tests are against even chances. */
export interface LogAnalysis {
  readonly pearson: TestResult;
  readonly likelihoodRatio: TestResult;
  /** Null beyond 200 000 rolls, where Pearson's needs no help. */
  readonly exact: ExactResult | null;
  /** Root mean square of the shares' relative deviations: what of it is chance alone is in `expected`. */
  readonly unevenness: { readonly seen: number; readonly expected: number };
  /** Chance of each number by these rolls alone. */
  readonly counted: readonly Interval[];
  /** ln of the e-value, and where the order is known its path; may be looked at at any time. */
  readonly evidence: { readonly last: number; readonly path: EvidencePath | null };
  readonly order: OrderTests | null;
  readonly mixed: readonly MixSign[];
  /** Against a shape's prediction, where one is given. */
  readonly joint: Joint | null;
  /** Further rolls until the table's test could notice the unevenness that was seen beyond chance; 0 if it did, null if none was seen. */
  readonly moreRolls: number | null;
  /** `rule-met`: all rolls together do not show it, but on the way the rule that may be watched was met, which stands. */
  readonly verdict: 'uneven' | 'rule-met' | 'not-shown';
}

/** Analyses a log; `seed` for the drawn logs of the exact test. A prediction must be of the same numbers. */
export function analyseLog(log: RollLog, seed: number, prediction: Prediction | null = null): LogAnalysis {
  const { counts, rolls, sequence } = log;
  const k = counts.length;
  const even = counts.map(() => rolls / k);
  const chi = pearson(counts, even);
  const exact = exactTest(
    counts,
    counts.map(() => 1 / k),
    seed,
  );
  const path = sequence ? evidencePath(sequence, k) : null;
  const last = path?.last ?? lnMixedEvidence(counts);
  const met = path ? path.metAt !== null : last >= Math.log(DECIDES);
  const beyond = Math.max(0, (chi.statistic - (k - 1)) / rolls);
  const p = exact?.p ?? chi.p;
  const uneven = p < TABLE_TEST.alpha;
  return {
    pearson: chi,
    likelihoodRatio: likelihoodRatio(counts, even),
    exact,
    unevenness: { seen: Math.sqrt(chi.statistic / rolls), expected: Math.sqrt((k - 1) / rolls) },
    counted: countedChances(counts),
    evidence: { last, path },
    order: sequence ? orderTests(sequence, k) : null,
    mixed: mixSigns(log),
    joint: prediction ? shapeAndRolls(prediction, counts) : null,
    moreRolls: uneven ? 0 : beyond > 0 ? Math.max(0, rollsNeeded(Math.sqrt(beyond), k) - rolls) : null,
    verdict: uneven ? 'uneven' : met ? 'rule-met' : 'not-shown',
  };
}
