import type { NumberingGuess } from './numberings.ts';
import { wayLogs, type LabelReading, type SlotReading } from './readings.ts';
import type { TurnTable } from './turn-table.ts';

/**
 * How far a set's readings are to be believed, above 0 to 1, by how they agree with the best answer to all of them.
 *
 * A reading tells how often it is wrong: what it should cost the right answer is its own entropy, and how far that scatters follows too.
 * Where the best answer costs more than all readings together lead one to expect, by more than a standard deviation, they are surer than
 * they should be (worn figures of an odd fount), or the die is numbered otherwise: each then counts by that ratio less, as Birge (1932) has
 * it for measurements that scatter more than they state.
 *
 * @param way  Way per photo of the best answer, under `guess`.
 */
export function readingTrust(
  table: TurnTable,
  guess: NumberingGuess,
  way: ArrayLike<number>,
  readings: readonly (readonly SlotReading[])[],
): number {
  let [found, expected, variance] = [0, 0, 0];
  readings.forEach((list, i) => {
    for (const r of list) {
      found -= wayLogs(table, guess, [r])[way[i]!]!;
      const cost = readingCost(r.reading, guess.corners);
      expected += r.weight * cost.mean;
      variance += r.weight ** 2 * cost.variance;
    }
  });
  return found > 0 ? Math.min(1, (expected + Math.sqrt(variance)) / found) : 1;
}

/** Mean and variance of a reading's natural log against what is right, as the reading itself has it. */
interface Cost {
  readonly mean: number;
  readonly variance: number;
}

/** Of a face; of a d4's corners as they count. */
function readingCost({ labelLogs, other, corners }: LabelReading, byCorners: boolean): Cost {
  if (!byCorners || !corners) return costOf([...Array.from(labelLogs), other]);
  const costs = corners.map((c) => costOf(Array.from(c.labelLogs)));
  const sum = (of: (c: Cost) => number): number => costs.reduce((s, c) => s + of(c), 0);
  return { mean: sum((c) => c.mean) / Math.sqrt(costs.length), variance: sum((c) => c.variance) / costs.length };
}

/** Of chances given by their logs; what they leave is one more. */
function costOf(logs: readonly number[]): Cost {
  const all: number[] = [];
  let [sum, mean, square] = [0, 0, 0];
  for (const log of logs) {
    const chance = Math.exp(log);
    sum += chance;
    all.push(chance);
  }
  all.push(1 - sum);
  for (const p of all) {
    if (!(p > 1e-12)) continue;
    mean -= p * Math.log(p);
    square += p * Math.log(p) ** 2;
  }
  return { mean, variance: Math.max(0, square - mean * mean) };
}
