import sharp, { type Sharp } from 'sharp';
import type { Picture } from '../../src/vision/picture.ts';

/** Pixels in memory that are edited in place of a photo: 8 bits, red, green, blue. */
export type Pixels = Picture & { readonly channels: 3; readonly data: Buffer };

/** A place of a picture, px; `right` and `bottom` lie outside it. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export async function pixelsOf(image: Sharp | Uint8Array): Promise<Pixels> {
  const source = image instanceof Uint8Array ? sharp(image) : image;
  const { data, info } = await source.removeAlpha().raw({ depth: 'uchar' }).toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: 3, data };
}

/** An image to go on with, from pixels. */
export const imageOf = ({ data, width, height, channels }: Pixels): Sharp =>
  sharp(data, { raw: { width, height, channels } });

/** Bytes of an image file, as a `Uint8Array` of its own. */
export const bytesOf = async (image: Sharp): Promise<Uint8Array> => new Uint8Array(await image.toBuffer());

type Shade = (u: number, v: number, c: number) => number;

/** The picture with the pixels of a box, or of the ellipse in it, given anew. */
export function covered(p: Pixels, box: Box, shade: Shade, round = false): Pixels {
  const data = Buffer.from(p.data);
  const [cu, cv] = [(box.left + box.right - 1) / 2, (box.top + box.bottom - 1) / 2];
  const [a, b] = [(box.right - box.left) / 2, (box.bottom - box.top) / 2];
  for (let v = Math.max(0, box.top); v < Math.min(p.height, box.bottom); v++)
    for (let u = Math.max(0, box.left); u < Math.min(p.width, box.right); u++) {
      if (round && ((u - cu) / a) ** 2 + ((v - cv) / b) ** 2 > 1) continue;
      for (let c = 0; c < 3; c++) data[3 * (v * p.width + u) + c] = shade(u, v, c);
    }
  return { ...p, data };
}

/** One colour. */
export const plain =
  (...colour: readonly [number, number, number]): Shade =>
  (_u, _v, c) =>
    colour[c]!;

/** The pixels of a photo, moved. */
export const from =
  (p: Pixels, du: number, dv: number): Shade =>
  (u, v, c) =>
    p.data[3 * ((v - dv) * p.width + u - du) + c] ?? 0;
