import type { PairEvidence } from './relative.ts';
import type { TurnTable } from './turn-table.ts';

/** What is known of how the dice of a set's photos stand, natural logarithms. */
export interface StandEvidence {
  /** Per photo and way: what its own faces say of it. */
  readonly own: readonly Float64Array[];
  /** The same as it counts where several photos are moved at once, and for the score; `own` where left out. */
  readonly shared?: readonly Float64Array[];
  /** `[i][j]` for j < i, as `relativeEvidence` gives it. */
  readonly pair: readonly (readonly PairEvidence[])[];
}

/** The likeliest ways of a set's photos. */
export interface JointWays {
  /** Way per photo. */
  readonly way: Int32Array;
  /** Probability of each way of each photo, the others being as they are, its group's and the whole set's other ways counted in. */
  readonly chance: readonly Float64Array[];
  readonly score: number;
}

/** Rounds in which photos change one at a time; starts that are tried. */
const ROUNDS = 8;
const STARTS = 3;
/** Lead in log likelihood from which two photos are sure to stand to each other as they do. */
const TIED = 6;

/**
 * The most probable ways of all photos together, and how sure each is.
 *
 * Photos join one by one, the surest next; then each changes alone, groups that are tied change together, and the whole set does, until
 * nothing is gained. The chance that a photo is wrong adds what these three moves leave to other ways.
 */
export function jointWays(table: TurnTable, evidence: StandEvidence): JointWays {
  let way: Int32Array = new Int32Array(0);
  let most = -Infinity;
  for (const start of surest(evidence.own)) {
    const one = settled(table, evidence, grown(table, evidence, start));
    const logs = score(table, evidence, one);
    if (way.length === 0 || logs > most) [way, most] = [one, logs];
  }
  return { way, chance: chances(table, evidence, way), score: most };
}

/** The photos whose best way leads furthest, furthest first. */
function surest(own: readonly Float64Array[]): number[] {
  const leads: number[] = [];
  for (const logs of own) leads.push(lead(logs));
  const out: number[] = [];
  while (out.length < Math.min(STARTS, own.length)) {
    let best = -1;
    for (let i = 0; i < leads.length; i++) if (!out.includes(i) && (best < 0 || leads[i]! > leads[best]!)) best = i;
    out.push(best);
  }
  return out;
}

/** Adds the relative evidence for photo i standing each way `t` after way `m`, while j stands way `n`. */
function addPair(
  out: Float64Array,
  { times, inverse, ways }: TurnTable,
  pair: StandEvidence['pair'],
  i: number,
  m: number,
  j: number,
  n: number,
): void {
  if (i > j) {
    const logs = pair[i]![j]!;
    const back = inverse[n]! * ways;
    for (let t = 0; t < ways; t++) out[t]! += logs[times[back + times[t * ways + m]!]!]!;
  } else {
    const logs = pair[j]![i]!;
    for (let t = 0; t < ways; t++) out[t]! += logs[times[inverse[times[t * ways + m]!]! * ways + n]!]!;
  }
}

/** How far the best of a list leads. */
export function lead(logs: ArrayLike<number>): number {
  let [first, second] = [-Infinity, -Infinity];
  for (let k = 0; k < logs.length; k++) {
    const v = logs[k]!;
    if (v > first) [first, second] = [v, first];
    else if (v > second) second = v;
  }
  return first - second;
}

const top = (logs: ArrayLike<number>): number => {
  let best = 0;
  for (let k = 1; k < logs.length; k++) if (logs[k]! > logs[best]!) best = k;
  return best;
};

/** What all speaks for each way of photo i, the others being as they are; photos at -1 do not count. */
function conditional(table: TurnTable, { own, pair }: StandEvidence, way: Int32Array, i: number): Float64Array {
  const out = own[i]!.slice();
  for (let j = 0; j < way.length; j++)
    if (j !== i && way[j]! >= 0) addPair(out, table, pair, i, table.none, j, way[j]!);
  return out;
}

function grown(table: TurnTable, evidence: StandEvidence, start: number): Int32Array {
  const n = evidence.own.length;
  const way = new Int32Array(n).fill(-1);
  way[start] = top(evidence.own[start]!);
  const logs: Float64Array[] = [];
  for (const own of evidence.own) logs.push(own.slice());
  let last = start;
  for (let count = 1; count < n; count++) {
    let [next, most] = [-1, -1];
    for (let i = 0; i < n; i++) {
      if (way[i]! >= 0) continue;
      addPair(logs[i]!, table, evidence.pair, i, table.none, last, way[last]!);
      const l = lead(logs[i]!);
      if (l > most) [next, most] = [i, l];
    }
    way[next] = top(logs[next]!);
    last = next;
  }
  return way;
}

