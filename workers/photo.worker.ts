import { photoMember } from './photo-member.ts';
import type { PhotoAnswer, PhotoQuestion } from './photo-protocol.ts';
import { answering } from './web-worker.ts';

answering<PhotoQuestion, PhotoAnswer>(photoMember(), handedOver);

/** The crop of a photo and its thumbnail are handed over: the worker kept a copy of the one and needs no other. */
function handedOver(answer: PhotoAnswer): Transferable[] {
  const crop = 'looked' in answer && answer.looked.found.ok ? [answer.looked.found.value.survey.crop.data.buffer] : [];
  return [...crop, ...(answer.thumbnail ? [answer.thumbnail] : [])] as Transferable[];
}
