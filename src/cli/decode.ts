import sharp from 'sharp';
import { PICTURE_LIMITS } from '../photo/sniff.ts';
import type { Picture } from '../vision/picture.ts';

// One thread decodes one photo; more only pile up memory.
sharp.concurrency(1);
sharp.cache(false);

/** A photo's pixels, upright, 8 bits a channel; rejects where they cannot be had. */
export async function decodePicture(bytes: Uint8Array): Promise<Picture> {
  // The decoder's own head counts: a file may hold two.
  const { data, info } = await sharp(bytes, { failOn: 'truncated', limitInputPixels: PICTURE_LIMITS.pixels })
    .rotate()
    .toColourspace('srgb')
    .removeAlpha()
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: 3, data };
}
