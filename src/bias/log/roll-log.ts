import { DIE_KINDS, type DieKind } from '../../geometry/solid.ts';
import { failure, success, type Result } from '../../result.ts';
import { solidOf } from '../die/die-shape.ts';
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
  /** Whether the die was guessed from the numbers. */
  readonly guessed: boolean;
}

export interface Stranger {
  readonly text: string;
  readonly times: number;
  /** Line of its first place, from 1. */
  readonly line: number;
}

export type LogFault =
  | { readonly code: 'log-empty' }
  | { readonly code: 'no-such-die'; readonly die: string; readonly known: readonly string[] }
  | { readonly code: 'no-roll-fits'; readonly strangers: readonly Stranger[]; readonly names: readonly string[] }
  | { readonly code: 'count-not-whole'; readonly text: string; readonly line: number };

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

/**
 * Reads a log: rolls in order, parted by spaces, commas, semicolons or line ends, or counts, one line each: "20: 13", "20 = 13" or
 * "20 x 13". What follows "#" on a line is left out. Ten million rolls take about a second.
 *
 * @param die  A die's name, its numbers, or null to guess it: the smallest that has all numbers of the log.
 */
export function readLog(text: string, die: string | readonly string[] | null): Result<RollLog, LogFault> {
  if (typeof die === 'string' && !(LOG_DICE as readonly string[]).includes(die))
    return failure({ code: 'no-such-die', die, known: LOG_DICE });
  const tokens = new Map<string, Token>();
  const byCounts = COUNT_LINE.test(firstLine(text));
  const order = byCounts ? null : sequenceTokens(text, tokens);
  if (byCounts) {
    const fault = countTokens(text, tokens);
    if (fault) return failure(fault);
  }
  if (tokens.size === 0) return failure({ code: 'log-empty' });
  const names = typeof die === 'string' ? dieNames(die as LogDie) : die ? [...die].sort(compareNames) : guessed(tokens);
  return assembled(names, tokens, order, die === null);
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

/** Tokens in order of the text, as indices of their first appearance; fills `tokens`. */
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

function countTokens(text: string, tokens: Map<string, Token>): LogFault | null {
  const lines = text.split('\n');
  for (const [i, whole] of lines.entries()) {
    const bare = whole.replace(/#.*/, '').replace('\ufeff', '').trim();
    if (bare === '') continue;
    const match = /^(\S+?)\s*[:=x]\s*(\S+)$/.exec(bare);
    const times = match ? Number(match[2]) : NaN;
    if (!match || !Number.isInteger(times) || times < 0)
      return { code: 'count-not-whole', text: bare.slice(0, SHOWN), line: i + 1 };
    const token = tokens.get(match[1]);
    if (token) token.times += times;
    else tokens.set(match[1], { index: tokens.size, line: i + 1, times });
  }
  return null;
}

/** The smallest die that has all whole numbers of the log; strangers do not count. */
function guessed(tokens: ReadonlyMap<string, Token>): string[] {
  const numbers = [...tokens.keys()].filter((t) => /^\d{1,3}$/.test(t));
  const covers = (names: readonly string[]): boolean => numbers.every((n) => place(names, n) >= 0);
  const fits = LOG_DICE.map(dieNames).filter(covers);
  if (fits.length > 0 && numbers.length > 0) return fits.reduce((a, b) => (b.length < a.length ? b : a));
  // No die has them all: the one that has most of the rolls, the smaller of equals.
  const share = (names: readonly string[]): number =>
    [...tokens].reduce((s, [t, { times }]) => s + (place(names, t) >= 0 ? times : 0), 0);
  return LOG_DICE.map(dieNames).reduce((a, b) => (share(b) > share(a) ? b : a));
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
  guess: boolean,
): Result<RollLog, LogFault> {
  const counts = new Float64Array(names.length);
  const places = new Int32Array(tokens.size);
  const strangers: Stranger[] = [];
  for (const [text, { index, times, line }] of tokens) {
    places[index] = place(names, text);
    if (places[index] >= 0) counts[places[index]] += times;
    else strangers.push({ text, times, line });
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
