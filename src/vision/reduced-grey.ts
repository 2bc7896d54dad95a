import { BlockRows, bytesOf } from './block-rows.ts';
import { aligned, passingMemory } from './pixel-memory.ts';
import type { Picture } from './picture.ts';

/** Luma of a picture that was made smaller: 0 to 255, rows from the top. */
export interface GreyPicture {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
  /** How many picture pixels make one of these, along each side. */
  readonly factor: number;
}

/**
 * Green averaged over blocks of `factor` x `factor` pixels; what does not fill a whole block at the right and bottom is left out.
 *
 * Green stands for luma: what is searched in it is printed black on white. Of large blocks four pixels are enough.
 */
export function reducedGrey(picture: Picture, factor: number): GreyPicture {
  const width = Math.floor(picture.width / factor);
  const height = Math.floor(picture.height / factor);
  const data = new Uint8Array(width * height);
  if (factor > 2) fillOfFour(data, bytesOf(picture), picture, width, factor);
  else fillByRows(data, picture, width, factor);
  return { width, height, data, factor };
}

/** Of small blocks by the pixels module, row by row. */
function fillByRows(out: Uint8Array, picture: Picture, width: number, factor: number): void {
  const rows = new BlockRows(picture, { x0: 0, y0: 0, w: width, factor });
  const memory = passingMemory();
  const at = aligned(width);
  memory.reserve(at + 2 * rows.room);
  const { bytes, run } = memory;
  const row = bytes.subarray(0, width);
  for (let k = 0, y = 0; k < out.length; k += width, y++) {
    const upper = rows.copyUpper(y, bytes, at);
    const lower = factor > 1 ? rows.copyLower(y, bytes, at + rows.room) : 0;
    run.greenRow(0, upper, lower, width, picture.channels, factor);
    out.set(row, k);
  }
}

/** Of large blocks, where they are: most of what would be copied is not looked at. */
function fillOfFour(
  out: Uint8Array,
  data: Uint8Array,
  { width, channels }: Picture,
  columns: number,
  factor: number,
): void {
  const half = factor >> 1;
  const right = half * channels;
  const stride = width * channels;
  const across = factor * channels;
  for (let k = 0, upper = 1; k < out.length; upper += factor * stride) {
    let p = upper;
    let q = upper + half * stride;
    for (const end = k + columns; k < end; k++, p += across, q += across)
      out[k] = (data[p]! + data[p + right]! + data[q]! + data[q + right]!) >> 2;
  }
}
