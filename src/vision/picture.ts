import { boxAround } from '../geometry/polygon.ts';

/** A decoded photo, upright: 8 bits a channel, red, green, blue (and perhaps alpha) interleaved, rows from the top. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly channels: 3 | 4;
  readonly data: Uint8Array | Uint8ClampedArray;
}

/** A window of a photo that remembers where it was: addresses are counted from its own corner. */
export interface Crop extends Picture {
  readonly left: number;
  readonly top: number;
}

/** A copy of the window round an outline, so many px wider on each side. */
export function croppedAround(picture: Picture, outline: ArrayLike<number>, margin: number): Crop {
  const { left, top, right, bottom } = boxAround(outline);
  return cropped(picture, left - margin, top - margin, right + margin, bottom + margin);
}

/** A copy of a window of a picture, cut to it. */
export function cropped(picture: Picture, left: number, top: number, right: number, bottom: number): Crop {
  const x0 = Math.max(0, Math.floor(left));
  const y0 = Math.max(0, Math.floor(top));
  const width = Math.max(0, Math.min(picture.width, Math.ceil(right) + 1) - x0);
  const height = Math.max(0, Math.min(picture.height, Math.ceil(bottom) + 1) - y0);
  const data = new Uint8Array(width * height * picture.channels);
  for (let y = 0; y < height; y++) {
    const from = ((y0 + y) * picture.width + x0) * picture.channels;
    data.set(picture.data.subarray(from, from + width * picture.channels), y * width * picture.channels);
  }
  return { left: x0, top: y0, width, height, channels: picture.channels, data };
}

/**
 * Weights of red, green, blue in luma, the one channel that JPEG keeps at full resolution.
 *
 * Source: ITU-R BT.601-7, 2.5.1; JFIF (ITU-T T.871) uses the same.
 */
export const LUMA = [0.299, 0.587, 0.114] as const;

/** A window of a picture. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** A window of luma values, 0..255, as single precision. */
export interface Patch extends Box {
  readonly data: Float32Array;
}

/** The pixels of a window, cut to the picture. */
export function boxWithin(picture: Picture, left: number, top: number, right: number, bottom: number): Box {
  const x0 = Math.max(0, Math.floor(left));
  const y0 = Math.max(0, Math.floor(top));
  const width = Math.max(0, Math.min(picture.width, Math.ceil(right) + 1) - x0);
  const height = Math.max(0, Math.min(picture.height, Math.ceil(bottom) + 1) - y0);
  return { left: x0, top: y0, width, height };
}

/** Writes the luma of a window to the beginning of a list. */
export function takeLuma(
  { width: across, channels: c, data }: Picture,
  { left, top, width, height }: Box,
  out: Float32Array,
): void {
  const [red, green, blue] = LUMA;
  for (let y = 0; y < height; y++) {
    let p = ((top + y) * across + left) * c;
    for (let x = 0, q = y * width; x < width; x++, q++, p += c)
      out[q] = red * data[p]! + green * data[p + 1]! + blue * data[p + 2]!;
  }
}

/** Luma of the pixels of a window, cut to the picture. */
export function lumaPatch(picture: Picture, left: number, top: number, right: number, bottom: number): Patch {
  const box = boxWithin(picture, left, top, right, bottom);
  const data = new Float32Array(box.width * box.height);
  takeLuma(picture, box, data);
  return { ...box, data };
}
