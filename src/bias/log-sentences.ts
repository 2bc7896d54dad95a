import type { LogAnalysis } from './log-analysis.ts';
import { mixText, strangersText } from './messages.ts';
import type { RollLog } from './roll-log.ts';
import { amount } from './sentences.ts';

const probability = (p: number): string => (p < 0.0001 ? 'below 0.0001' : p.toPrecision(2));

/** What a log tells, in plain sentences. */
export function logSentences(log: RollLog, analysis: LogAnalysis): string[] {
  const out: string[] = [];
  if (log.strangers.length > 0)
    out.push(`Not counted, because the die has no such number: ${strangersText(log.strangers)}.${otherDie(log)}`);
  if (log.guessed)
    out.push(
      `The die was guessed from the numbers: ${log.names.length} faces, ${log.names[0]} to ${log.names[log.names.length - 1]}.`,
    );
  out.push(...analysis.mixed.map(mixText), testSentence(log, analysis), evidenceSentence(analysis));
  out.push(...orderSentences(analysis));
  if (analysis.joint) out.push(jointSentence(analysis.joint));
  return out;
}

/** Numbers of another die among the rolls, where they are no mere slips. */
function otherDie({ strangers, rolls }: RollLog): string {
  const numbers = strangers.reduce((s, { text, times }) => s + (/^\d{1,3}$/.test(text) ? times : 0), 0);
  return numbers > 0.02 * rolls && numbers > 2 ? ' Are two dice in this log, or was another die meant?' : '';
}

function testSentence(
  { rolls, counts }: RollLog,
  { pearson, exact, verdict, moreRolls, unevenness }: LogAnalysis,
): string {
  const p = probability(exact?.p ?? pearson.p);
  const share = (x: number): string => `${(100 * x).toFixed(1)} %`;
  if (verdict === 'uneven')
    return `${rolls} rolls: an even die strays this far with probability ${p}; its numbers differ by ${share(unevenness.seen)} (root mean square), chance alone makes about ${share(unevenness.expected)}.`;
  const small = rolls < 5 * counts.length ? ' So few rolls can show hardly anything.' : '';
  const more =
    moreRolls === null
      ? ''
      : ` If the die were as uneven as it looks, about ${amount(moreRolls)} more rolls would show it 4 times out of 5.`;
  return `${rolls} rolls: nothing uneven is shown (probability ${p} for an even die to stray this far). That is no proof of evenness.${small}${more}`;
}

function evidenceSentence({ evidence: { last, path } }: LogAnalysis): string {
  const times = (ln: number): string => (ln > 20 ? `e^${ln.toFixed(0)}` : Math.exp(ln).toPrecision(2));
  const now = `Evidence against evenness that may be watched while rolling: ${times(last)} (20 or more decides at 5 %, whenever it comes)`;
  return path && path.largest > last + 0.1
    ? `${now}; at most ${times(path.largest)} after roll ${path.largestAt}.`
    : `${now}.`;
}

/** p below which something about the order is said. */
const ORDER_ALPHA = 0.005;

function orderSentences({ order }: LogAnalysis): string[] {
  const out: string[] = [];
  if (order?.repeats && order.repeats.p < ORDER_ALPHA)
    out.push(
      `A number repeats the one before ${order.repeats.seen} times where ${order.repeats.expected.toFixed(0)} are expected: were all rolls written down, and shaken?`,
    );
  if (order?.neighbours && order.neighbours.p < ORDER_ALPHA)
    out.push(`Each roll depends on the one before (p ${probability(order.neighbours.p)}): a die's rolls do not.`);
  if (order?.runs && order.runs.p < ORDER_ALPHA)
    out.push(
      `High and low numbers ${order.runs.seen > order.runs.expected ? 'change places too often' : 'come in runs that are too long'}: ${order.runs.seen} runs, ${order.runs.expected.toFixed(0)} expected.`,
    );
  return out;
}

function jointSentence({ verdict, agreement, power, moreRolls }: NonNullable<LogAnalysis['joint']>): string {
  const p = probability(agreement.p);
  if (verdict === 'disagree')
    return `Shape and rolls disagree (p ${p}): a void or a wrong record on one side, a hand or a table that differs on the other.`;
  if (verdict === 'agree') return `Shape and rolls agree (p ${p}).`;
  return `Shape and rolls do not contradict each other (p ${p}), but these rolls could tell the prediction from an even die only with probability ${power.toFixed(2)}; about ${amount(moreRolls)} more would.`;
}
