import * as at from './layout';

/** Where a grid's cells end that lie between others, and grid cells per px from {@link REACH} px inside on. */
const LAST: f64 = at.CELLS - 2;
const PER_PX: f64 = 4;
const REACH: f64 = 9;

/** What was seen of a pixel, in order: its value less what the segment's unknowns make of the profile there; share of outside, slope of the
 * profile per px, the distances that count inside and outside, its weight, the cell of the grid and the place within it. */
const RESIDUAL: usize = 0;
const F: usize = 8;
const SLOPE: usize = 16;
const SI: usize = 24;
const SO: usize = 32;
const WEIGHT: usize = 40;
const CELL: usize = 48;
const PART: usize = 56;

/** Normal equations of one segment's five unknowns; returns the weighted sum of squares. What is seen of the pixels is kept where asked. */
// Long because it is hot: the sums stand in local numbers over all pixels of a segment, in pairs of rows.
export function accumulate(count: i32, robust: bool, keep: bool): f64 {
  const inside = load<f64>(at.VARIANCES);
  const outside = load<f64>(at.VARIANCES, 8);
  const l0 = load<f64>(at.LOCAL);
  const l1 = load<f64>(at.LOCAL, 8);
  const l2 = load<f64>(at.LOCAL, 16);
  const l3 = load<f64>(at.LOCAL, 24);
  const l4 = load<f64>(at.LOCAL, 32);
  let a00a10 = f64x2.splat(0);
  let a20a30 = f64x2.splat(0);
  let a01a11 = f64x2.splat(0);
  let a21a31 = f64x2.splat(0);
  let a22a32 = f64x2.splat(0);
  let a23a33 = f64x2.splat(0);
  let a40a41 = f64x2.splat(0);
  let a42a43 = f64x2.splat(0);
  let a44g4 = f64x2.splat(0);
  let g0g1 = f64x2.splat(0);
  let g2g3 = f64x2.splat(0);
  let sum: f64 = 0;
  const end = at.PIXELS + <usize>count * at.PIXEL;
  for (let m = at.PIXELS, o = at.SEEN_PIXELS; m < end; m += at.PIXEL, o += at.SEEN) {
    const s = load<f64>(m) - l0;
    // A convex outline loses light to blur: its half level moves in.
    const q = (s + load<f64>(m, 16) + REACH) * PER_PX;
    let value: f64;
    let slope: f64 = 0;
    let cell: usize = 0;
    let t: f64 = 0;
    if (q <= 1) value = load<f64>(at.VALUE);
    else if (q >= LAST) {
      value = load<f64>(at.VALUE + ((at.CELLS - 1) << 3));
      cell = (at.CELLS - 2) << 3;
      t = 1;
    } else {
      // Cubic interpolation after Catmull and Rom.
      const i = <i32>q;
      t = q - <f64>i;
      cell = (<usize>i) << 3;
      const p0 = load<f64>(at.VALUE + cell - 8);
      const p1 = load<f64>(at.VALUE + cell);
      const p2 = load<f64>(at.VALUE + cell, 8);
      const p3 = load<f64>(at.VALUE + cell, 16);
      const a = p2 - p0;
      const b = 2 * p0 - 5 * p1 + 4 * p2 - p3;
      const c = 3 * (p1 - p2) + p3 - p0;
      value = p1 + 0.5 * t * (a + t * (b + t * c));
      slope = (0.5 * a + t * b + 1.5 * t * t * c) * PER_PX;
    }
    const step = load<f64>(at.STEP + cell);
    const f = step + t * (load<f64>(at.STEP + cell, 8) - step);
    const si: f64 = s < 0 ? s : 0;
    const so: f64 = s > 0 ? s : 0;
    const r = load<f64>(m, 8) - value - (1 - f) * (l1 + l2 * si) - f * (l3 + l4 * so);
    const variance = inside + (outside - inside) * f;
    const weight: f64 = robust ? 1 / (1 + (r * r) / (16 * variance)) : 1;
    const w = weight / variance;
    if (keep) {
      store<f64>(o, r);
      store<f64>(o, f, F);
      store<f64>(o, slope, SLOPE);
      store<f64>(o, si, SI);
      store<f64>(o, so, SO);
      store<f64>(o, w, WEIGHT);
      store<u32>(o, <u32>cell, CELL);
      store<f64>(o, t, PART);
    }
    sum += w * r * r;
    const r1 = 1 - f;
    const row0 = f64x2.splat(-slope);
    const row1 = f64x2.splat(r1);
    const row2 = f64x2.splat(r1 * si);
    const row3 = f64x2.splat(f);
    const row4 = f * so;
    const ws = f64x2.splat(w);
    const rows01 = i64x2.shuffle(row0, row1, 0, 2);
    const rows23 = i64x2.shuffle(row2, row3, 0, 2);
    const w01 = f64x2.mul(ws, rows01);
    const w23 = f64x2.mul(ws, rows23);
    const w4 = f64x2.splat(w * row4);
    const left = f64x2.splat(r);
    a00a10 = f64x2.add(a00a10, f64x2.mul(w01, row0));
    a20a30 = f64x2.add(a20a30, f64x2.mul(w23, row0));
    a01a11 = f64x2.add(a01a11, f64x2.mul(w01, row1));
    a21a31 = f64x2.add(a21a31, f64x2.mul(w23, row1));
    a22a32 = f64x2.add(a22a32, f64x2.mul(w23, row2));
    a23a33 = f64x2.add(a23a33, f64x2.mul(w23, row3));
    a40a41 = f64x2.add(a40a41, f64x2.mul(w4, rows01));
    a42a43 = f64x2.add(a42a43, f64x2.mul(w4, rows23));
    a44g4 = f64x2.add(a44g4, f64x2.mul(w4, f64x2.replace_lane(left, 0, row4)));
    g0g1 = f64x2.add(g0g1, f64x2.mul(w01, left));
    g2g3 = f64x2.add(g2g3, f64x2.mul(w23, left));
  }
  putDown(0, 0, a00a10);
  putDown(2, 0, a20a30);
  putDown(0, 1, a01a11);
  putDown(2, 1, a21a31);
  putDown(2, 2, a22a32);
  putDown(2, 3, a23a33);
  v128.store(cellOf(4, 0), a40a41);
  v128.store(cellOf(4, 2), a42a43);
  store<f64>(cellOf(4, 4), f64x2.extract_lane(a44g4, 0));
  v128.store(at.GRADIENT, g0g1);
  v128.store(at.GRADIENT, g2g3, 16);
  store<f64>(at.GRADIENT, f64x2.extract_lane(a44g4, 1), 32);
  return sum;
}

