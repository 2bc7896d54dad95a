import { DIE_KINDS, type DieKind } from '../../geometry/solid.ts';
import { plain } from '../../formats/read.ts';
import { failure, success, type Result } from '../../result.ts';
import { solidOf } from '../die/die-shape.ts';
import { lnEvidence } from './evidence.ts';
import { compareNames } from '../meaning/prediction.ts';

/** A log of one die's rolls. */
export interface RollLog {
  /** The die's numbers, ascending. */
  readonly names: readonly string[];
  /** How often each came up, in the order of `names`. */
  readonly counts: Float64Array;
  readonly rolls: number;
  /** The rolls in order as indices into `names`, or null where only counts were given. */
  readonly sequence: Uint16Array | null;
  /** What was in the text and is no number of the die, the most frequent first; nothing of it is counted. */
  readonly strangers: readonly Stranger[];
  /** How the die was guessed from the numbers; null where it was told. */
  readonly guessed: DieGuess | null;
}

export interface Stranger {
  readonly text: string;
  readonly times: number;
  /** Line of its first place, from 1. */
  readonly line: number;
}

/** A die guessed from the numbers of its log. */
export interface DieGuess {
  readonly die: LogDie;
  /** Of all dice that have the numbers, how likely it is this one. */
  readonly chance: number;
  /** The others, likeliest first, where {@link SURE} is not reached: then somebody must be asked. */
  readonly others: readonly LogDie[];
}

/** Chance from which a guessed die is taken without asking. */
export const SURE = 0.95;

export type LogFault =
  | { readonly code: 'log-empty' }
  | { readonly code: 'no-such-die'; readonly die: string; readonly known: readonly string[] }
  | { readonly code: 'no-roll-fits'; readonly strangers: readonly Stranger[]; readonly names: readonly string[] }
  | { readonly code: 'count-not-whole'; readonly text: string; readonly line: number }
  | { readonly code: 'count-too-large'; readonly text: string; readonly line: number; readonly needed: number }
  | { readonly code: 'too-many-words'; readonly line: number; readonly needed: number };

/** The dice that logs may be of; d100 by its tens is a d10 with the numbers 00 to 90. */
export const LOG_DICE = [...DIE_KINDS, 'd100'] as const;
export type LogDie = (typeof LOG_DICE)[number];

/** The numbers of a die, ascending. */
export function dieNames(die: LogDie): string[] {
  if (die === 'd100') return Array.from({ length: 10 }, (_, i) => `${i}0`);
  return [...solidOf(die as DieKind).labels].sort(compareNames);
}

/** Most distinct strangers that are kept, and most characters of each. */
const STRANGERS = 50;
const SHOWN = 24;
/** Different words of a text beyond this make it no log, and rolls in all beyond this are no longer counted exactly. */
export const LOG_BOUNDS = { words: 5000, rolls: 1e15 } as const;

/**
 * Reads a log: rolls in order, parted by spaces, commas, semicolons or line ends, or counts, one line each: "20: 13", "20 = 13" or
 * "20 x 13". What follows "#" on a line is left out. Ten million rolls take about a second.
 *
 * @param die  A die's name, its numbers, or null to guess it: the likeliest of those that have all numbers of the log.
 */
export function readLog(text: string, die: string | readonly string[] | null): Result<RollLog, LogFault> {
  if (typeof die === 'string' && !(LOG_DICE as readonly string[]).includes(die))
    return failure({ code: 'no-such-die', die, known: LOG_DICE });
  const tokens = new Map<string, Token>();
  const byCounts = COUNT_LINE.test(firstLine(text));
  const order = byCounts ? null : sequenceTokens(text, tokens);
  const last = tokens.size > LOG_BOUNDS.words ? [...tokens.values()].at(-1)! : null;
  if (last) return failure({ code: 'too-many-words', line: last.line, needed: LOG_BOUNDS.words });
  if (byCounts) {
    const fault = countTokens(text, tokens);
    if (fault) return failure(fault);
  }
  if (tokens.size === 0) return failure({ code: 'log-empty' });
  const guess = die === null ? guessed(tokens) : null;
  const named = guess?.die ?? (typeof die === 'string' ? (die as LogDie) : null);
  const names = named ? dieNames(named) : [...(die as readonly string[])].sort(compareNames);
  return assembled(names, tokens, order, guess);
}

