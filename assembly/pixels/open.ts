/** Fields of cells that are 0 or 1, row by row, within a frame one cell wide. */

/**
 * Opens what is solid by a disc of a radius, cells.
 *
 * @param core      Becomes 1 where that leaves it; the frame of `solid` is 0.
 * @param distance  Room for 4 bytes a cell.
 * @param line      Room for 4 bytes a cell of a row.
 */
export function opened(core: usize, solid: usize, distance: usize, line: usize, w: i32, h: i32, radius: f64): void {
  const count = w * h;
  let bound = <f32>radius;
  // As a distance in single precision is compared with it: no larger.
  if (<f64>bound > radius) bound = reinterpret<f32>(reinterpret<i32>(bound) - 1);
  measure(distance, solid, 0, line, w, h);
  mark(core, distance, bound, count, true);
  measure(distance, core, 1, line, w, h);
  mark(core, distance, bound, count, false);
  for (let k: usize = 0; k < <usize>count; k += 16)
    v128.store(core + k, v128.and(v128.load(core + k), v128.load(solid + k)));
}

/** Distance of each cell inside the frame to the next cell of a value, about: steps of 1 and 4/3. Source: Borgefors 1986, chamfer 3-4. */
function measure(distance: usize, mask: usize, value: i32, line: usize, w: i32, h: i32): void {
  begin(distance, mask, value, w * h, <f32>(w + h));
  const down = (<usize>w) << 2;
  const inner = (<usize>(w - 2)) << 2;
  for (let y = 1; y < h - 1; y++) {
    const row = distance + <usize>y * down + 4;
    fromRow(line, row, row - down, inner);
    onwards(row, line, inner);
  }
  for (let y = h - 2; y > 0; y--) {
    const row = distance + <usize>y * down + 4;
    fromRow(line, row, row + down, inner);
    back(row, line, inner);
  }
}

/** 0 where the mask has the value, else far. */
function begin(distance: usize, mask: usize, value: i32, count: i32, far: f32): void {
  const sought = i8x16.splat(<i8>value);
  const most = f32x4.splat(far);
  for (const end = mask + <usize>count; mask < end; mask += 16, distance += 64) {
    const others = i8x16.ne(v128.load(mask), sought);
    const low = i16x8.extend_low_i8x16_s(others);
    const high = i16x8.extend_high_i8x16_s(others);
    v128.store(distance, v128.and(most, i32x4.extend_low_i16x8_s(low)));
    v128.store(distance, v128.and(most, i32x4.extend_high_i16x8_s(low)), 16);
    v128.store(distance, v128.and(most, i32x4.extend_low_i16x8_s(high)), 32);
    v128.store(distance, v128.and(most, i32x4.extend_high_i16x8_s(high)), 48);
  }
}

/** What a row's cells are, or have from the row beside it. */
function fromRow(out: usize, row: usize, beside: usize, inner: usize): void {
  const one = f32x4.splat(1);
  const slant = f64x2.splat(4.0 / 3.0);
  for (let k: usize = 0; k < inner; k += 16) {
    const corner = f32x4.pmin(v128.load(beside + k - 4), v128.load(beside + k + 4));
    const low = f64x2.add(f64x2.promote_low_f32x4(corner), slant);
    const high = f64x2.add(f64x2.promote_low_f32x4(i64x2.shuffle(corner, corner, 1, 1)), slant);
    const slanted = i64x2.shuffle(f32x4.demote_f64x2_zero(low), f32x4.demote_f64x2_zero(high), 0, 2);
    const straight = f32x4.add(v128.load(beside + k), one);
    v128.store(out + k, f32x4.pmin(v128.load(row + k), f32x4.pmin(straight, slanted)));
  }
}

/** What they have from the cell before each. */
function onwards(row: usize, line: usize, inner: usize): void {
  let before = load<f32>(row - 4);
  for (let k: usize = 0; k < inner; k += 4) {
    const here = load<f32>(line + k);
    before += 1;
    before = before < here ? before : here;
    store<f32>(row + k, before);
  }
}

function back(row: usize, line: usize, inner: usize): void {
  let behind = load<f32>(row + inner);
  for (let k = inner; k > 0; k -= 4) {
    const here = load<f32>(line + k - 4);
    behind += 1;
    behind = behind < here ? behind : here;
    store<f32>(row + k - 4, behind);
  }
}

/** 1 where a distance is more than a bound, or where it is not. */
function mark(out: usize, distance: usize, bound: f32, count: i32, more: bool): void {
  const least = f32x4.splat(bound);
  const one = i8x16.splat(1);
  const other = i8x16.splat(more ? 0 : 1);
  for (const end = out + <usize>count; out < end; out += 16, distance += 64) {
    const a = f32x4.gt(v128.load(distance), least);
    const b = f32x4.gt(v128.load(distance, 16), least);
    const c = f32x4.gt(v128.load(distance, 32), least);
    const d = f32x4.gt(v128.load(distance, 48), least);
    const marks = i8x16.narrow_i16x8_s(i16x8.narrow_i32x4_s(a, b), i16x8.narrow_i32x4_s(c, d));
    v128.store(out, v128.xor(v128.and(marks, one), other));
  }
}
