import { crewMember, type CrewAnswer, type CrewQuestion } from '../measure/photo-crew.ts';
import { decodePicture } from './decode.ts';

const member = crewMember(decodePicture, () => performance.now() / 1000);

/** What a thread that works on photos answers. */
export const answer = (question: CrewQuestion): Promise<CrewAnswer> => member(question);
