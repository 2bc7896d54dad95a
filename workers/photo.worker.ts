import { handedOver } from '../src/measure/photo-crew.ts';
import { photoMember } from './photo-member.ts';
import type { PhotoAnswer, PhotoQuestion } from './photo-protocol.ts';
import { answering } from './web-worker.ts';

/** The thumbnail as well: the worker needs no other. */
answering<PhotoQuestion, PhotoAnswer>(photoMember(), (answer) => [
  ...handedOver(answer),
  ...(answer.thumbnail ? [answer.thumbnail] : []),
]);
