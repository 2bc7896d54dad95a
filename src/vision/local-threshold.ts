/**
 * Pixels that are darker by `offset` than the rounded mean of the box of `block` x `block` pixels (odd) round them; beyond its border a picture goes on
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
  const reach = block >> 1;
  const columns = new Int32Array(width);
  for (let j = -reach; j <= reach; j++) addRow(columns, data, width * clamped(j, height), 1);
  for (let y = 0; y < height; y++) {
    markRow(out, (y + 1) * (width + 2) + 1, data, y * width, columns, block, offset);
    addRow(columns, data, width * clamped(y + reach + 1, height), 1);
    addRow(columns, data, width * clamped(y - reach, height), -1);
  }
  return out;
}

const clamped = (k: number, count: number): number => Math.min(count - 1, Math.max(0, k));

function addRow(columns: Int32Array, data: Uint8Array, from: number, times: 1 | -1): void {
  for (let x = 0, k = from; x < columns.length; x++, k++) columns[x]! += times * data[k]!;
}

/** Marks one row by the sums of its columns. The mean, rounded, is so much lighter where twice the sum is no less than `area * (2 * (value + offset) - 1)`. */
function markRow(
  out: Int8Array,
  to: number,
  data: Uint8Array,
  from: number,
  columns: Int32Array,
  block: number,
  offset: number,
): void {
  const width = columns.length;
  const reach = block >> 1;
  const area = block * block;
  let sum = 0;
  for (let i = -reach; i <= reach; i++) sum += columns[clamped(i, width)]!;
  for (let x = 0; x < width; x++) {
    if (2 * sum >= area * (2 * (data[from + x]! + offset) - 1)) out[to + x] = 1;
    const [next, last] = [x + reach + 1, x - reach];
    sum += columns[next < width ? next : width - 1]! - columns[last > 0 ? last : 0]!;
  }
}
