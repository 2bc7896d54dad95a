import { availableParallelism } from 'node:os';
import { setImmediate } from 'node:timers/promises';
import {
  crewMember,
  IN_HAND,
  photoCrew,
  tasksWait,
  type CrewAnswer,
  type CrewQuestion,
  type PhotoCrew,
} from '../measure/photo-crew.ts';
import { createPool, ownFirst } from '../pool/pool.ts';
import { decodePicture } from './decode.ts';
import { threadCount, threadWorker } from './threads.ts';

/**
 * So many threads that look at photos, of which this is one: a thread more would only translate the same code once more.
 *
 * @param inHand  Photos that this thread has in hand where it is the only one.
 */
export function nodeCrew(threads: number, inHand = 1): PhotoCrew {
  const own = crewMember(decodePicture, () => performance.now() / 1000, false);
  if (threads === 1) {
    const pool = createPool<CrewQuestion, CrewAnswer>(() => ({ ask: own, end: () => undefined }), inHand);
    return { ...photoCrew(pool), size: 1 };
  }
  const entry = new URL('./photo-thread.ts', import.meta.url);
  const other = () => tasksWait(threadWorker<CrewQuestion, CrewAnswer>(entry));
  return photoCrew(createPool(ownFirst(own, other, setImmediate), threads));
}

/** As many threads as were asked for, each with one photo in hand; else as suit the machine and so many photos. */
export function crewFor(asked: number | null, photos: number): PhotoCrew {
  const inHand = asked === null && availableParallelism() > 1 ? IN_HAND : 1;
  return nodeCrew(threadCount(asked, photos), inHand);
}
