import * as at from './layout';

/** Cells along a look's side, and all; samples of a cell. */
const SIDE: usize = 32;
const CELLS: usize = SIDE * SIDE;
const SAMPLES: usize = 9;
/** Bytes of a cell: three numbers in single precision, and whether it is seen (1 or 0). */
const CELL: usize = 16;

/**
 * Correlation of two looks over the cells that both show, the second's `shift` cells on; NaN where these are fewer than needed.
 *
 * @param list  Indices of the first look's cells that are seen, `count` of them, two bytes each.
 */
export function correlation(first: usize, list: usize, count: i32, second: usize, shift: i32, needed: i32): f64 {
  // Of the first's light times itself, and the second's; and of one times the other, twice: each sum in the order of its cells and channels.
  let own = f64x2.splat(0);
  let both = own;
  let n = 0;
  const from = second + <usize>shift * CELL;
  const end = list + ((<usize>count) << 1);
  for (; list < end; list += 2) {
    const cell = (<usize>load<u16>(list)) << 4;
    if (load<f32>(from + cell, 12) == 0) continue;
    n++;
    const p = v128.load(first + cell);
    const q = v128.load(from + cell);
    const redGreen = i32x4.shuffle(p, q, 0, 4, 1, 5);
    const red = f64x2.promote_low_f32x4(redGreen);
    const green = f64x2.promote_low_f32x4(i64x2.shuffle(redGreen, redGreen, 1, 1));
    const blue = f64x2.promote_low_f32x4(i32x4.shuffle(p, q, 2, 6, 2, 6));
    own = f64x2.add(f64x2.add(f64x2.add(own, f64x2.mul(red, red)), f64x2.mul(green, green)), f64x2.mul(blue, blue));
    both = f64x2.add(f64x2.add(f64x2.add(both, crossed(red)), crossed(green)), crossed(blue));
  }
  const pp = f64x2.extract_lane(own, 0);
  const qq = f64x2.extract_lane(own, 1);
  return n < needed || !(pp > 0 && qq > 0) ? NaN : f64x2.extract_lane(both, 0) / Math.sqrt(pp * qq);
}

/** One number times the other, twice. */
function crossed(pair: v128): v128 {
  return f64x2.mul(pair, i64x2.shuffle(pair, pair, 1, 0));
}

/**
 * Mean light of each cell of a picture, and whether so many of its samples are seen as needed; 0 where not.
 *
 * @param places  Indices of the pixels where samples lie, {@link SAMPLES} for each cell; below 0 outside the picture.
 */
export function reduced(light: usize, mask: usize, places: usize, cells: usize, needed: i32): void {
  const ends = cells + CELL * CELLS;
  for (; cells < ends; cells += CELL) {
    let sum = f32x4.splat(0);
    let count = 0;
    for (const end = places + 4 * SAMPLES; places < end; places += 4) {
      const p = load<i32>(places);
      if (p < 0 || load<u8>(mask + <usize>p) == 0) continue;
      count++;
      // What stands behind a pixel's blue is taken along and written over.
      sum = f32x4.add(sum, v128.load(light + 12 * <usize>p));
    }
    v128.store(
      cells,
      count < needed ? f32x4.splat(0) : f32x4.replace_lane(f32x4.div(sum, f32x4.splat(<f32>count)), 3, 1),
    );
  }
}

/** Leaves out the rim of the seen cells, so many cells wide, and those at the picture's edge. */
export function drawnIn(cells: usize, rim: i32): void {
  let now: usize = at.OFF;
  let before: usize = now + CELLS;
  for (let k: usize = 0; k < CELLS; k++) store<u8>(now + k, <u8>load<f32>(cells + k * CELL, 12));
  for (let r = 0; r < rim; r++) {
    const last = now;
    now = before;
    before = last;
    memory.fill(now, 0, CELLS);
    for (let k = SIDE; k < CELLS - SIDE; k += SIDE) {
      v128.store(now + k, v128.and(kept(before + k), i8x16(0, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1)));
      v128.store(now + k, v128.and(kept(before + k + 16), i8x16(1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0)), 16);
    }
  }
  for (let k: usize = 0; k < CELLS; k++) if (load<u8>(now + k) == 0) v128.store(cells + k * CELL, f32x4.splat(0));
}

/** Of sixteen cells those that are seen with those above, below and on either side. */
function kept(place: usize): v128 {
  const across = v128.and(v128.load(place - 1), v128.load(place + 1));
  return v128.and(v128.and(v128.load(place), across), v128.and(v128.load(place - SIDE), v128.load(place + SIDE)));
}
