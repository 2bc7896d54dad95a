import sharp from 'sharp';
import { pixelsOf, sharpOf, type Pixels } from './pixels.ts';

/** The stored pixels of a photo's file, not turned. */
export const decodedPixels = (bytes: Uint8Array): Promise<Pixels> => pixelsOf(sharp(bytes, { autoOrient: false }));

export const NO_EXIF = new Uint8Array(0);

/** The EXIF segment of a JPEG with its marker; empty where it has none. Source: ITU-T T.81, B.1.1.4; Exif 2.32, 4.5.4. */
export function exifOf(jpeg: Uint8Array): Uint8Array {
  for (let at = 2; jpeg[at] === 0xff && jpeg[at + 1] !== 0xda;) {
    const length = (jpeg[at + 2]! << 8) | jpeg[at + 3]!;
    if (jpeg[at + 1] === 0xe1 && jpeg[at + 4] === 0x45) return jpeg.subarray(at, at + 2 + length);
    at += 2 + length;
  }
  return NO_EXIF;
}

/** How an altered photo is written: a file's name ending and its bytes. */
export type Writer = (pixels: Pixels, exif: Uint8Array) => Promise<Uint8Array>;

/** A JPEG of a quality; `bare` leaves EXIF away, as messengers do. */
export const jpeg =
  (quality: number, { bare = false, full = false } = {}): Writer =>
  async (pixels, exif) => {
    const bytes = await sharpOf(pixels)
      .jpeg({ quality, chromaSubsampling: full ? '4:4:4' : '4:2:0' })
      .toBuffer();
    return bare ? bytes : Buffer.concat([bytes.subarray(0, 2), exif, bytes.subarray(2)]);
  };

/** Writers of other formats, each at a setting that cameras and messengers use, or without loss where the format is all that is altered. */
export const webp =
  (quality: number): Writer =>
  (p) =>
    sharpOf(p).webp({ quality }).toBuffer();
export const tiff: Writer = (p) => sharpOf(p).tiff({ compression: 'lzw' }).toBuffer();
export const png: Writer = (p) => sharpOf(p).png({ compressionLevel: 1 }).toBuffer();
export const avif: Writer = (p) => sharpOf(p).avif({ quality: 80, effort: 0 }).toBuffer();
