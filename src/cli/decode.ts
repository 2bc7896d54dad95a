import sharp from 'sharp';
import { focalPx } from '../measure/exif-focal.ts';
import { sniffImage } from '../measure/sniff.ts';
import type { MeasurePhoto, Note } from '../measure/types.ts';
import { failure, success, type Result } from '../result.ts';

/** One thread decodes one photo; more only pile up memory. */
sharp.concurrency(1);
sharp.cache(false);

/** A photo's pixels, upright, and the focal length that its own data state; or why there are none. */
export async function decodePhoto(name: string, bytes: Buffer): Promise<Result<MeasurePhoto, Note>> {
  const sniffed = sniffImage(bytes);
  if (!sniffed.ok) return sniffed;
  try {
    const turned =
      sniffed.value.orientation > 1
        ? sharp(bytes, { failOn: 'truncated' }).rotate()
        : sharp(bytes, { failOn: 'truncated' });
    const { data, info } = await turned
      .toColourspace('srgb')
      .removeAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true });
    const picture = { width: info.width, height: info.height, channels: 3 as const, data };
    return success({ name, picture, focal: focalPx(sniffed.value.focal35, info.width, info.height) });
  } catch {
    return failure({ code: 'unreadable', seen: name });
  }
}
