import type { LogAnalysis } from './log-analysis.ts';
import { MOST_ROLLS } from '../meaning/meaning.ts';
import type { MixSign } from './mixed-dice.ts';
import type { RollLog, Stranger } from './roll-log.ts';

/** What a log tells, one finding a sentence, as codes with their numbers: whoever shows it finds the words. */
export type LogFinding =
  /** Not of this die and not counted; `otherDie` where they are no mere slips. */
  | { readonly code: 'not-counted'; readonly strangers: readonly Stranger[]; readonly otherDie: boolean }
  | { readonly code: 'guessed'; readonly faces: number; readonly first: string; readonly last: string }
  /** The numbers fit several dice, and the likeliest is not likely enough to be taken without asking. */
  | { readonly code: 'which-die'; readonly die: string; readonly chance: number; readonly others: readonly string[] }
  | { readonly code: 'mixed'; readonly sign: MixSign }
  /** An even die strays this far with probability `p`; root mean squares of the shares' deviations, and what chance alone makes. */
  | {
      readonly code: 'uneven';
      readonly rolls: number;
      readonly p: number;
      readonly seen: number;
      readonly expected: number;
    }
  /** `few`: hardly anything can be shown; `moreRolls` would show what seems to be there, null where nothing does. */
  | {
      readonly code: 'not-shown';
      readonly rolls: number;
      readonly p: number;
      readonly few: boolean;
      readonly moreRolls: number | null;
    }
  /** All rolls together show nothing (`p`), but the rule was met after roll `at`, and for a true list of an even die's rolls that happens in 5 of 100 at most; null: by the counts. */
  | {
      readonly code: 'rule-met';
      readonly rolls: number;
      readonly p: number;
      readonly at: number | null;
      readonly ln: number;
    }
  /** Logarithms of the e-value: now, and at its largest where that is larger. */
  | {
      readonly code: 'evidence';
      readonly ln: number;
      readonly largest: { readonly ln: number; readonly at: number } | null;
      /** After which roll it first was 20; null where it never was, or only counts are known. */
      readonly metAt: number | null;
    }
  | { readonly code: 'repeats'; readonly seen: number; readonly expected: number }
  | { readonly code: 'neighbours'; readonly p: number }
  | { readonly code: 'runs'; readonly seen: number; readonly expected: number }
  | { readonly code: 'disagree'; readonly p: number }
  | { readonly code: 'agree'; readonly p: number }
  /** No contradiction, but the rolls tell the prediction from an even die only with probability `power`; `moreRolls` would, null where nobody rolls so often. */
  | { readonly code: 'cannot-tell'; readonly p: number; readonly power: number; readonly moreRolls: number | null };

/** p below which something about the order is said. */
const ORDER_ALPHA = 0.005;
/** Rolls per face below which hardly anything can be shown. */
const FEW = 5;

/** All that is to be said of a log, in the order to say it in. */
export function logFindings(log: RollLog, analysis: LogAnalysis): LogFinding[] {
  const { names, strangers, guessed } = log;
  const out: LogFinding[] = [];
  if (strangers.length > 0) out.push({ code: 'not-counted', strangers, otherDie: otherDie(log) });
  if (guessed) out.push({ code: 'guessed', faces: names.length, first: names[0], last: names[names.length - 1] });
  if (guessed && guessed.others.length > 0) out.push({ code: 'which-die', ...guessed });
  out.push(...analysis.mixed.map((sign): LogFinding => ({ code: 'mixed', sign })));
  out.push(testFinding(log, analysis), evidenceFinding(analysis), ...orderFindings(analysis));
  if (analysis.joint) out.push(jointFinding(analysis.joint));
  return out;
}

/** Numbers of another die among the rolls, where they are no mere slips. */
function otherDie({ strangers, rolls }: RollLog): boolean {
  const numbers = strangers.reduce((s, { text, times }) => s + (/^\d{1,3}$/.test(text) ? times : 0), 0);
  return numbers > 0.02 * rolls && numbers > 2;
}

function testFinding({ rolls, counts }: RollLog, analysis: LogAnalysis): LogFinding {
  const { pearson, exact, verdict, moreRolls, unevenness } = analysis;
  const p = exact?.p ?? pearson.p;
  const { path, last } = analysis.evidence;
  if (verdict === 'rule-met') return { code: verdict, rolls, p, at: path?.metAt ?? null, ln: path?.largest ?? last };
  return verdict === 'uneven'
    ? { code: 'uneven', rolls, p, ...unevenness }
    : { code: 'not-shown', rolls, p, few: rolls < FEW * counts.length, moreRolls: within(moreRolls ?? Infinity) };
}

const within = (rolls: number): number | null => (rolls < MOST_ROLLS ? rolls : null);

function evidenceFinding({ evidence: { last, path } }: LogAnalysis): LogFinding {
  const higher = path && path.largest > last + 0.1;
  const largest = higher ? { ln: path.largest, at: path.largestAt } : null;
  return { code: 'evidence', ln: last, largest, metAt: path?.metAt ?? null };
}

function orderFindings({ order }: LogAnalysis): LogFinding[] {
  const out: LogFinding[] = [];
  const { repeats, neighbours, runs } = order ?? {};
  if (repeats && repeats.p < ORDER_ALPHA) out.push({ code: 'repeats', seen: repeats.seen, expected: repeats.expected });
  if (neighbours && neighbours.p < ORDER_ALPHA) out.push({ code: 'neighbours', p: neighbours.p });
  if (runs && runs.p < ORDER_ALPHA) out.push({ code: 'runs', seen: runs.seen, expected: runs.expected });
  return out;
}

function jointFinding({ verdict, agreement, power, moreRolls }: NonNullable<LogAnalysis['joint']>): LogFinding {
  const { p } = agreement;
  return verdict === 'cannot-tell' ? { code: verdict, p, power, moreRolls: within(moreRolls) } : { code: verdict, p };
}
