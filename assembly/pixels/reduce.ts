/** Blocks of pixels made one, row by row. Four pixels stand for a block: its first, and those so many bytes to the right of it and in the lower row. */

/** Sums of a row of blocks' pixels, by colours of 2 bytes a block; a block begins `across` bytes after the one before it. */
export function sumRow(
  red: usize,
  green: usize,
  blue: usize,
  upper: usize,
  lower: usize,
  count: usize,
  across: usize,
  right: usize,
): void {
  for (let k: usize = 0; k < count << 1; k += 2, upper += across, lower += across) {
    const a = i16x8.add(v128.load8x8_u(upper), v128.load8x8_u(upper + right));
    const sum = i16x8.add(a, i16x8.add(v128.load8x8_u(lower), v128.load8x8_u(lower + right)));
    v128.store16_lane(red + k, sum, 0);
    v128.store16_lane(green + k, sum, 1);
    v128.store16_lane(blue + k, sum, 2);
  }
}

/** Means of a row of blocks' green, rounded down; of one pixel or two by two. */
export function greenRow(out: usize, upper: usize, lower: usize, count: usize, channels: usize, factor: usize): void {
  if (factor == 1)
    for (let x: usize = 0; x < count; x += 16) v128.store(out + x, greens(upper + x * channels, channels));
  else pairs(out, upper, lower, count, channels);
}

function pairs(out: usize, upper: usize, lower: usize, count: usize, channels: usize): void {
  for (let x: usize = 0; x < count; x += 8) {
    const o = 2 * x * channels;
    const a = i16x8.extadd_pairwise_i8x16_u(greens(upper + o, channels));
    const b = i16x8.extadd_pairwise_i8x16_u(greens(lower + o, channels));
    const mean = i16x8.shr_u(i16x8.add(a, b), 2);
    v128.store64_lane(out + x, i8x16.narrow_i16x8_u(mean, mean), 0);
  }
}

/** Green of sixteen pixels side by side. */
function greens(from: usize, channels: usize): v128 {
  const a = v128.load(from);
  const b = v128.load(from, 16);
  const c = v128.load(from, 32);
  if (channels == 3) {
    const ab = i8x16.shuffle(a, b, 1, 4, 7, 10, 13, 16, 19, 22, 25, 28, 31, 0, 0, 0, 0, 0);
    return i8x16.shuffle(ab, c, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 18, 21, 24, 27, 30);
  }
  const ab = i8x16.shuffle(a, b, 1, 5, 9, 13, 17, 21, 25, 29, 0, 0, 0, 0, 0, 0, 0, 0);
  const cd = i8x16.shuffle(c, v128.load(from, 48), 1, 5, 9, 13, 17, 21, 25, 29, 0, 0, 0, 0, 0, 0, 0, 0);
  return i64x2.shuffle(ab, cd, 0, 2);
}
