import { crewMember } from '../src/measure/photo-crew.ts';
import { decode } from './decode.ts';
import type { PhotoAnswer, PhotoQuestion } from './photo-protocol.ts';

/** Works on photos in a browser; asked again before it has answered, it goes on with the one photo while the browser decodes the other. */
export function photoMember(): (question: PhotoQuestion) => Promise<PhotoAnswer> {
  const thumbnails = new WeakMap<Uint8Array, ImageBitmap>();
  const member = crewMember<Uint8Array<ArrayBuffer>>(
    async (bytes) => {
      const { picture, thumbnail } = await decode(bytes);
      thumbnails.set(bytes, thumbnail);
      return picture;
    },
    () => performance.now() / 1000,
  );
  return async (question) => {
    const answer = await member(question);
    return question.ask === 'look' ? { ...answer, thumbnail: thumbnails.get(question.bytes) ?? null } : answer;
  };
}
