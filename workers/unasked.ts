import type { Asked } from '../src/measure/asked.ts';
import { createFileSet } from '../src/measure/file-set.ts';
import type { MeasureFailure, MeasureResult } from '../src/formats/result.ts';
import { foreseen } from '../src/report/record/foreseen.ts';
import type { Result } from '../src/result.ts';
import type { PageCrew } from './page-crew.ts';
import type { PhotoFile } from './protocol.ts';
import { seenDie } from './seen-die.ts';

/** Thrown through measuring where something was asked for meanwhile. */
const GIVEN_UP = new Error('given up');

/**
 * Measures a set that nobody asked for, as one that was asked for would be, in steps between which the worker hears what it is asked.
 *
 * @param mayGoOn  Whether nothing was asked for meanwhile.
 * @returns        Null where it was given up.
 */
export async function measuredUnasked(
  asked: Asked,
  photos: readonly PhotoFile[],
  crew: PageCrew,
  mayGoOn: () => boolean,
): Promise<Result<MeasureResult, MeasureFailure> | null> {
  const step = async <T>(work: () => T | Promise<T>): Promise<T> => {
    // A task of its own: messages come in between.
    await new Promise((resolve) => setTimeout(resolve));
    if (!mayGoOn()) throw GIVEN_UP;
    return work();
  };
  const inSteps: Pick<PageCrew, 'task'> = { task: (task) => step(() => crew.task(task)) };
  const set = createFileSet(asked, () => performance.now() / 1000);
  crew.forget();
  const waiting = [...photos];
  const looks = async (): Promise<void> => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
      const { name, bytes } = next;
      const { looked, thumbnail } = await step(() => crew.lookSmall(name, new Uint8Array(bytes)));
      thumbnail?.close();
      set.take(looked);
    }
  };
  try {
    // Where the photos have workers of their own, each of those is warmed.
    await Promise.all(Array.from({ length: crew.alone ? 1 : crew.size }, looks));
    const numbers = await set.numbers(inSteps);
    if (numbers.ok) await step(() => seenDie(numbers.value));
    const result = await set.finish(({ soFar }) => void soFar?.(), inSteps);
    if (result.ok) await step(() => foreseen(result.value));
    return result;
  } catch (thrown) {
    if (thrown !== GIVEN_UP) throw thrown;
    return null;
  } finally {
    // Where it was given up, another set may have begun.
    if (mayGoOn()) crew.forget();
  }
}
