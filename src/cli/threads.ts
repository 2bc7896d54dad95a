import { availableParallelism, totalmem } from 'node:os';
import { Worker } from 'node:worker_threads';
import { Awaited } from '../pool/awaited.ts';
import type { PoolWorker } from '../pool/pool.ts';
import { poolSize } from '../pool/size.ts';

/**
 * A thread as a pool's worker.
 *
 * @param entry  The module, TypeScript or not, that exports `answer(question)`, and `handedOver(answer)` where something of it need not be copied; a `.mjs` is the thread itself, answers by messages and needs no loader.
 * @param data   What it finds in `workerData.data`.
 */
export function threadWorker<Question, Answer>(entry: URL, data?: unknown): PoolWorker<Question, Answer> {
  const start = entry.pathname.endsWith('.mjs') ? entry : new URL('./thread.mjs', import.meta.url);
  const thread = new Worker(start, { workerData: { entry: entry.href, data } });
  const awaited = new Awaited<Answer>();
  const rested = (): void => {
    if (awaited.size === 0) thread.unref();
  };
  const lost = (error: unknown): void => {
    awaited.lost(error instanceof Error ? error : new Error(`the thread ended with code ${String(error)}`));
    rested();
  };
  const answered = (answer: Answer): void => {
    awaited.answered(answer);
    rested();
  };
  thread.on('message', answered).on('error', lost).on('exit', lost).on('messageerror', lost);
  // A thread that nobody waits for does not keep the process alive.
  thread.unref();
  return {
    ask(question) {
      const answer = awaited.next();
      thread.ref();
      thread.postMessage(question);
      return answer;
    },
    end: () => void thread.terminate(),
  };
}

/**
 * Photos of a set that make a thread worth its start: each has to translate the same code anew, which costs it as much as some photos do. A set of
 * four took 4.3 s of processor time in one thread and 7.4 in two, begun cold.
 */
export const PHOTOS_A_THREAD = 4;

/**
 * Threads for photos: as many as asked for (`--threads N`), else by the machine's cores and memory, and by the number of photos where it is known.
 */
export function threadCount(asked: number | null, photos = Infinity): number {
  const memory = Math.min(totalmem(), process.constrainedMemory() || Infinity) / 2 ** 20;
  return asked ?? Math.min(poolSize(availableParallelism(), memory), Math.max(1, Math.floor(photos / PHOTOS_A_THREAD)));
}

/** The number that `--threads` gives: null where it is left out, undefined where it is none from 1 to 64. */
export function threadsAsked(text: string | undefined): number | null | undefined {
  if (text === undefined) return null;
  return /^[1-9]\d?$/.test(text) && Number(text) <= 64 ? Number(text) : undefined;
}
