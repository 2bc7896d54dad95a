import type { Crop, Picture } from '../vision/picture.ts';

/** Turns of a stored picture that make it upright, in quarters clockwise, by EXIF orientation; mirrored ones are not cameras'. */
const QUARTERS: Readonly<Record<number, number>> = { 3: 2, 6: 1, 8: 3 };

/** A picture as its camera stored it, and the EXIF orientation that turns it upright from there. */
export interface StoredPicture {
  readonly picture: Picture;
  readonly orientation: number;
}

/**
 * Turns an upright picture back to how the camera's sensor saw it.
 *
 * A camera that is held upright for one photo and across for the next is one camera in the sensor's frame alone: there its principal
 * point stays in place.
 *
 * Source of the meaning of the values: Exif 2.32 (CIPA DC-008), tag 0x0112. Mirrored orientations are left as they are.
 */
export function asStored(upright: Picture, orientation: number): StoredPicture {
  const quarters = QUARTERS[orientation];
  if (quarters === undefined) return { picture: upright, orientation: 1 };
  return { picture: turnedPicture(upright, 4 - quarters), orientation };
}

/** The picture turned clockwise by quarters of a turn. */
export function turnedPicture({ width, height, channels, data }: Picture, quarters: number): Picture {
  const out = new Uint8Array(data.length);
  const [w, h] = quarters % 2 === 1 ? [height, width] : [width, height];
  // Step in the source for one pixel to the right, and for one down, in the turned picture; and where its first pixel comes from.
  const across = [1, -width, -1, width][quarters % 4]! * channels;
  const down = [width, 1, -width, -1][quarters % 4]! * channels;
  const first = [0, (height - 1) * width, height * width - 1, width - 1][quarters % 4]! * channels;
  for (let y = 0, o = 0; y < h; y++)
    for (let x = 0, p = first + y * down; x < w; x++, p += across)
      for (let c = 0; c < channels; c++) out[o++] = data[p + c]!;
  return { width: w, height: h, channels, data: out };
}

interface Size {
  readonly width: number;
  readonly height: number;
}

/** Size of a stored picture once it is upright. */
export const uprightSize = ({ width, height }: Size, orientation: number): Size =>
  (QUARTERS[orientation] ?? 0) % 2 === 1 ? { width: height, height: width } : { width, height };

/** A window of a stored picture as a window of the upright one. */
export function uprightCrop(crop: Crop, size: Size, orientation: number): Crop {
  const turned = turnedPicture(crop, QUARTERS[orientation] ?? 0);
  const ends = [crop.left, crop.top, crop.left + crop.width - 1, crop.top + crop.height - 1];
  const [u0, v0, u1, v1] = uprightPlaces(ends, size, orientation) as [number, number, number, number];
  return { ...turned, left: Math.min(u0, u1), top: Math.min(v0, v1) };
}

/** Places [u, v] of a stored picture in the upright one, px. */
export function uprightPlaces(xy: ArrayLike<number>, size: Size, orientation: number): number[] {
  return turnedPairs(xy, orientation, size.width - 1, size.height - 1);
}

/** Directions of a stored picture in the upright one. */
export const uprightDirections = (xy: ArrayLike<number>, orientation: number): number[] =>
  turnedPairs(xy, orientation, 0, 0);

function turnedPairs(xy: ArrayLike<number>, orientation: number, right: number, bottom: number): number[] {
  const quarters = QUARTERS[orientation] ?? 0;
  const out = Array.from(xy);
  for (let k = 0; k + 1 < out.length; k += 2) {
    const [u, v] = [out[k]!, out[k + 1]!];
    if (quarters === 1) [out[k], out[k + 1]] = [bottom - v, u];
    if (quarters === 2) [out[k], out[k + 1]] = [right - u, bottom - v];
    if (quarters === 3) [out[k], out[k + 1]] = [v, right - u];
  }
  return out;
}
