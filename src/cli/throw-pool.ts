import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { BlockThrower } from '../bias/throw-run.ts';
import type { Tally } from '../bias/throws/throw-blocks.ts';
import { failure, success, type Result } from '../result.ts';
import type { BlockRequest } from './throw-worker.ts';

/** A thread ended before its block was done. */
export interface ThreadFailure {
  readonly code: 'worker-stopped';
  readonly detail: string;
}

/** Throwing threads, one per core, each doing one block at a time. */
export interface ThrowPool {
  readonly throwers: readonly BlockThrower<ThreadFailure>[];
  close(): Promise<void>;
}

export function throwPool(size: number = availableParallelism()): ThrowPool {
  const threads = Array.from({ length: size }, () => new Worker(new URL('./throw-thread.mjs', import.meta.url)));
  return {
    throwers: threads.map(thrower),
    close: async () => {
      await Promise.all(threads.map((t) => t.terminate()));
    },
  };
}

const thrower =
  (thread: Worker): BlockThrower<ThreadFailure> =>
  (body, table, seed, index) =>
    new Promise<Result<Tally, ThreadFailure>>((resolve) => {
      const lost = (error: unknown): void => settle(failure({ code: 'worker-stopped', detail: String(error) }));
      const answered = (tally: Tally): void => settle(success(tally));
      const settle = (result: Result<Tally, ThreadFailure>): void => {
        thread.off('message', answered).off('error', lost).off('exit', lost);
        resolve(result);
      };
      thread.once('message', answered).once('error', lost).once('exit', lost);
      thread.postMessage({ body, table, seed, index } satisfies BlockRequest);
    });
