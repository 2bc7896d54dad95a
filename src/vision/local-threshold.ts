import { aligned, passingMemory } from './pixel-memory.ts';

/** Rows that are marked in one call. */
const AT_ONCE = 128;

/**
 * Pixels that are darker by `offset` than the rounded mean of the box of `block` x `block` pixels (odd, below 256) round them; beyond its border a picture goes on
 * as it ends. The result has a frame of one pixel of 0, so its rows are `width + 2` long; dark pixels are 1.
 */
export function darkerThanAround(
  data: Uint8Array,
  width: number,
  height: number,
  block: number,
  offset: number,
): Int8Array {
  const out = new Int8Array((width + 2) * (height + 2));
  if (width === 0) return out;
  const memory = passingMemory();
  const reach = block >> 1;
  // The mean, rounded, is so much lighter where twice the box's sum is no less than `area * (2 * (value + offset) - 1)`.
  const least = Math.ceil((block * block * (2 * offset - 1)) / 2);
  const rows = Math.min(height, AT_ONCE + block);
  const grey = aligned(AT_ONCE * (width + 2));
  const columns = grey + aligned(rows * width);
  const sums = columns + aligned(2 * (width + block));
  memory.reserve(sums + aligned(4 * (width + block)));
  const { bytes, run } = memory;
  for (let y = 0; y < height; y += AT_ONCE) {
    const end = Math.min(height, y + AT_ONCE);
    const top = Math.max(0, y - reach);
    bytes.set(data.subarray(top * width, Math.min(height, end + reach + 1) * width), grey);
    run.darker(0, grey, columns, sums, width, height, top, y, end, reach, least);
    out.set(bytes.subarray(0, (end - y) * (width + 2)), (y + 1) * (width + 2));
  }
  return out;
}
