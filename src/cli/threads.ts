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
 * Photos of a set that make one thread more worth its start, on so many cores: each makes machine code of its own, which costs it as much as some photos
 * do. On two it takes the core on which the other's code is made and photos are decoded: begun cold, ten photos of a d20 took 1.95 s and 2.55 s of processor
 * time in one thread, 2.45 and 3.60 in two, thirteen 2.72 against 3.04; a warm photo gains 14 to 24 ms. On more than two it was not measured.
 */
export const photosAThread = (cores: number): number => (cores > 2 ? 4 : 20);

/**
 * Threads for photos: as many as asked for (`--threads N`), else by the machine's cores and memory, and by the number of photos where it is known.
 */
export function threadCount(asked: number | null, photos = Infinity): number {
  const cores = availableParallelism();
  const memory = Math.min(totalmem(), process.constrainedMemory() || Infinity) / 2 ** 20;
  return asked ?? Math.min(poolSize(cores, memory), Math.max(1, Math.floor(photos / photosAThread(cores))));
}

/** The number that `--threads` gives: null where it is left out, undefined where it is none from 1 to 64. */
export function threadsAsked(text: string | undefined): number | null | undefined {
  if (text === undefined) return null;
  return /^[1-9]\d?$/.test(text) && Number(text) <= 64 ? Number(text) : undefined;
}
