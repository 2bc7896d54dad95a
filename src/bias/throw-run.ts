import { success, type Result } from '../result.ts';
import type { TableChoice } from './kernel/kernel.ts';
import { TABLE_NAMES, type TableName } from './throws/tables.ts';
import { BLOCK, emptyTally, merged, type Tally } from './throws/throw-blocks.ts';
import type { ThrowBody } from './throws/throw-body.ts';

/** Whoever throws a block: a worker, or this thread. */
export type BlockThrower<F> = (
  body: ThrowBody,
  table: TableName,
  seed: number,
  index: number,
) => Promise<Result<Tally, F>>;

export interface ThrowPlan {
  /** One table, or all in turn. */
  readonly table: TableChoice;
  /** A 32-bit integer; the same plan gives the same result whatever the number of workers. */
  readonly seed: number;
  /** Most throws; rounded up to whole blocks, alike on each table. */
  readonly throws: number;
  /** Stop as soon as half the 95 % interval of every face's chance is below this share of it; null: never sooner. */
  readonly precision: number | null;
}

/** The defaults, and the only place that states them. */
export const THROW_PLAN: ThrowPlan = { table: 'unknown', seed: 1, throws: 1_000_000, precision: null };

/** For a caller that wants to stop: looked at between blocks. */
export interface Stop {
  readonly aborted: boolean;
}

/**
 * Throws blocks on all workers at once and adds them up in the order of their numbers, so that the stop falls on the same block whoever was
 * faster. Blocks thrown beyond it are left out.
 *
 * @param onProgress  Gets the sum of all blocks that follow each other from the first.
 * @returns The tally, the first failure of a worker, or what there is when `stop.aborted` is seen.
 */
export async function runThrows<F>(
  body: ThrowBody,
  plan: ThrowPlan,
  workers: readonly BlockThrower<F>[],
  onProgress: (tally: Tally, needed: number) => void = () => undefined,
  stop: Stop = { aborted: false },
): Promise<Result<Tally, F>> {
  const tables = plan.table === 'unknown' ? TABLE_NAMES : [plan.table];
  const blocks = Math.max(1, Math.ceil(plan.throws / BLOCK / tables.length)) * tables.length;
  const waiting = new Map<number, Tally>();
  let sum = emptyTally(body.passes.length);
  let next = 0;
  let added = 0;
  let failed: Result<never, F> | null = null;
  let done = false;
  const add = (index: number, tally: Tally): void => {
    waiting.set(index, tally);
    for (let t = waiting.get(added); t && !done; t = waiting.get(added)) {
      sum = merged(sum, t);
      waiting.delete(added++);
      // Only whole rounds over the tables are compared and shown.
      if (added % tables.length !== 0) continue;
      done = added === blocks || (plan.precision !== null && worstShare(sum) <= plan.precision);
      onProgress(sum, blocks * BLOCK);
    }
  };
  const work = async (thrower: BlockThrower<F>): Promise<void> => {
    while (!done && !failed && !stop.aborted && next < blocks) {
      const index = next++;
      const thrown = await thrower(body, tables[index % tables.length], plan.seed, Math.floor(index / tables.length));
      if (!thrown.ok) failed = thrown;
      else add(index, thrown.value);
    }
  };
  await Promise.all(workers.map(work));
  return failed ?? success(sum);
}

/** Half the 95 % interval of the least certain face's chance, as a share of it. */
export function worstShare({ counts, throws }: Pick<Tally, 'counts' | 'throws'>): number {
  const least = Math.min(...counts);
  return least > 0 ? 1.96 * Math.sqrt((1 - least / throws) / least) : Infinity;
}

/** How a die tumbles until its outcome is decided, in means over the throws, against another. */
export interface Tumbling {
  /** From first touch to decision, s, and the standard error of the mean. */
  readonly time: number;
  readonly uTime: number;
  /** Horizontal way in that time, mm. */
  readonly path: number;
}

export function tumbling({ time, timeSquares, path, throws }: Tally): Tumbling {
  const mean = time / throws;
  return {
    time: mean,
    uTime: Math.sqrt(Math.max(0, timeSquares / throws - mean * mean) / throws),
    path: path / throws,
  };
}
