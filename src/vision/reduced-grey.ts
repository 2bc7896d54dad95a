import { BlockRows } from './block-rows.ts';
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
  const { channels } = picture;
  const width = Math.floor(picture.width / factor);
  const height = Math.floor(picture.height / factor);
  const data = new Uint8Array(width * height);
  const rows = new BlockRows(picture, { x0: 0, y0: 0, w: width, factor });
  const memory = passingMemory();
  const at = aligned(width);
  memory.reserve(at + 2 * rows.room);
  const { bytes, run } = memory;
  const row = bytes.subarray(0, width);
  for (let y = 0; y < height; y++) {
    const upper = rows.copyUpper(y, bytes, at);
    const lower = factor > 1 ? rows.copyLower(y, bytes, at + rows.room) : 0;
    run.greenRow(0, upper, lower, width, channels, factor, rows.step);
    data.set(row, y * width);
  }
  return { width, height, data, factor };
}
