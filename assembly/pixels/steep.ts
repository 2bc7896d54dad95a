/** Steep places of a picture in planes: sums of four display values, 2 bytes a cell, row by row. */

/**
 * Squared gradients inside the border, the largest of three planes, 4 bytes a cell; 0 elsewhere.
 *
 * @param rows  First cell inside and the one after the last, 4 bytes each, per row.
 */
export function gradients(out: usize, red: usize, green: usize, blue: usize, rows: usize, w: i32, h: i32): void {
  memory.fill(out, 0, (<usize>(w * h)) << 2);
  const down = (<usize>w) << 1;
  for (let y = 1; y < h - 1; y++) {
    const span = rows + ((<usize>y) << 3);
    const from = max(1, load<i32>(span));
    const count = min(w - 1, load<i32>(span + 4)) - from;
    const k = (<usize>(y * w + from)) << 1;
    raise(out + (k << 1), red + k, down, count);
    raise(out + (k << 1), green + k, down, count);
    raise(out + (k << 1), blue + k, down, count);
  }
}

/** Raises squared gradients of one row to those of a plane: Sobel's, 32 times as large. */
function raise(out: usize, plane: usize, down: usize, count: i32): void {
  for (let left = count; left > 0; left -= 8, out += 32, plane += 16) {
    const upper = plane - down;
    const lower = plane + down;
    const northWest = v128.load(upper - 2);
    const northEast = v128.load(upper + 2);
    const southWest = v128.load(lower - 2);
    const southEast = v128.load(lower + 2);
    const across = i16x8.sub(
      smoothed(northEast, v128.load(plane + 2), southEast),
      smoothed(northWest, v128.load(plane - 2), southWest),
    );
    const along = i16x8.sub(
      smoothed(southWest, v128.load(lower), southEast),
      smoothed(northWest, v128.load(upper), northEast),
    );
    const low = i16x8.shuffle(across, along, 0, 8, 1, 9, 2, 10, 3, 11);
    const high = i16x8.shuffle(across, along, 4, 12, 5, 13, 6, 14, 7, 15);
    raiseFour(out, i32x4.dot_i16x8_s(low, low), left);
    raiseFour(out + 16, i32x4.dot_i16x8_s(high, high), left - 4);
  }
}

function smoothed(a: v128, b: v128, c: v128): v128 {
  return i16x8.add(i16x8.add(a, c), i16x8.shl(b, 1));
}

/** Raises four places, of which so many count. */
function raiseFour(out: usize, squares: v128, count: i32): void {
  const counted = i32x4.gt_s(i32x4.splat(count), i32x4(0, 1, 2, 3));
  v128.store(out, i32x4.max_s(v128.load(out), v128.and(squares, counted)));
}

/** Marks with 255 what is more than a level, with 0 the rest. */
export function above(out: usize, squares: usize, count: i32, level: i32): void {
  const bound = i32x4.splat(level);
  for (const end = out + <usize>count; out < end; out += 16, squares += 64) {
    const a = i32x4.gt_s(v128.load(squares), bound);
    const b = i32x4.gt_s(v128.load(squares, 16), bound);
    const c = i32x4.gt_s(v128.load(squares, 32), bound);
    const d = i32x4.gt_s(v128.load(squares, 48), bound);
    v128.store(out, i8x16.narrow_i16x8_s(i16x8.narrow_i32x4_s(a, b), i16x8.narrow_i32x4_s(c, d)));
  }
}

/**
 * Smooths a plane of values below 2048 by binomial weights, 1 2 1 each way, in place; its border cells stay.
 *
 * @param lines  Room for four rows, a lane behind each of them.
 */
export function smoothPlane(plane: usize, w: i32, h: i32, lines: usize): void {
  if (w < 3 || h < 3) return;
  const down = (<usize>w) << 1;
  const inner = down - 4;
  const apart = down + 16;
  const line = lines + 3 * apart;
  let above = lines;
  let here = lines + apart;
  let below = lines + 2 * apart;
  sumAcross(above, plane, inner);
  sumAcross(here, plane + down, inner);
  for (let y = 1; y < h - 1; y++) {
    plane += down;
    sumAcross(below, plane + down, inner);
    for (let k: usize = 0; k < inner; k += 16) {
      const sum = smoothed(v128.load(above + k), v128.load(here + k), v128.load(below + k));
      v128.store(line + k, i16x8.shr_s(i16x8.add(sum, i16x8.splat(8)), 4));
    }
    memory.copy(plane + 2, line, inner);
    const freed = above;
    above = here;
    here = below;
    below = freed;
  }
}

/** The smoothed sums of a row's inner cells, so many bytes. */
function sumAcross(out: usize, row: usize, bytes: usize): void {
  for (let k: usize = 0; k < bytes; k += 16)
    v128.store(out + k, smoothed(v128.load(row + k), v128.load(row + k, 2), v128.load(row + k, 4)));
}

/** Packs cells that are not 0 into bits, each row beginning a new word of 32. */
export function packed(out: usize, cells: usize, w: i32, h: i32): void {
  const none = i8x16.splat(0);
  for (let y = 0; y < h; y++, cells += <usize>w)
    for (let x = 0; x < w; x += 32, out += 4) {
      const at = cells + <usize>x;
      const low = i8x16.bitmask(i8x16.ne(v128.load(at), none));
      const word = low | (i8x16.bitmask(i8x16.ne(v128.load(at, 16), none)) << 16);
      const left = w - x;
      store<i32>(out, left < 32 ? word & ((1 << left) - 1) : word);
    }
}
