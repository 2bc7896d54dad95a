import type { LogAnalysis } from './log-analysis.ts';
import { logFindings, type LogFinding } from './log-findings.ts';
import { mixText, strangersText } from '../messages.ts';
import type { RollLog } from './roll-log.ts';
import { amount } from '../meaning/sentences.ts';

type Sentences = { readonly [C in LogFinding['code']]: (finding: Extract<LogFinding, { code: C }>) => string };

const probability = (p: number): string => (p < 0.0001 ? 'below 0.0001' : p.toPrecision(2));
const share = (x: number): string => `${(100 * x).toFixed(1)} %`;
const times = (ln: number): string => (ln > 20 ? `e^${ln.toFixed(0)}` : Math.exp(ln).toPrecision(2));

const SENTENCES: Sentences = {
  'not-counted': ({ strangers, otherDie }) =>
    `Not counted, because the die has no such number: ${strangersText(strangers)}.${otherDie ? ' Are two dice in this log, or was another die meant?' : ''}`,
  guessed: ({ faces, first, last }) => `The die was guessed from the numbers: ${faces} faces, ${first} to ${last}.`,
  'which-die': ({ die, chance, others }) =>
    `Which die it was is not certain: ${die} with probability ${chance.toFixed(2)}, but ${others.join(', ')} would fit too. Say which (--die).`,
  mixed: ({ sign }) => mixText(sign),
  uneven: ({ rolls, p, seen, expected }) =>
    `${rolls} rolls: an even die strays this far with probability ${probability(p)}; its numbers differ by ${share(seen)} (root mean square), chance alone makes about ${share(expected)}.`,
  'not-shown': ({ rolls, p, few, moreRolls }) =>
    [
      `${rolls} rolls: nothing uneven is shown (probability ${probability(p)} for an even die to stray this far). That is no proof of evenness.`,
      few ? ' So few rolls can show hardly anything.' : '',
      moreRolls === null
        ? ''
        : ` If the die were as uneven as it looks, about ${amount(moreRolls)} more rolls would show it 4 times out of 5.`,
    ].join(''),
  'rule-met': ({ rolls, p, at, ln }) =>
    `The rule that may be watched while rolling was met${at === null ? '' : ` after roll ${at}`} (evidence ${times(ln)}; 20 decides at 5 %): these are not an even die's rolls in their order, though all ${rolls} together show nothing (probability ${probability(p)}). A die or a hand that changed, or a list that was sorted, would look so.`,
  evidence: ({ ln, largest, metAt }) =>
    `Evidence against evenness that may be watched while rolling: ${times(ln)} (20 or more decides at 5 %, whenever it comes)${largest ? `; at most ${times(largest.ln)} after roll ${largest.at}` : ''}${metAt === null ? '' : `; it decided after roll ${metAt}`}.`,
  repeats: ({ seen, expected }) =>
    `A number repeats the one before ${seen} times where ${expected.toFixed(0)} are expected: were all rolls written down, and shaken?`,
  neighbours: ({ p }) => `Each roll depends on the one before (p ${probability(p)}): a die's rolls do not.`,
  runs: ({ seen, expected }) =>
    `High and low numbers ${seen > expected ? 'change places too often' : 'come in runs that are too long'}: ${seen} runs, ${expected.toFixed(0)} expected.`,
  disagree: ({ p }) =>
    `Shape and rolls disagree (p ${probability(p)}): a void or a wrong record on one side, a hand or a table that differs on the other.`,
  agree: ({ p }) => `Shape and rolls agree (p ${probability(p)}).`,
  'cannot-tell': ({ p, power, moreRolls }) =>
    `Shape and rolls do not contradict each other (p ${probability(p)}), but these rolls could tell the prediction from an even die only with probability ${power.toFixed(2)}; ${moreRolls === null ? 'no number of rolls that anyone makes would' : `about ${amount(moreRolls)} more would`}.`,
};

/** What a log tells, in plain sentences. */
export const logSentences = (log: RollLog, analysis: LogAnalysis): string[] =>
  logFindings(log, analysis).map((finding) => (SENTENCES[finding.code] as (f: LogFinding) => string)(finding));
