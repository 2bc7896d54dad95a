// Decodes photos: in a thread of its own, which has no TypeScript, or beside its caller.
import { getHeapStatistics, setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import sharp from 'sharp';

// One thread decodes one photo; more only pile up memory.
sharp.concurrency(1);
sharp.cache(false);

// The decoder's own buffers would stand until the heap that holds them is cleared, which nothing presses for. Clearing what is new in it takes a thirtieth of what
// decoding 3 MP does and frees them as a rule: the next photo finds its pages there (8 MP 34.5 -> 30.5 ms of processor time). Clearing all of a small heap takes a third.
setFlagsFromString('--expose-gc');
const clear = runInNewContext('gc');
/** Bytes of such buffers that may be left uncleared: two photos of 8 MP, none of 20 or more. */
const UNCLEARED = 60e6;

/** Frees the buffers that nobody holds any more. */
export function clearAway() {
  clear({ type: 'minor' });
  if (getHeapStatistics().external_memory > UNCLEARED) clear();
}

/** The pixels of a photo of so many at most, upright, 8 bits of red, green and blue. */
export async function decoded(bytes, most) {
  // The decoder's own head counts: a file may hold two.
  const { data, info } = await sharp(bytes, { failOn: 'truncated', limitInputPixels: most })
    .rotate()
    .toColourspace('srgb')
    .removeAlpha()
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: 3, data };
}
