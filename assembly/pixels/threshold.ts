/** Which pixels are darker than the mean of the box round them. */

/**
 * Marks rows from `y` to `end`: 1 where a pixel is dark, 0 elsewhere and on the frame on both sides of each row. Room for a lane is needed behind all that is written.
 *
 * @param out      Rows marked, `width + 2` bytes each.
 * @param grey     Rows `top` and on of the picture, as many as the boxes reach.
 * @param columns  Room for 2 bytes a column, `reach` of them on both sides too, and a lane.
 * @param sums     Room for 4 bytes of each of these, and a lane.
 * @param least    By how much a box's sum is larger than as often a dark pixel's value, at least.
 */
export function darker(
  out: usize,
  grey: usize,
  columns: usize,
  sums: usize,
  width: i32,
  height: i32,
  top: i32,
  y: i32,
  end: i32,
  reach: i32,
  least: i32,
): void {
  const inner = columns + ((<usize>reach) << 1);
  const length = <usize>width;
  const block = 2 * reach + 1;
  memory.fill(inner, 0, length << 1);
  for (let j = y - reach; j <= y + reach; j++) addRow(inner, rowAt(grey, j, top, width, height), length);
  store<u8>(out, 0);
  for (out++; y < end; y++, out += length + 2) {
    sumUp(sums, columns, length, <usize>reach);
    markRow(out, rowAt(grey, y, top, width, height), sums, length, (<usize>block) << 2, block * block, least);
    // A lane reaches beyond the row's end.
    store<u16>(out + length, 0);
    moveDown(inner, rowAt(grey, y + reach + 1, top, width, height), rowAt(grey, y - reach, top, width, height), length);
  }
}

function rowAt(grey: usize, y: i32, top: i32, width: i32, height: i32): usize {
  return grey + <usize>(max(0, min(height - 1, y)) - top) * <usize>width;
}

function addRow(columns: usize, row: usize, width: usize): void {
  for (let x: usize = 0; x < width; x += 8) {
    const o = columns + (x << 1);
    v128.store(o, i16x8.add(v128.load(o), v128.load8x8_u(row + x)));
  }
}

function moveDown(columns: usize, entering: usize, leaving: usize, width: usize): void {
  for (let x: usize = 0; x < width; x += 8) {
    const o = columns + (x << 1);
    const change = i16x8.sub(v128.load8x8_u(entering + x), v128.load8x8_u(leaving + x));
    v128.store(o, i16x8.add(v128.load(o), change));
  }
}

/** What stands left of each column, summed up: beyond its ends a row goes on as it ends. */
function sumUp(sums: usize, columns: usize, width: usize, reach: usize): void {
  const first = load<u16>(columns + (reach << 1));
  const last = load<u16>(columns + ((reach + width - 1) << 1));
  for (let k: usize = 0, right = columns + ((reach + width) << 1); k < reach; k++) {
    store<u16>(columns + (k << 1), first);
    store<u16>(right + (k << 1), last);
  }
  const end = width + 2 * reach;
  const none = i32x4.splat(0);
  let sum = none;
  store<u32>(sums, 0);
  for (let k: usize = 0; k < end; k += 8) {
    const here = v128.load(columns + (k << 1));
    const o = sums + 4 + (k << 2);
    sum = i32x4.add(i32x4.shuffle(sum, sum, 3, 3, 3, 3), running(i32x4.extend_low_i16x8_u(here), none));
    v128.store(o, sum);
    sum = i32x4.add(i32x4.shuffle(sum, sum, 3, 3, 3, 3), running(i32x4.extend_high_i16x8_u(here), none));
    v128.store(o, sum, 16);
  }
}

/** Sums of each lane and those before it. */
function running(a: v128, none: v128): v128 {
  const pairs = i32x4.add(a, i32x4.shuffle(none, a, 0, 4, 5, 6));
  return i32x4.add(pairs, i32x4.shuffle(none, pairs, 0, 1, 4, 5));
}

function markRow(out: usize, row: usize, sums: usize, width: usize, block: usize, area: i32, least: i32): void {
  const times = i32x4.splat(area);
  const bound = i32x4.splat(least);
  const one = i8x16.splat(1);
  for (let x: usize = 0; x < width; x += 16) {
    const values = v128.load(row + x);
    const low = i16x8.extend_low_i8x16_u(values);
    const high = i16x8.extend_high_i8x16_u(values);
    const at = sums + (x << 2);
    const a = isDark(at, block, i32x4.extend_low_i16x8_u(low), times, bound);
    const b = isDark(at + 16, block, i32x4.extend_high_i16x8_u(low), times, bound);
    const c = isDark(at + 32, block, i32x4.extend_low_i16x8_u(high), times, bound);
    const d = isDark(at + 48, block, i32x4.extend_high_i16x8_u(high), times, bound);
    const all = i8x16.narrow_i16x8_s(i16x8.narrow_i32x4_s(a, b), i16x8.narrow_i32x4_s(c, d));
    v128.store(out + x, v128.and(all, one));
  }
}

function isDark(at: usize, block: usize, value: v128, times: v128, least: v128): v128 {
  const box = i32x4.sub(v128.load(at + block), v128.load(at));
  return i32x4.ge_s(i32x4.sub(box, i32x4.mul(value, times)), least);
}
