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
  const starts = [...evidence.own.keys()]
    .sort((i, j) => lead(evidence.own[j]!) - lead(evidence.own[i]!))
    .slice(0, STARTS);
  const found = starts.map((start) => settled(table, evidence, grown(table, evidence, start)));
  const best = found.reduce((p, q) => (score(table, evidence, q) > score(table, evidence, p) ? q : p));
  return { way: best, chance: chances(table, evidence, best), score: score(table, evidence, best) };
}

/** Relative evidence for photo i standing way `m` while j stands way `n`. */
export function pairAt(
  { times, inverse, ways }: TurnTable,
  pair: StandEvidence['pair'],
  i: number,
  m: number,
  j: number,
  n: number,
): number {
  return i > j ? pair[i]![j]![times[inverse[n]! * ways + m]!]! : pair[j]![i]![times[inverse[m]! * ways + n]!]!;
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
  return own[i]!.map((v, m) => {
    let sum = v;
    for (let j = 0; j < way.length; j++) if (j !== i && way[j]! >= 0) sum += pairAt(table, pair, i, m, j, way[j]!);
    return sum;
  });
}

function grown(table: TurnTable, evidence: StandEvidence, start: number): Int32Array {
  const n = evidence.own.length;
  const way = new Int32Array(n).fill(-1);
  way[start] = top(evidence.own[start]!);
  const logs = evidence.own.map((o) => Float64Array.from(o));
  let last = start;
  for (let count = 1; count < n; count++) {
    let [next, most] = [-1, -1];
    for (let i = 0; i < n; i++) {
      if (way[i]! >= 0) continue;
      for (let m = 0; m < table.ways; m++) logs[i]![m]! += pairAt(table, evidence.pair, i, m, last, way[last]!);
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
    for (const group of [...groups(table, evidence, way), [...way.keys()]]) {
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

/** Photos that are tied to each other, in groups of two or more. */
function groups(table: TurnTable, { pair }: StandEvidence, way: Int32Array): number[][] {
  const of = Int32Array.from(way, (_, i) => i);
  const root = (i: number): number => (of[i] === i ? i : root(of[i]!));
  for (let i = 0; i < way.length; i++)
    for (let j = 0; j < i; j++) {
      const logs = pair[i]![j]!;
      const h = table.times[table.inverse[way[j]!]! * table.ways + way[i]!]!;
      if (logs.every((v, k) => k === h || v < logs[h]! - TIED)) of[root(i)] = root(j);
    }
  const out = new Map<number, number[]>();
  for (const i of way.keys()) out.set(root(i), [...(out.get(root(i)) ?? []), i]);
  return [...out.values()].filter((g) => g.length > 1 && g.length < way.length);
}

/** What speaks for each turn of a whole group against the rest. */
function groupLogs(
  table: TurnTable,
  { own, shared = own, pair }: StandEvidence,
  way: Int32Array,
  group: readonly number[],
): Float64Array {
  const inside = new Set(group);
  return Float64Array.from({ length: table.ways }, (_, t) => {
    let sum = 0;
    for (const i of group) {
      const m = table.times[t * table.ways + way[i]!]!;
      sum += shared[i]![m]!;
      for (let j = 0; j < way.length; j++) if (!inside.has(j)) sum += pairAt(table, pair, i, m, j, way[j]!);
    }
    return sum;
  });
}

function score(table: TurnTable, { own, shared = own, pair }: StandEvidence, way: Int32Array): number {
  let sum = 0;
  for (let i = 0; i < way.length; i++) {
    sum += shared[i]![way[i]!]!;
    for (let j = 0; j < i; j++) sum += pairAt(table, pair, i, way[i]!, j, way[j]!);
  }
  return sum;
}

/** Chances, one in all, from their logs up to a constant. */
export function softmax(logs: Float64Array): Float64Array {
  const most = Math.max(...logs);
  const out = logs.map((v) => Math.exp(v - most));
  const sum = out.reduce((s, v) => s + v, 0);
  return out.map((v) => v / sum);
}

/** Alone, with its group, with the whole set: the three ways to be wrong, one after another. */
function chances(table: TurnTable, evidence: StandEvidence, way: Int32Array): Float64Array[] {
  const { ways, times } = table;
  const alone = [...way.keys()].map((i) => softmax(conditional(table, evidence, way, i)));
  const together = [...groups(table, evidence, way), [...way.keys()]];
  let now: Float64Array[] = alone;
  for (const group of together) {
    const turn = softmax(groupLogs(table, evidence, way, group));
    const inside = new Set(group);
    now = now.map((p, i) => {
      if (!inside.has(i)) return p;
      const out = new Float64Array(ways);
      for (let t = 0; t < ways; t++) {
        if (turn[t]! < 1e-12) continue;
        for (let m = 0; m < ways; m++) out[times[t * ways + m]!]! += turn[t]! * p[m]!;
      }
      return out;
    });
  }
  return now;
}