function settled(table: TurnTable, evidence: StandEvidence, start: Int32Array): Int32Array {
  const way = start.slice();
  for (let round = 0; round < ROUNDS; round++) {
    let changed = false;
    for (let i = 0; i < way.length; i++) {
      const best = top(conditional(table, evidence, way, i));
      changed ||= best !== way[i];
      way[i] = best;
    }
    for (const group of groups(table, evidence, way)) {
      const logs = groupLogs(table, evidence, way, group);
      const best = top(logs);
      if (best === table.none || logs[best]! - logs[table.none]! < 1e-9) continue;
      for (const i of group) way[i] = table.times[best * table.ways + way[i]!]!;
      changed = true;
    }
    if (!changed) break;
  }
  return way;
}

/** Photos that are tied to each other, in groups of two or more, and all of them. */
function groups(table: TurnTable, { pair }: StandEvidence, way: Int32Array): number[][] {
  const of = new Int32Array(way.length);
  for (let i = 0; i < of.length; i++) of[i] = i;
  for (let i = 0; i < way.length; i++)
    for (let j = 0; j < i; j++) {
      const h = table.times[table.inverse[way[j]!]! * table.ways + way[i]!]!;
      if (ties(pair[i]![j]!, h)) of[root(of, i)] = root(of, j);
    }
  const out = new Map<number, number[]>();
  const all: number[] = [];
  for (let i = 0; i < way.length; i++) {
    const group = out.get(root(of, i));
    if (group) group.push(i);
    else out.set(root(of, i), [i]);
    all.push(i);
  }
  const found: number[][] = [];
  for (const group of out.values()) if (group.length > 1 && group.length < way.length) found.push(group);
  found.push(all);
  return found;
}

function root(of: Int32Array, i: number): number {
  let k = i;
  while (of[k] !== k) k = of[k]!;
  return k;
}

/** Whether one way is so much likelier than each other one that it is sure. */
function ties(logs: Float64Array, h: number): boolean {
  for (let k = 0; k < logs.length; k++) if (k !== h && !(logs[k]! < logs[h]! - TIED)) return false;
  return true;
}

/** What speaks for each turn of a whole group against the rest. */
function groupLogs(
  table: TurnTable,
  { own, shared = own, pair }: StandEvidence,
  way: Int32Array,
  group: readonly number[],
): Float64Array {
  const { ways, times } = table;
  const out = new Float64Array(ways);
  for (const i of group) {
    const m = way[i]!;
    for (let t = 0; t < ways; t++) out[t]! += shared[i]![times[t * ways + m]!]!;
    for (let j = 0; j < way.length; j++) if (!group.includes(j)) addPair(out, table, pair, i, m, j, way[j]!);
  }
  return out;
}

function score(table: TurnTable, { own, shared = own, pair }: StandEvidence, way: Int32Array): number {
  let sum = 0;
  for (let i = 0; i < way.length; i++) {
    sum += shared[i]![way[i]!]!;
    for (let j = 0; j < i; j++) sum += pair[i]![j]![table.times[table.inverse[way[j]!]! * table.ways + way[i]!]!]!;
  }
  return sum;
}

/** Chances, one in all, from their logs up to a constant. */
export function softmax(logs: Float64Array): Float64Array {
  const out = new Float64Array(logs.length);
  const most = logs[top(logs)]!;
  let sum = 0;
  for (let k = 0; k < out.length; k++) {
    out[k] = Math.exp(logs[k]! - most);
    sum += out[k]!;
  }
  for (let k = 0; k < out.length; k++) out[k]! /= sum;
  return out;
}

/** Alone, with its group, with the whole set: the three ways to be wrong, one after another. */
function chances(table: TurnTable, evidence: StandEvidence, way: Int32Array): Float64Array[] {
  const now: Float64Array[] = [];
  for (let i = 0; i < way.length; i++) now.push(softmax(conditional(table, evidence, way, i)));
  for (const group of groups(table, evidence, way)) {
    const turn = softmax(groupLogs(table, evidence, way, group));
    for (const i of group) now[i] = turnedBy(table, turn, now[i]!);
  }
  return now;
}

/** Chances of ways once all of them may be turned, by chance. */
function turnedBy({ ways, times }: TurnTable, turn: Float64Array, chance: Float64Array): Float64Array {
  const out = new Float64Array(ways);
  for (let t = 0; t < ways; t++) {
    const share = turn[t]!;
    if (share < 1e-12) continue;
    for (let m = 0; m < ways; m++) out[times[t * ways + m]!]! += share * chance[m]!;
  }
  return out;
}
