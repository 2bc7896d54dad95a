import { crewMember } from '../src/measure/photo-crew.ts';
import type { Cv } from '../src/vision/cv.ts';
import { decode } from './decode.ts';
import type { PhotoAnswer, PhotoQuestion } from './photo-protocol.ts';

/** Works on photos in a browser, one question after another. */
export function photoMember(cv: Cv): (question: PhotoQuestion['question']) => Promise<PhotoAnswer> {
  let thumbnail: ImageBitmap | null = null;
  const member = crewMember<Uint8Array<ArrayBuffer>>(
    cv,
    async (bytes) => {
      const decoded = await decode(bytes);
      thumbnail = decoded.thumbnail;
      return decoded.picture;
    },
    () => performance.now() / 1000,
  );
  return async (question) => {
    thumbnail = null;
    const answer = await member(question);
    return question.ask === 'look' ? { ...answer, thumbnail } : answer;
  };
}
