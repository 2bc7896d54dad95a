import type { DecodedPicture } from '../photo/open.ts';
import { Rooms } from '../photo/rooms.ts';
import { PICTURE_LIMITS, pixelsTold } from '../photo/sniff.ts';
import { createPool } from '../pool/pool.ts';
import type { Picture } from '../vision/picture.ts';
import { threadWorker } from './threads.ts';

interface Question {
  readonly bytes: Uint8Array;
  /** Memory for the pixels, if they fit. */
  readonly room: SharedArrayBuffer | null;
}
type Decoded =
  { readonly picture: Picture & { readonly data: Uint8Array<SharedArrayBuffer> } } | { readonly error: Error };

const rooms = new Rooms<SharedArrayBuffer>();
const entry = new URL('./decode-thread.mjs', import.meta.url);
/** Whoever looks at photos has one thread that decodes them. */
const decoder = createPool(() => threadWorker<Question, Decoded>(entry, { pixels: PICTURE_LIMITS.pixels }), 1);

/** From so many pixels on a photo is decoded where it is looked at: the decoder's buffer and a copy of it are too much beside each other (48 MP 144 MB each). */
const LARGE = 20e6;

/** A photo's pixels, upright, 8 bits a channel; rejects where they cannot be had. */
export async function decodePicture(bytes: Uint8Array): Promise<DecodedPicture> {
  if (pixelsTold(bytes) >= LARGE) return decodedHere(bytes);
  // How large it will be is not known yet: any room may do.
  const answer = await decoder.ask({ bytes, room: rooms.take(0) });
  if (!answer.ok) throw new Error(answer.error.detail);
  if ('error' in answer.value) throw answer.value.error;
  const { picture } = answer.value;
  return { ...picture, release: () => rooms.give(picture.data.buffer) };
}

async function decodedHere(bytes: Uint8Array): Promise<DecodedPicture> {
  const { clearAway, decoded } = await import('./decoded.mjs');
  const picture = await decoded(bytes, PICTURE_LIMITS.pixels);
  return { ...picture, release: () => void setImmediate(clearAway) };
}
