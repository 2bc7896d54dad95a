import { workerData } from 'node:worker_threads';
import { crewMember, type CrewAnswer, type CrewQuestion } from '../measure/photo-crew.ts';
import { decodePicture } from './decode.ts';
import { loadCv } from './opencv-node.ts';

const member = loadCv((workerData as { readonly data: WebAssembly.Module }).data).then((cv) =>
  crewMember(cv, decodePicture, () => performance.now() / 1000),
);

/** What a thread that works on photos answers. */
export const answer = async (question: CrewQuestion): Promise<CrewAnswer> => (await member)(question);