function cellOf(row: i32, column: i32): usize {
  return at.MATRIX + ((<usize>(row * at.SIZE + column)) << 3);
}

/** Puts a pair into two rows of a column. */
function putDown(row: i32, column: i32, pair: v128): void {
  store<f64>(cellOf(row, column), f64x2.extract_lane(pair, 0));
  store<f64>(cellOf(row + 1, column), f64x2.extract_lane(pair, 1));
}

/** The same with so many changes: their products with the unknowns, and with each other those of the look (the first three) alone. */
export function withChanges(count: i32, changes: i32): f64 {
  const sum = accumulate(count, true, true);
  for (let t = 0; t < changes; t += 2) addChanges(count, t);
  return sum;
}

/** Two changes side by side. */
function addChanges(count: i32, first: i32): void {
  const pairs = at.CHANGES + <usize>first * at.GRID;
  const zero = f64x2.splat(0);
  let bySlope = zero;
  let byInside = zero;
  let bySlopeInside = zero;
  let byOutside = zero;
  let bySlopeOutside = zero;
  let pull = zero;
  let own = zero;
  let both: f64 = 0;
  const end = at.SEEN_PIXELS + <usize>count * at.SEEN;
  for (let o = at.SEEN_PIXELS; o < end; o += at.SEEN) {
    const f = load<f64>(o, F);
    const w = load<f64>(o, WEIGHT);
    const w1 = w * (1 - f);
    const wf = w * f;
    const cell = pairs + 2 * <usize>load<u32>(o, CELL);
    const c = v128.load(cell);
    const v = f64x2.add(c, f64x2.mul(v128.load64_splat(o, PART), f64x2.sub(v128.load(cell, 16), c)));
    bySlope = f64x2.sub(bySlope, f64x2.mul(f64x2.splat(w * load<f64>(o, SLOPE)), v));
    byInside = f64x2.add(byInside, f64x2.mul(f64x2.splat(w1), v));
    bySlopeInside = f64x2.add(bySlopeInside, f64x2.mul(f64x2.splat(w1 * load<f64>(o, SI)), v));
    byOutside = f64x2.add(byOutside, f64x2.mul(f64x2.splat(wf), v));
    bySlopeOutside = f64x2.add(bySlopeOutside, f64x2.mul(f64x2.splat(wf * load<f64>(o, SO)), v));
    if (first > 2) continue;
    const wv = f64x2.mul(f64x2.splat(w), v);
    pull = f64x2.add(pull, f64x2.mul(wv, v128.load64_splat(o, RESIDUAL)));
    own = f64x2.add(own, f64x2.mul(wv, v));
    both += f64x2.extract_lane(wv, 1) * f64x2.extract_lane(v, 0);
  }
  const row = 5 + first;
  putDown(row, 0, bySlope);
  putDown(row, 1, byInside);
  putDown(row, 2, bySlopeInside);
  putDown(row, 3, byOutside);
  putDown(row, 4, bySlopeOutside);
  if (first > 2) return;
  v128.store(at.GRADIENT + ((<usize>row) << 3), pull);
  store<f64>(cellOf(row, row), f64x2.extract_lane(own, 0));
  store<f64>(cellOf(row + 1, row + 1), f64x2.extract_lane(own, 1));
  store<f64>(cellOf(row + 1, row), both);
}
