import { crewMember, photoCrew, type CrewAnswer, type CrewQuestion, type PhotoCrew } from '../measure/photo-crew.ts';
import { createPool } from '../pool/pool.ts';
import { decodePicture } from './decode.ts';
import { threadWorker } from './threads.ts';

/** So many threads that look at photos; of one there is no thread, but this one works. */
export function nodeCrew(threads: number): PhotoCrew {
  if (threads > 1) {
    const entry = new URL('./photo-thread.ts', import.meta.url);
    return photoCrew(createPool(() => threadWorker<CrewQuestion, CrewAnswer>(entry), threads));
  }
  const ask = crewMember(decodePicture, () => performance.now() / 1000, false);
  return photoCrew(createPool(() => ({ ask, end: () => undefined }), 1));
}
