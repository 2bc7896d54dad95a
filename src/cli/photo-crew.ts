import { crewMember, photoCrew, type CrewAnswer, type CrewQuestion, type PhotoCrew } from '../measure/photo-crew.ts';
import { createPool } from '../pool/pool.ts';
import { decodePicture } from './decode.ts';
import { compileCv, loadCv } from './opencv-node.ts';
import { threadWorker } from './threads.ts';

/** So many threads that look at photos; of one there is no thread, but this one works. */
export async function nodeCrew(threads: number): Promise<PhotoCrew> {
  const compiled = await compileCv();
  if (threads > 1) {
    const entry = new URL('./photo-thread.ts', import.meta.url);
    return photoCrew(createPool(() => threadWorker<CrewQuestion, CrewAnswer>(entry, compiled), threads));
  }
  const ask = crewMember(await loadCv(compiled), decodePicture, () => performance.now() / 1000);
  return photoCrew(createPool(() => ({ ask, end: () => undefined }), 1));
}
