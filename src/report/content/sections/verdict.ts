import type { Finding } from '../../record/assess.ts';
import { table, text, type Block } from '../blocks.ts';
import { COVERAGE_FACTOR, type DecisionRule, type Verdict } from '../../../judging/decision.ts';
import { count, decimalsFor, plain, probability, valueAndU95 } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import type { Remedy } from '../../record/remedy.ts';
import type { LimitKey } from '../../../judging/tolerance.ts';
import { told } from '../../../figures/scale.ts';

export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = { pass: 'Pass', fail: 'Fail', undecided: 'Undecided' };

export const LIMIT_NAMES: Readonly<Record<LimitKey, string>> = {
  size: 'Mean axis',
  range: 'Range of axes',
  edges: 'Edge radius',
  chances: 'Chance of a number',
  crowns: 'Crown of a face',
  marks: 'Height of a mark',
};

/** The rule in words, with its risk. */
export function ruleText(rule: DecisionRule): string {
  switch (rule.kind) {
    case 'simple':
      return 'Decision rule: simple acceptance (JCGM 106:2012, 8.2). What lies within the limits passes, what lies outside fails; the doubt does not count, and both parties share its risk. Close to a limit the chance of a wrong verdict reaches 50 %.';
    case 'guard':
      return 'Decision rule: guard band w = U95 (JCGM 106:2012, 8.3; ISO 14253-1). Only what lies inside its limits by U95 or more passes, only what lies outside by more than U95 fails; what lies between is undecided. At one limit the chance of a wrong pass or fail is at most 2.3 %.';
    case 'shared':
      return `Decision rule: shared risk, ${probability(rule.probability)} stated. What lies within its limits with at least that probability passes, what lies outside with at least that probability fails; what lies between is undecided. Each party bears a chance of a wrong verdict of at most ${probability(1 - rule.probability)}.`;
  }
}

const shares = (key: LimitKey): boolean => key === 'chances';

function bounds({ key, low, high }: Finding): string {
  const unit = shares(key) ? '' : ' mm';
  const show = (x: number): string => (shares(key) ? `${plain(100 * x)} % of even` : plain(x));
  if (low !== null && high !== null) return `${show(low)} to ${show(high)}${unit}`;
  return low !== null ? `at least ${show(low)}${unit}` : `at most ${show(high!)}${unit}`;
}

function measured({ key, value, u, member, judged }: Finding): string {
  const worst = judged > 1 && member !== null ? ` (${visible(member)}, the worst of ${judged})` : '';
  if (shares(key)) {
    const U = 100 * value * (Math.exp(COVERAGE_FACTOR * u) - 1);
    const d = decimalsFor(U);
    return `${told(100 * value, d)} % \u00b1 ${told(U, d)} % of even${worst}`;
  }
  const [v, U] = valueAndU95(value, u);
  return `${v} \u00b1 ${U} mm${worst}`;
}

/** What would decide a limit, as a sentence. */
export function remedyText(remedy: Remedy, u: number): string {
  const needed = (U: number): string => `U95 of ${told(U, decimalsFor(U))} mm needed, ${told(COVERAGE_FACTOR * u, decimalsFor(COVERAGE_FACTOR * u))} mm reached`; // prettier-ignore
  switch (remedy.kind) {
    case 'on-limit':
      return 'The value lies on the limit itself: no measurement will tell the side.';
    case 'bars':
      return `Measuring the card's two check bars would suffice (${needed(remedy.U95)}).`;
    case 'photos':
      return `About ${remedy.times} times as many photos${remedy.bars ? ', with the check bars measured,' : ''} would decide (${needed(remedy.U95)}).`;
    case 'instrument':
      return `No number of photos decides this: it takes an instrument, such as a micrometer, with a smaller doubt (${needed(remedy.U95)}).`;
    case 'grazing':
      return `A photo that sees the face edge-on would narrow this (${needed(remedy.U95)}).`;
    case 'rolls':
      return `The shape alone may not decide this: about ${count(remedy.rolls)} logged rolls would.`;
  }
}

/** Whether at this doubt nothing at all could pass. */
export function hopeless({ key, low, high, u }: Finding, rule: DecisionRule): boolean {
  const U = COVERAGE_FACTOR * u;
  if (rule.kind !== 'guard' || shares(key) || high === null) return false;
  return low !== null ? 2 * U > high - low : key === 'range' && U > high;
}

/** The verdict over all, as its block. */
export function verdictBlock({ assessment, tolerance }: ReportData): Block {
  const { verdict, probability: p } = assessment;
  if (verdict === null || p === null)
    return {
      kind: 'verdict',
      verdict: null,
      word: 'Not judged',
      text: 'No limits were set: this report tells what was measured and judges nothing.',
    };
  const name = visible(tolerance.name) || 'own limits';
  const source = tolerance.source === '' ? '' : ` (${visible(tolerance.source)})`;
  const within =
    p.high - p.low < 0.0005
      ? probability(p.high)
      : `between ${probability(p.low).replace(/^(over|under) /, '')} and ${probability(p.high)}`;
  const named = (v: Verdict): string => assessment.findings.filter((f) => f.verdict === v).map((f) => `${LIMIT_NAMES[f.key].toLowerCase()} (${measured(f)}; ${bounds(f)})`).join('; '); // prettier-ignore
  const meaning = {
    pass: 'The die keeps every limit, its doubt included as the rule says.',
    fail: `Not kept: ${named('fail')}.`,
    undecided: `The doubt reaches across a limit, so neither pass nor fail can be said: ${named('undecided')}.`,
  }[verdict];
  return {
    kind: 'verdict',
    verdict,
    word: VERDICT_WORDS[verdict],
    text: `${meaning} Limits: ${name}${source}. Probability that the die lies within all of them: ${within}.`,
  };
}

/** What would decide what is undecided; empty where all is decided. */
export const remedies = ({ assessment, rule }: ReportData): string[] =>
  assessment.findings.flatMap((f) => [
    ...(hopeless(f, rule)
      ? [`${LIMIT_NAMES[f.key]}: U95 is larger than the tolerance; at this doubt nothing passes.`]
      : []),
    ...(f.remedy ? [`${LIMIT_NAMES[f.key]}: ${remedyText(f.remedy, f.u)}`] : []),
  ]);

/** Each limit with what was found. */
export function findingsBlocks(data: ReportData): Block[] {
  const { findings } = data.assessment;
  if (findings.length === 0) return [];
  const rows = findings.map((f) => [
    LIMIT_NAMES[f.key],
    bounds(f),
    measured(f),
    probability(f.probability),
    f.judged > 1 ? `${VERDICT_WORDS[f.verdict]} (${f.passed} pass, ${f.failed} fail)` : VERDICT_WORDS[f.verdict],
  ]);
  const todo = remedies(data);
  return [
    table('Statement of conformity', ['Limit', 'Tolerance', 'Measured, \u00b1 U95', '#Within', 'Verdict'], rows),
    ...(todo.length > 0 ? [{ kind: 'list', items: todo } as const] : []),
    text(ruleText(data.rule), true),
  ];
}