/** A number or name with its count; "x" only between numbers. */
const COUNT_LINE = /^\s*(?:[^\s:=#]+\s*[:=]\s*\S+|\d+\s*x\s*\S+)\s*$/;

/** The first line that holds anything, without its remark. */
function firstLine(text: string): string {
  for (let start = 0; start < text.length;) {
    const end = text.indexOf('\n', start) < 0 ? text.length : text.indexOf('\n', start);
    const line = text
      .slice(start, Math.min(end, start + 200))
      .replace(/#.*/, '')
      .replace('\ufeff', '')
      .trim();
    if (line !== '') return line;
    start = end + 1;
  }
  return '';
}

interface Token {
  readonly index: number;
  readonly line: number;
  times: number;
}

/** Tokens in order of the text, as indices of their first appearance; fills `tokens`, and stops where they are too many. */
function sequenceTokens(text: string, tokens: Map<string, Token>): Int32Array {
  let order = new Int32Array(1024);
  let count = 0;
  let line = 1;
  let start = -1;
  let comment = false;
  const end = text.length;
  // Short tokens are few: they are found by their number before a string is made.
  const small = new Map<number, Token>();
  let code = 0;
  const finish = (at: number): void => {
    const short = at - start <= 3;
    let token = short ? small.get(code) : undefined;
    if (!token) {
      const name = text.slice(start, Math.min(at, start + SHOWN));
      token = tokens.get(name);
      if (!token) tokens.set(name, (token = { index: tokens.size, line, times: 0 }));
      if (short) small.set(code, token);
    }
    token.times++;
    if (count === order.length) {
      const larger = new Int32Array(2 * count);
      larger.set(order);
      order = larger;
    }
    order[count++] = token.index;
    start = -1;
    code = 0;
  };
  for (let i = 0; i < end; i++) {
    const c = text.charCodeAt(i);
    const between = c <= 32 || c === 44 || c === 59 || c === 160 || c === 0xfeff;
    if (start >= 0 && (between || c === 35)) finish(i);
    if (tokens.size > LOG_BOUNDS.words) break;
    if (c === 35) comment = true;
    else if (!between && !comment) {
      if (start < 0) start = i;
      code = code * 65536 + c;
    }
    if (c === 10) {
      comment = false;
      line++;
    }
  }
  if (start >= 0) finish(end);
  return order.subarray(0, count);
}

/** A piece of the text as it is told: short, and without characters that are not seen. */
const shown = (text: string): string => plain(text, SHOWN);

function countTokens(text: string, tokens: Map<string, Token>): LogFault | null {
  const lines = text.split('\n');
  let rolls = 0;
  for (const [i, whole] of lines.entries()) {
    const bare = whole.replace(/#.*/, '').replace('\ufeff', '').trim();
    if (bare === '') continue;
    const match = /^(\S+?)\s*[:=x]\s*(\S+)$/.exec(bare);
    const times = match ? Number(match[2]) : NaN;
    if (!match || !Number.isInteger(times) || times < 0)
      return { code: 'count-not-whole', text: shown(bare), line: i + 1 };
    rolls += times;
    if (rolls > LOG_BOUNDS.rolls)
      return { code: 'count-too-large', text: shown(bare), line: i + 1, needed: LOG_BOUNDS.rolls };
    if (tokens.size > LOG_BOUNDS.words) return { code: 'too-many-words', line: i + 1, needed: LOG_BOUNDS.words };
    const token = tokens.get(match[1]);
    if (token) token.times += times;
    else tokens.set(match[1], { index: tokens.size, line: i + 1, times });
  }
  return null;
}

/** How often a die of tens is rolled alone, against any other kind (a modelling choice: mostly it is one of two). */
const TENS_ALONE = 0.1;

/**
 * The likeliest of the dice that have all whole numbers of the log; strangers do not count. Likelihood of the numbers of a die that may be even
 * or loaded, half each.
 */
function guessed(tokens: ReadonlyMap<string, Token>): DieGuess {
  const numbers = [...tokens.keys()].filter((t) => /^\+?\d{1,3}$/.test(t));
  const dice = LOG_DICE.map((die) => ({ die, names: dieNames(die) }));
  const fits = dice.filter(({ names }) => numbers.length > 0 && numbers.every((n) => place(names, n) >= 0));
  if (fits.length === 0) return { die: mostCovered(dice, tokens), chance: 1, others: [] };
  const logs = fits.map(({ die, names }) => {
    const counts = countsOf(names, tokens);
    const rolls = counts.reduce((s, c) => s + c, 0);
    // Concentration 1 in all, whatever the kind: a die that shows one number over and over tells no kind by it.
    const loaded = lnEvidence(counts, 1 / names.length);
    const believed = loaded > 30 ? loaded - Math.log(2) : Math.log((1 + Math.exp(loaded)) / 2);
    return believed - rolls * Math.log(names.length) + (die === 'd100' ? Math.log(TENS_ALONE) : 0);
  });
  const top = Math.max(...logs);
  const sum = logs.reduce((s, l) => s + Math.exp(l - top), 0);
  const ranked = fits.map(({ die }, i) => ({ die, chance: Math.exp(logs[i] - top) / sum }));
  ranked.sort((a, b) => b.chance - a.chance);
  const [{ die, chance }, ...rest] = ranked;
  // Named is who could well be meant.
  const others = chance >= SURE ? [] : rest.filter((r) => r.chance > 0.1 * (1 - chance)).map((r) => r.die);
  return { die, chance, others };
}

/** No die has all numbers: the one that has most of the rolls, the smaller of equals. */
function mostCovered(
  dice: readonly { readonly die: LogDie; readonly names: readonly string[] }[],
  tokens: ReadonlyMap<string, Token>,
): LogDie {
  const share = (names: readonly string[]): number => countsOf(names, tokens).reduce((s, c) => s + c, 0);
  return dice.reduce((a, b) => (share(b.names) > share(a.names) ? b : a)).die;
}

function countsOf(names: readonly string[], tokens: ReadonlyMap<string, Token>): Float64Array {
  const counts = new Float64Array(names.length);
  for (const [text, { times }] of tokens) {
    const at = place(names, text);
    if (at >= 0) counts[at] += times;
  }
  return counts;
}

/** Index of the number a token means: itself, without leading zeros or sign, and 10 for the 0 of a d10 (common practice). */
function place(names: readonly string[], token: string): number {
  const at = names.indexOf(token);
  if (at >= 0) return at;
  if (!/^\+?0*\d+$/.test(token)) return -1;
  const plain = String(Number(token));
  if (plain === '10' && names.length === 10 && names.includes('0') && names.includes('9')) return names.indexOf('0');
  return names.indexOf(plain);
}

function assembled(
  names: readonly string[],
  tokens: ReadonlyMap<string, Token>,
  order: Int32Array | null,
  guess: DieGuess | null,
): Result<RollLog, LogFault> {
  const counts = new Float64Array(names.length);
  const places = new Int32Array(tokens.size);
  const strangers: Stranger[] = [];
  for (const [text, { index, times, line }] of tokens) {
    places[index] = place(names, text);
    if (places[index] >= 0) counts[places[index]] += times;
    else strangers.push({ text: shown(text), times, line });
  }
  strangers.sort((a, b) => b.times - a.times || a.line - b.line);
  const rolls = counts.reduce((s, c) => s + c, 0);
  if (rolls === 0) return failure({ code: 'no-roll-fits', strangers: strangers.slice(0, STRANGERS), names });
  let sequence: Uint16Array | null = null;
  if (order) {
    sequence = new Uint16Array(rolls);
    let n = 0;
    for (const t of order) if (places[t] >= 0) sequence[n++] = places[t];
  }
  return success({ names, counts, rolls, sequence, strangers: strangers.slice(0, STRANGERS), guessed: guess });
}
