import { HAND, TABLES, type Hand, type TableName } from './tables.ts';
import type { ThrowBody } from './throw-body.ts';
import { thrower } from './throws.ts';

/** Throws in one block: what a worker does between two messages. */
export const BLOCK = 2000;

/** What a block of throws gave; counts per face that lay down. Sums, so that blocks add. */
export interface Tally {
  readonly counts: Float64Array;
  readonly throws: number;
  /** Sum of the times from first touch to decision, s, and of their squares. */
  readonly time: number;
  readonly timeSquares: number;
  /** Sum of the horizontal ways in that time, mm. */
  readonly path: number;
  readonly impacts: number;
  readonly steps: number;
  /** Throws that had not settled after 20000 steps. */
  readonly unsettled: number;
  /** Largest rise of energy seen between impacts, as a share; 0 if it never rose. */
  readonly energyGain: number;
}

export const emptyTally = (faces: number): Tally => ({
  counts: new Float64Array(faces),
  throws: 0,
  time: 0,
  timeSquares: 0,
  path: 0,
  impacts: 0,
  steps: 0,
  unsettled: 0,
  energyGain: 0,
});

/** Sum of two tallies of the same die. */
export const merged = (a: Tally, b: Tally): Tally => ({
  counts: a.counts.map((c, i) => c + b.counts[i]),
  throws: a.throws + b.throws,
  time: a.time + b.time,
  timeSquares: a.timeSquares + b.timeSquares,
  path: a.path + b.path,
  impacts: a.impacts + b.impacts,
  steps: a.steps + b.steps,
  unsettled: a.unsettled + b.unsettled,
  energyGain: Math.max(a.energyGain, b.energyGain),
});

/** Throws `first` to `first + count - 1` of the run with this seed. */
export function tallyOf(
  body: ThrowBody,
  table: TableName,
  seed: number,
  first: number,
  count: number,
  hand: Hand = HAND,
): Tally {
  const run = thrower(body, TABLES[table], hand);
  const counts = new Float64Array(body.passes.length);
  let [time, timeSquares, path, impacts, steps, unsettled, energyGain] = [0, 0, 0, 0, 0, 0, 0];
  for (const done of run(seed, first, count)) {
    counts[done.face]++;
    time += done.time;
    timeSquares += done.time * done.time;
    path += done.path;
    impacts += done.impacts;
    steps += done.steps;
    if (!done.settled) unsettled++;
    energyGain = Math.max(energyGain, done.energyGain);
  }
  return { counts, throws: count, time, timeSquares, path, impacts, steps, unsettled, energyGain };
}

/** Block `index` of a run: always the same, whoever throws it. */
export const throwBlock = (body: ThrowBody, table: TableName, seed: number, index: number): Tally =>
  tallyOf(body, table, seed, index * BLOCK, BLOCK);
