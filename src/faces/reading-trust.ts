import type { NumberingGuess } from './numberings.ts';
import { wayLogs, type LabelReading, type SlotReading } from './readings.ts';
import type { TurnTable } from './turn-table.ts';

export const TRUST = {
  /** How much more than expected may speak against the best answer before readings are believed less, natural log. */
  slack: 2,
} as const;

/**
 * How far a set's readings are to be believed, above 0 to 1, by how they agree with the best answer to all of them.
 *
 * A reading tells how often it is wrong: what it should cost the right answer is its own entropy. Where the best answer costs more than all
 * readings together lead one to expect, they are surer than they should be (a worn figure of an odd fount), or the die is numbered
 * otherwise; each then counts by that ratio less, as Birge (1932) has measurements that scatter more than they state.
 *
 * @param way  Way per photo of the best answer, under `guess`.
 */
export function readingTrust(
  table: TurnTable,
  guess: NumberingGuess,
  way: ArrayLike<number>,
  readings: readonly (readonly SlotReading[])[],
): number {
  let [found, expected] = [0, 0];
  readings.forEach((list, i) => {
    for (const r of list) {
      found -= wayLogs(table, guess, [r])[way[i]!]!;
      expected += r.weight * readingEntropy(r.reading, guess.corners);
    }
  });
  return found > 0 ? Math.min(1, (expected + TRUST.slack) / found) : 1;
}

/** Natural log; of a d4's corners as they count. */
function readingEntropy({ labelLogs, other, corners }: LabelReading, byCorners: boolean): number {
  if (!byCorners || !corners) return entropy([...Array.from(labelLogs), other]);
  return corners.reduce((s, c) => s + entropy(Array.from(c.labelLogs)), 0) / Math.sqrt(corners.length);
}

/** Of chances given by their logs; what they leave is one more. */
function entropy(logs: readonly number[]): number {
  const chances = logs.map(Math.exp);
  const left = 1 - chances.reduce((s, p) => s + p, 0);
  return [...chances, left].reduce((s, p) => s - (p > 1e-12 ? p * Math.log(p) : 0), 0);
}
