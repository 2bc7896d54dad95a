import { threadId, workerData } from 'node:worker_threads';

const shared = (workerData as { data: SharedArrayBuffer }).data;

/** What the tests' thread is asked: to double a number after a while, or to end in one of several ways. */
export type ThreadQuestion = { readonly double: number; readonly after?: number } | 'throw' | 'exit' | 'exit-once';

export function answer(question: ThreadQuestion): Promise<{ doubled: number; by: number }> {
  if (question === 'throw') throw new Error('struck by lightning');
  if (question === 'exit') process.exit(3);
  if (question === 'exit-once') {
    // The first thread to be asked this ends; the one after it answers.
    const seen = new Int32Array(shared);
    if (Atomics.add(seen, 0, 1) === 0) process.exit(4);
    return Promise.resolve({ doubled: 0, by: threadId });
  }
  const { double, after = 0 } = question;
  return new Promise((resolve) => setTimeout(() => resolve({ doubled: 2 * double, by: threadId }), after));
}
