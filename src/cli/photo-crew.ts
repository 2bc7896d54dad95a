import { setImmediate } from 'node:timers/promises';
import {
  crewMember,
  photoCrew,
  tasksWait,
  type CrewAnswer,
  type CrewQuestion,
  type PhotoCrew,
} from '../measure/photo-crew.ts';
import { createPool, ownFirst } from '../pool/pool.ts';
import { decodePicture } from './decode.ts';
import { threadWorker } from './threads.ts';

/** So many threads that look at photos, of which this is one: a thread more would only translate the same code once more. */
export function nodeCrew(threads: number): PhotoCrew {
  const own = crewMember(decodePicture, () => performance.now() / 1000, false);
  if (threads === 1) return photoCrew(createPool(() => ({ ask: own, end: () => undefined }), 1));
  const entry = new URL('./photo-thread.ts', import.meta.url);
  const other = () => tasksWait(threadWorker<CrewQuestion, CrewAnswer>(entry));
  return photoCrew(createPool(ownFirst(own, other, setImmediate), threads));
}
