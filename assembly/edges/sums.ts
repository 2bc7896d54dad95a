import { add, both, mul, shared, sub } from './lanes';
import * as at from './layout';
import { BY_INSIDE, BY_OFFSET, BY_OUTSIDE, CELL, lookAt, PART, RESIDUAL, SI, SO, WEIGHT } from './look';

/** Normal equations of one segment's five unknowns; returns the weighted sum of squares. What else is seen of the pixels is kept where asked. */
// Long because it is hot: the sums stand in local numbers over all pixels of a segment, in pairs of rows.
export function accumulate(count: i32, robust: bool, keep: bool): f64 {
  lookAt(count, robust, keep);
  const zero = both(0);
  let sumG0 = zero;
  let g1g2 = zero;
  let g3g4 = zero;
  let a00 = zero;
  let a10a20 = zero;
  let a30a40 = zero;
  let a11a21 = zero;
  let a31a41 = zero;
  let a22 = zero;
  let a32a42 = zero;
  let a33a43 = zero;
  let a44 = zero;
  const end = at.SEEN_PIXELS + <usize>count * at.SEEN;
  for (let o = at.SEEN_PIXELS; o < end; o += at.SEEN) {
    const w = shared(o + WEIGHT);
    // What is left and the offset; level and slope inside; level and slope outside. The latter of two unknowns is weighed.
    const w0 = mul(w, v128.load(o));
    const w12 = mul(w, v128.load(o, BY_INSIDE));
    const w34 = mul(w, v128.load(o, BY_OUTSIDE));
    const r = shared(o);
    sumG0 = add(sumG0, mul(w0, r));
    g1g2 = add(g1g2, mul(w12, r));
    g3g4 = add(g3g4, mul(w34, r));
    const row0 = shared(o + BY_OFFSET);
    a00 = add(a00, mul(w0, row0));
    a10a20 = add(a10a20, mul(w12, row0));
    a30a40 = add(a30a40, mul(w34, row0));
    const row1 = shared(o + BY_INSIDE);
    a11a21 = add(a11a21, mul(w12, row1));
    a31a41 = add(a31a41, mul(w34, row1));
    const row2 = shared(o + BY_INSIDE + 8);
    a22 = add(a22, mul(w12, row2));
    a32a42 = add(a32a42, mul(w34, row2));
    a33a43 = add(a33a43, mul(w34, shared(o + BY_OUTSIDE)));
    a44 = add(a44, mul(w34, shared(o + BY_OUTSIDE + 8)));
  }
  store<f64>(cellOf(0, 0), f64x2.extract_lane(a00, 1));
  putDown(1, 0, a10a20);
  putDown(3, 0, a30a40);
  putDown(1, 1, a11a21);
  putDown(3, 1, a31a41);
  store<f64>(cellOf(2, 2), f64x2.extract_lane(a22, 1));
  putDown(3, 2, a32a42);
  putDown(3, 3, a33a43);
  store<f64>(cellOf(4, 4), f64x2.extract_lane(a44, 1));
  store<f64>(at.GRADIENT, f64x2.extract_lane(sumG0, 1));
  v128.store(at.GRADIENT, g1g2, 8);
  v128.store(at.GRADIENT, g3g4, 24);
  return f64x2.extract_lane(sumG0, 0);
}

export function cellOf(row: i32, column: i32): usize {
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
  const zero = both(0);
  let bySlope = zero;
  let byInside = zero;
  let bySlopeInside = zero;
  let byOutside = zero;
  let bySlopeOutside = zero;
  let pull = zero;
  let own = zero;
  let cross: f64 = 0;
  const end = at.SEEN_PIXELS + <usize>count * at.SEEN;
  for (let o = at.SEEN_PIXELS; o < end; o += at.SEEN) {
    const w = shared(o + WEIGHT);
    const inside = mul(w, shared(o + BY_INSIDE));
    const outside = mul(w, shared(o + BY_OUTSIDE));
    const cell = pairs + 2 * <usize>load<u32>(o, CELL);
    const c = v128.load(cell);
    const v = add(c, mul(shared(o + PART), sub(v128.load(cell, 16), c)));
    bySlope = add(bySlope, mul(mul(w, shared(o + BY_OFFSET)), v));
    byInside = add(byInside, mul(inside, v));
    bySlopeInside = add(bySlopeInside, mul(mul(inside, shared(o + SI)), v));
    byOutside = add(byOutside, mul(outside, v));
    bySlopeOutside = add(bySlopeOutside, mul(mul(outside, shared(o + SO)), v));
    if (first > 2) continue;
    const wv = mul(w, v);
    pull = add(pull, mul(wv, shared(o + RESIDUAL)));
    own = add(own, mul(wv, v));
    cross += f64x2.extract_lane(wv, 1) * f64x2.extract_lane(v, 0);
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
  store<f64>(cellOf(row + 1, row), cross);
}
