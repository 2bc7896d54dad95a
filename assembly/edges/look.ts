import { add, both, firsts, mul, seconds, shared, sub } from './lanes';
import * as at from './layout';

/** Last cell of a grid that a place may lie in, and grid cells per px from {@link REACH} px inside on. */
const LAST: i32 = at.CELLS - 2;
const PER_PX: f64 = 4;
const REACH: f64 = 9;

/** What is seen of a pixel: its value less what the segment's unknowns make of the profile there, and how that changes with each of them, in pairs. */
export const RESIDUAL: usize = 0;
export const BY_OFFSET: usize = 8;
export const BY_INSIDE: usize = 16;
export const BY_OUTSIDE: usize = 32;
/** Its weight, and the profile's slope per px; the distances that count inside and outside; the place within a cell, and the cell's in a grid. */
export const WEIGHT: usize = 48;
export const SI: usize = 64;
export const SO: usize = 72;
export const PART: usize = 80;
export const CELL: usize = 88;

/** Works out what lies between the profile's cells: cubic after Catmull and Rom; beyond them it goes on as it ends. */
export function takeCurves(): void {
  const flat = both(0);
  putCurve(0, v128.load64_zero(at.VALUE), flat);
  for (let i = 1; i < LAST; i += 2) {
    const value = at.VALUE + ((<usize>i) << 3);
    const p0 = v128.load(value - 8);
    const p1 = v128.load(value);
    const p2 = v128.load(value, 8);
    const p3 = v128.load(value, 16);
    const a = sub(p2, p0);
    const b = sub(add(sub(mul(both(2), p0), mul(both(5), p1)), mul(both(4), p2)), p3);
    const c = sub(add(mul(both(3), sub(p1, p2)), p3), p0);
    putCurve(i, firsts(p1, a), firsts(b, c));
    putCurve(i + 1, seconds(p1, a), seconds(b, c));
  }
  putCurve(LAST, v128.load64_zero(at.VALUE + ((<usize>LAST + 1) << 3)), flat);
}

/** Puts down a cell's value and cubic, and its share of outside. */
function putCurve(cell: i32, valueAndFirst: v128, others: v128): void {
  const o = at.CURVES + <usize>cell * at.CURVE;
  const step = at.STEP + ((<usize>cell) << 3);
  v128.store(o, valueAndFirst);
  v128.store(o, others, 16);
  store<f64>(o, load<f64>(step), 32);
  store<f64>(o, load<f64>(step, 8) - load<f64>(step), 40);
}

/** Looks at the pixels two by two: what each departs by from the profile as the unknowns have it, and what it weighs. */
// Long because it is hot: what is worked out of two pixels stands in local numbers.
export function lookAt(count: i32, robust: bool, keep: bool): void {
  const inside = shared(at.VARIANCES);
  const wider = both(load<f64>(at.VARIANCES, 8) - load<f64>(at.VARIANCES));
  const l0 = shared(at.LOCAL);
  const l1 = shared(at.LOCAL + 8);
  const l2 = shared(at.LOCAL + 16);
  const l3 = shared(at.LOCAL + 24);
  const l4 = shared(at.LOCAL + 32);
  const zero = both(0);
  const one = both(1);
  const half = both(0.5);
  const last = both(LAST);
  const end = at.PIXELS + <usize>count * at.PIXEL;
  for (let m = at.PIXELS, o = at.SEEN_PIXELS; m < end; m += 2 * at.PIXEL, o += 2 * at.SEEN) {
    const first = v128.load(m);
    const second = v128.load(m + at.PIXEL);
    const s = sub(firsts(first, second), l0);
    // A convex outline loses light to blur: its half level moves in.
    const bend = firsts(v128.load(m, 16), v128.load(m + at.PIXEL, 16));
    let q = mul(add(add(s, bend), both(REACH)), both(PER_PX));
    q = v128.andnot(q, f64x2.le(q, one));
    q = v128.bitselect(both(LAST + 1), q, f64x2.ge(q, last));
    const k = f64x2.pmin(last, f64x2.floor(q));
    const t = sub(q, k);
    const cells = i32x4.trunc_sat_f64x2_s_zero(k);
    const cellA = <usize>i32x4.extract_lane(cells, 0);
    const cellB = <usize>i32x4.extract_lane(cells, 1);
    const curveA = at.CURVES + cellA * at.CURVE;
    const curveB = at.CURVES + cellB * at.CURVE;
    const valuesA = v128.load(curveA);
    const valuesB = v128.load(curveB);
    const a = seconds(valuesA, valuesB);
    const othersA = v128.load(curveA, 16);
    const othersB = v128.load(curveB, 16);
    const b = firsts(othersA, othersB);
    const c = seconds(othersA, othersB);
    const value = add(firsts(valuesA, valuesB), mul(mul(half, t), add(a, mul(t, add(b, mul(t, c))))));
    const curving = mul(mul(mul(both(1.5), t), t), c);
    const slope = mul(add(add(mul(half, a), mul(t, b)), curving), both(PER_PX));
    const sharesA = v128.load(curveA, 32);
    const sharesB = v128.load(curveB, 32);
    const f = add(firsts(sharesA, sharesB), mul(t, seconds(sharesA, sharesB)));
    const within = sub(one, f);
    const si = f64x2.pmin(zero, s);
    const so = f64x2.pmax(zero, s);
    const less = mul(within, add(l1, mul(l2, si)));
    const r = sub(sub(sub(seconds(first, second), value), less), mul(f, add(l3, mul(l4, so))));
    const variance = add(inside, mul(wider, f));
    let w = one;
    if (robust) w = f64x2.div(one, add(one, f64x2.div(mul(r, r), mul(both(16), variance))));
    w = f64x2.div(w, variance);
    const byOffset = f64x2.neg(slope);
    const slopeInside = mul(within, si);
    const slopeOutside = mul(f, so);
    v128.store(o, firsts(r, byOffset));
    v128.store(o, firsts(within, slopeInside), BY_INSIDE);
    v128.store(o, firsts(f, slopeOutside), BY_OUTSIDE);
    v128.store(o, firsts(w, slope), WEIGHT);
    v128.store(o + at.SEEN, seconds(r, byOffset));
    v128.store(o + at.SEEN, seconds(within, slopeInside), BY_INSIDE);
    v128.store(o + at.SEEN, seconds(f, slopeOutside), BY_OUTSIDE);
    v128.store(o + at.SEEN, seconds(w, slope), WEIGHT);
    if (!keep) continue;
    v128.store(o, firsts(si, so), SI);
    v128.store(o + at.SEEN, seconds(si, so), SI);
    store<f64>(o, f64x2.extract_lane(t, 0), PART);
    store<f64>(o + at.SEEN, f64x2.extract_lane(t, 1), PART);
    store<u32>(o, <u32>(cellA << 3), CELL);
    store<u32>(o + at.SEEN, <u32>(cellB << 3), CELL);
  }
}
