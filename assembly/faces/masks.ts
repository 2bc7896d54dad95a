import * as at from './layout';

/**
 * A mask of `size` x `size` pixels, 1 or 0, spread by a square of `by` pixels each way: grown, or else shrunk. Outside the picture it is 0.
 *
 * @param between  Room for the mask, and {@link SPARE} bytes behind it, as behind `out`.
 */
export function spread(size: i32, mask: usize, by: usize, grow: bool, between: usize, out: usize): void {
  const row = <usize>size;
  const wide = by << 1;
  memory.fill(at.WAYS, 0, row + wide + SPARE);
  for (let y: usize = 0; y < row; y++) {
    memory.copy(at.WAYS + by, mask + y * row, row);
    for (let x: usize = 0; x < row; x += 16) v128.store(between + y * row + x, together(at.WAYS + x, 1, wide, grow));
  }
  for (let y: usize = 0; y < row; y++) {
    const first = y < by ? 0 : y - by;
    const last = min(row - 1, y + by);
    // A row that lies outside is 0.
    const empty = !grow && last - first < wide;
    for (let x: usize = 0; x < row; x += 16)
      v128.store(
        out + y * row + x,
        empty ? i64x2.splat(0) : together(between + first * row + x, row, last - first, grow),
      );
  }
}

/** Bytes beyond an end that are written or looked at. */
const SPARE: usize = 16;

/** Sixteen pixels and so many more, `step` apart: any of them, or all. */
function together(place: usize, step: usize, more: usize, any: bool): v128 {
  let sum = v128.load(place);
  const end = place + step * more;
  if (any) for (let p = place + step; p <= end; p += step) sum = v128.or(sum, v128.load(p));
  else for (let p = place + step; p <= end; p += step) sum = v128.and(sum, v128.load(p));
  return sum;
}
