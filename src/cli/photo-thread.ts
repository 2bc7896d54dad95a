import { crewMember } from '../measure/photo-crew.ts';
import { decodePicture } from './decode.ts';

/** What a thread that works on photos answers. */
export const answer = crewMember(decodePicture, () => performance.now() / 1000);
export { handedOver } from '../measure/photo-crew.ts';
