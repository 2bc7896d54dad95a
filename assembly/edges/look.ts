import { add, both, firsts, mul, seconds, shared, sub } from './lanes';
import * as at from './layout';

/** Last cell of a grid that a place may lie in, and grid cells per px from {@link REACH} px inside on. */
const LAST: i32 = at.CELLS - 2;
const PER_PX: f64 = 4;
const REACH: f64 = 9;
/** With this added a small whole number stands in its lane's lower bits. */
const WHOLE: f64 = 4503599627370496;

/** What is seen of a pixel: its value less what the segment's unknowns make of the profile there, and how that changes with each of them, in pairs. */
export const RESIDUAL: usize = 0;
export const BY_OFFSET: usize = 8;
export const BY_INSIDE: usize = 16;
export const BY_OUTSIDE: usize = 32;
/** Its weight, and the profile's slope per px; the distances that count inside and outside; the place within a cell, and the cell's in a grid. */
export const WEIGHT: usize = 48;
const SLOPE: usize = 56;
export const SI: usize = 64;
export const SO: usize = 72;
export const PART: usize = 80;
export const CELL: usize = 88;

/** Works out what lies between the profile's cells: cubic after Catmull and Rom; beyond them it goes on as it ends. */
export function takeCurves(): void {
  const flat = both(0);
  const half = both(0.5);
  putCurve(0, v128.load64_zero(at.VALUE), flat);
  for (let i = 1; i < LAST; i += 2) {
    const value = at.VALUE + ((<usize>i) << 3);
    const p0 = v128.load(value - 8);
    const p1 = v128.load(value);
    const p2 = v128.load(value, 8);
    const p3 = v128.load(value, 16);
    // Halves, as a place between cells needs them: doubling and halving round nothing.
    const a = mul(half, sub(p2, p0));
    const b = mul(half, sub(add(sub(mul(both(2), p0), mul(both(5), p1)), mul(both(4), p2)), p3));
    const c = mul(half, sub(add(mul(both(3), sub(p1, p2)), p3), p0));
    putCurve(i, firsts(p1, a), firsts(b, c));
    putCurve(i + 1, seconds(p1, a), seconds(b, c));
  }
  putCurve(LAST, v128.load64_zero(at.VALUE + ((<usize>LAST + 1) << 3)), flat);
  // Its far end's share, wherever a place lies.
  const share = at.CURVES + <usize>LAST * at.CURVE + 32;
  store<f64>(share, load<f64>(share) + load<f64>(share, 8));
  store<f64>(share, 0, 8);
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
  // A residual of four standard deviations weighs half: sixteen variances, and weights as many times.
  const sixteen = both(16);
  const inside = mul(sixteen, shared(at.VARIANCES));
  const wider = mul(sixteen, both(load<f64>(at.VARIANCES, 8) - load<f64>(at.VARIANCES)));
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
    const k = f64x2.pmin(last, f64x2.floor(q));
    const t = sub(q, k);
    const curves = add(mul(k, both(at.CURVE)), both(WHOLE));
    const curveA = <usize>i32x4.extract_lane(curves, 0);
    const curveB = <usize>i32x4.extract_lane(curves, 2);
    const valuesA = v128.load(curveA, at.CURVES);
    const valuesB = v128.load(curveB, at.CURVES);
    const a = seconds(valuesA, valuesB);
    const othersA = v128.load(curveA, at.CURVES + 16);
    const othersB = v128.load(curveB, at.CURVES + 16);
    const b = firsts(othersA, othersB);
    const c = seconds(othersA, othersB);
    const value = add(firsts(valuesA, valuesB), mul(t, add(a, mul(t, add(b, mul(t, c))))));
    const curving = mul(mul(mul(both(1.5), t), t), c);
    const byOffset = mul(add(add(mul(half, a), mul(t, b)), curving), both(-2 * PER_PX));
    const sharesA = v128.load(curveA, at.CURVES + 32);
    const sharesB = v128.load(curveB, at.CURVES + 32);
    const f = add(firsts(sharesA, sharesB), mul(t, seconds(sharesA, sharesB)));
    const within = sub(one, f);
    const si = f64x2.pmin(zero, s);
    const so = f64x2.pmax(zero, s);
    const less = mul(within, add(l1, mul(l2, si)));
    const r = sub(sub(sub(seconds(first, second), value), less), mul(f, add(l3, mul(l4, so))));
    const variance = add(inside, mul(wider, f));
    let w = sixteen;
    if (robust) w = f64x2.div(sixteen, add(one, f64x2.div(mul(r, r), variance)));
    w = f64x2.div(w, variance);
    const slopeInside = mul(within, si);
    const slopeOutside = mul(f, so);
    v128.store(o, firsts(r, byOffset));
    v128.store(o, firsts(within, slopeInside), BY_INSIDE);
    v128.store(o, firsts(f, slopeOutside), BY_OUTSIDE);
    v128.store64_lane(o, w, 0, WEIGHT);
    v128.store(o + at.SEEN, seconds(r, byOffset));
    v128.store(o + at.SEEN, seconds(within, slopeInside), BY_INSIDE);
    v128.store(o + at.SEEN, seconds(f, slopeOutside), BY_OUTSIDE);
    v128.store64_lane(o + at.SEEN, w, 1, WEIGHT);
    if (!keep) continue;
    v128.store(o, firsts(si, so), SI);
    v128.store(o + at.SEEN, seconds(si, so), SI);
    const slope = f64x2.neg(byOffset);
    v128.store64_lane(o, slope, 0, SLOPE);
    v128.store64_lane(o + at.SEEN, slope, 1, SLOPE);
    const part = v128.bitselect(one, t, f64x2.ge(q, last));
    const cells = add(mul(k, both(8)), both(WHOLE));
    v128.store(o, firsts(part, cells), PART);
    v128.store(o + at.SEEN, seconds(part, cells), PART);
  }
}
