import type { Finding } from '../../record/assess.ts';
import { table, text, type Block } from '../blocks.ts';
import { COVERAGE_FACTOR, type DecisionRule, type Verdict } from '../../../judging/decision.ts';
import { decimalsFor, NUMBERS } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import type { Remedy } from '../../record/remedy.ts';
import { CLASSES, type ClassName, type LimitKey, type Tolerance } from '../../../judging/tolerance.ts';
import type { Language } from '../../../text/language.ts';
import { VERDICT_WORDS } from '../words/verdict-words.ts';

/** The rule in words, with its risk. */
export function ruleText(rule: DecisionRule, language: Language): string {
  const { rules } = VERDICT_WORDS[language];
  const { probability, fixed } = NUMBERS[language];
  switch (rule.kind) {
    case 'simple':
      return rules.simple;
    case 'guard':
      return rules.guard(fixed(2.3, 1));
    case 'shared':
      return rules.shared(probability(rule.probability), probability(1 - rule.probability));
  }
}

const shares = (key: LimitKey): boolean => key === 'chances';

function bounds({ key, low, high }: Finding, language: Language): string {
  const words = VERDICT_WORDS[language];
  const { plain } = NUMBERS[language];
  const unit = shares(key) ? '' : ' mm';
  const show = (x: number): string => (shares(key) ? words.ofEven(plain(100 * x)) : plain(x));
  if (low !== null && high !== null) return `${words.from(show(low), show(high))}${unit}`;
  return low !== null ? `${words.atLeast(show(low))}${unit}` : `${words.atMost(show(high!))}${unit}`;
}

function measured({ key, value, u, member, judged }: Finding, language: Language): string {
  const words = VERDICT_WORDS[language];
  const { told, valueAndU95 } = NUMBERS[language];
  const worst = judged > 1 && member !== null ? words.worst(visible(member), judged) : '';
  if (shares(key)) {
    const U = 100 * value * (Math.exp(COVERAGE_FACTOR * u) - 1);
    const d = decimalsFor(U);
    return `${told(100 * value, d)} % \u00b1 ${words.ofEven(told(U, d))}${worst}`;
  }
  const [v, U] = valueAndU95(value, u);
  return `${v} \u00b1 ${U} mm${worst}`;
}

/** What would decide a limit, as a sentence. */
export function remedyText(remedy: Remedy, u: number, language: Language): string {
  const { remedies: words } = VERDICT_WORDS[language];
  const { told, count } = NUMBERS[language];
  const shown = (U: number): string => told(U, decimalsFor(U));
  const needed = (U: number): string => words.needed(shown(U), shown(COVERAGE_FACTOR * u));
  switch (remedy.kind) {
    case 'on-limit':
      return words.onLimit;
    case 'bars':
      return words.bars(needed(remedy.U95));
    case 'photos':
      return words.photos(remedy.times, remedy.bars, needed(remedy.U95));
    case 'instrument':
      return words.instrument(needed(remedy.U95));
    case 'grazing':
      return words.grazing(needed(remedy.U95));
    case 'rolls':
      return words.rolls(count(remedy.rolls));
  }
}

/** Whether at this doubt nothing at all could pass. */
export function hopeless({ key, low, high, u }: Finding, rule: DecisionRule): boolean {
  const U = COVERAGE_FACTOR * u;
  if (rule.kind !== 'guard' || shares(key) || high === null) return false;
  return low !== null ? 2 * U > high - low : key === 'range' && U > high;
}

/** What the limits are called; empty where nobody named them. Classes of the program have a name in each language. */
export function limitsName({ name }: Tolerance, language: Language): string {
  const known = (Object.keys(CLASSES) as ClassName[]).find((c) => CLASSES[c].name === name);
  return known ? VERDICT_WORDS[language].classes[known] : visible(name);
}

/** Their name, and where they come from. */
function limitsText(tolerance: Tolerance, language: Language): string {
  const { source } = tolerance;
  const { ownLimits, common } = VERDICT_WORDS[language];
  const shown = limitsName(tolerance, language) || ownLimits;
  const from = source === CLASSES.moulded.source ? common : visible(source);
  return source === '' ? shown : `${shown} (${from})`;
}

/** The verdict over all, as its block. */
export function verdictBlock({ assessment, tolerance }: ReportData, language: Language): Block {
  const words = VERDICT_WORDS[language];
  const { probability } = NUMBERS[language];
  const { verdict, probability: p } = assessment;
  if (verdict === null || p === null)
    return { kind: 'verdict', verdict: null, word: words.notJudged, text: words.noLimits };
  const within =
    p.high - p.low < 0.0005 ? probability(p.high) : words.between(probability(p.low, true), probability(p.high));
  const named = (v: Verdict): string =>
    assessment.findings
      .filter((f) => f.verdict === v)
      .map((f) => `${words.within(words.limits[f.key])} (${measured(f, language)}; ${bounds(f, language)})`)
      .join('; ');
  const meaning = verdict === 'pass' ? words.pass : words[verdict](named(verdict));
  return {
    kind: 'verdict',
    verdict,
    word: words.verdicts[verdict],
    text: words.verdict(meaning, limitsText(tolerance, language), within),
  };
}

/** What would decide what is undecided; empty where all is decided. */
export function remedies({ assessment, rule }: ReportData, language: Language): string[] {
  const words = VERDICT_WORDS[language];
  return assessment.findings.flatMap((f) => [
    ...(hopeless(f, rule) ? [`${words.limits[f.key]}: ${words.remedies.hopeless}`] : []),
    ...(f.remedy ? [`${words.limits[f.key]}: ${remedyText(f.remedy, f.u, language)}`] : []),
  ]);
}

/** Each limit with what was found. */
export function findingsBlocks(data: ReportData, language: Language): Block[] {
  const words = VERDICT_WORDS[language];
  const { findings } = data.assessment;
  if (findings.length === 0) return [];
  const rows = findings.map((f) => [
    words.limits[f.key],
    bounds(f, language),
    measured(f, language),
    NUMBERS[language].probability(f.probability),
    f.judged > 1 ? words.counted(words.verdicts[f.verdict], f.passed, f.failed) : words.verdicts[f.verdict],
  ]);
  const todo = remedies(data, language);
  return [
    table(words.conformity, words.head, rows),
    ...(todo.length > 0 ? [{ kind: 'list', items: todo } as const] : []),
    text(ruleText(data.rule, language), true),
  ];
}
