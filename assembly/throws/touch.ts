import { cx, cy, cz, ex, ey, ez, spin, w2 } from './flight';
import { add, beside, both, dot, get, greater, lesser, mul, only, put, shared, sub, term, where } from './lanes';
import * as s from './state';

/** Most steps of one search: it has come within a thousandth of the depth asked for long before. */
const ADVANCES: i32 = 30;

/** End of the list of balls that may come down to the table within the step. */
export let loweringEnd: usize = 0;

/**
 * Time of the first touch of any ball within `limit`, else `limit`.
 *
 * While the spin w is constant the height of a ball is z(t) + A(t) p.c + B(t) p.q, c = up x w, q = c x w, A = sin(wt)/w,
 * B = (1 - cos wt)/w^2: a contact is found on a scalar function.
 *
 * @param mask     Whose touch is looked for.
 * @param gravity  0 in contact: balls that touch already do not count then.
 * @param vz       Speed of the centre of mass upwards, mm/s.
 * @param jerk     Bound of what the third derivative has beyond constant spin.
 */
export function firstTouch(mask: v128, limit: v128, gravity: v128, vz: v128, jerk: v128): v128 {
  const fall = mul(both(0.5), mul(gravity, limit));
  // No ball comes down farther than this within the step.
  const farthest = mul(limit, add(sub(mul(spin, shared(s.REACH)), vz), fall));
  const within = where(mask, greater(farthest, both(0)), both(-Infinity));
  listLowering(within);
  foresee(limit, gravity, vz, jerk);
  // What the likeliest ball finds leaves little to look for at the others.
  const first = <usize>i64x2.extract_lane(earliest, 0);
  const second = <usize>i64x2.extract_lane(earliest, 1);
  let found = ballTouch(f64x2.lt(early, limit), early, first, second, limit, limit, gravity, vz, jerk);
  for (let n = s.loweringAt, f = s.foreseenAt; n < loweringEnd; n += 4, f += 16) {
    const t = get(f);
    const o = <usize>(load<u32>(n) & ~3);
    const open = v128.and(f64x2.lt(t, found), i64x2.ne(i64x2.splat(<u64>o), earliest));
    if (v128.any_true(open)) found = ballTouch(open, t, o, o, limit, found, gravity, vz, jerk);
  }
  return found;
}

/** Height of a ball over the table, mm: up is z, the centre of mass at h. */
export function gap(o: usize, zx: v128, zy: v128, zz: v128, h: v128): v128 {
  return sub(add(h, dot(shared(o), shared(o + 8), shared(o + 16), zx, zy, zz)), shared(o + 24));
}

/** Lists the balls of which one of the two dice's stands no higher than `within`: its place, and in the lowest bits whose it is. */
function listLowering(within: v128): void {
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  const h = get(s.H);
  const end = s.facesAt;
  let to = s.loweringAt;
  for (let o: usize = s.BALLS; o < end; o += s.ROW) {
    const which = i64x2.bitmask(f64x2.le(gap(o, zx, zy, zz, h), within));
    store<u32>(to, (<u32>o) | which);
    to += which ? 4 : 0;
  }
  loweringEnd = to;
}

/** Each die's ball that may touch earliest: its place, and before what time it does not touch. */
let earliest: v128 = i64x2.splat(0);
let early: v128 = f64x2.splat(0);

/** Writes before what time each of the lowering balls does not touch: not before the limit, Infinity or no number. */
function foresee(limit: v128, gravity: v128, vz: v128, jerk: v128): void {
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  const h = get(s.H);
  const bx = cx;
  const by = cy;
  const bz = cz;
  const qx = ex;
  const qy = ey;
  const qz = ez;
  const w = spin;
  const end = loweringEnd;
  // Without gravity balls that touch already do not count.
  const lowest = where(f64x2.eq(gravity, both(0)), both(0), both(-Infinity));
  let soonest = both(Infinity);
  let place = i64x2.splat(s.BALLS);
  for (let n = s.loweringAt, f = s.foreseenAt; n < end; n += 4, f += 16) {
    const entry = load<u32>(n);
    const o = <usize>(entry & ~3);
    const px = shared(o);
    const py = shared(o + 8);
    const pz = shared(o + 16);
    const g = sub(add(h, dot(px, py, pz, zx, zy, zz)), shared(o + 24));
    const b = dot(px, py, pz, bx, by, bz);
    const c = dot(px, py, pz, qx, qy, qz);
    const a = add(sub(gravity, c), mul(bendOf(b, c, w, jerk), limit));
    const u = f64x2.neg(add(vz, b));
    const now = v128.and(f64x2.le(g, both(-0.5 * s.TOUCH)), f64x2.gt(u, both(s.AT_REST)));
    const root = v128.andnot(advance(g, u, a), now);
    const may = v128.and(v128.and(f64x2.lt(root, limit), f64x2.gt(g, lowest)), dice(entry));
    const t = where(may, root, both(Infinity));
    put(f, t);
    const sooner = f64x2.lt(t, soonest);
    soonest = lesser(t, soonest);
    place = where(sooner, i64x2.splat(<u64>o), place);
  }
  early = soonest;
  earliest = place;
}

/** Bound of a ball's third derivative, mm/s^3. */
function bendOf(b: v128, c: v128, w: v128, jerk: v128): v128 {
  return add(mul(mul(w, both(1.0 / 3)), add(f64x2.abs(c), mul(w, f64x2.abs(b)))), jerk);
}

/** The mask of the dice that the two lowest bits name. */
function dice(entry: u32): v128 {
  return v128.load(s.MASKS + (((<usize>entry) & 3) << 4));
}

/** The next point at which to look: the root of the parabola, none (not a number) where there is none. */
function advance(height: v128, u: v128, a: v128): v128 {
  const deep = add(both(s.TOUCH), height);
  const least = both(0.2 * s.TOUCH);
  // Leaving from this depth: it comes back to it.
  const leaving = v128.and(f64x2.lt(deep, least), f64x2.lt(u, both(-s.AT_REST)));
  const twice = mul(both(2), greater(deep, least));
  const e = add(u, f64x2.sqrt(add(mul(u, u), mul(a, twice))));
  const over = where(leaving, mul(both(-2), u), twice);
  const under = where(leaving, a, e);
  return f64x2.div(over, only(f64x2.gt(under, both(0)), under));
}

/**
 * Time of the first touch before `found`, else `found`, of the balls at `o` and `p`. Conservative advancement from `t` on: each step is the root of a
 * parabola that the height cannot fall below within `limit`, so no touch is passed.
 */
function ballTouch(
  named: v128,
  from: v128,
  o: usize,
  p: usize,
  limit: v128,
  found: v128,
  gravity: v128,
  vz: v128,
  jerk: v128,
): v128 {
  const px = beside(o, p);
  const py = beside(o + 8, p + 8);
  const pz = beside(o + 16, p + 16);
  const r = beside(o + 24, p + 24);
  const start = sub(add(get(s.H), dot(px, py, pz, get(s.Z_X), get(s.Z_Y), get(s.Z_Z))), r);
  const b = dot(px, py, pz, cx, cy, cz);
  const c = dot(px, py, pz, ex, ey, ez);
  const bend = bendOf(b, c, spin, jerk);
  const W2 = w2;
  let mask = named;
  let t = from;
  let least = found;
  for (let i = 0; i < ADVANCES; i++) {
    const tt = mul(t, t);
    const x = mul(W2, tt);
    const A = mul(t, term(1, x, term(1.0 / 6, x, term(1.0 / 120, x, both(1.0 / 5040)))));
    const B = mul(tt, term(0.5, x, term(1.0 / 24, x, term(1.0 / 720, x, both(1.0 / 40320)))));
    const cos = sub(both(1), mul(W2, B));
    const gt = mul(gravity, t);
    const height = add(add(start, mul(t, sub(vz, mul(both(0.5), gt)))), add(mul(b, A), mul(c, B)));
    const u = sub(sub(gt, vz), add(mul(b, cos), mul(c, A)));
    const hit = v128.and(mask, v128.and(f64x2.le(height, both(-0.5 * s.TOUCH)), f64x2.gt(u, both(s.AT_REST))));
    least = where(hit, t, least);
    mask = v128.andnot(mask, hit);
    if (!v128.any_true(mask)) return least;
    const a = add(sub(add(gravity, mul(mul(W2, A), b)), mul(c, cos)), mul(bend, sub(limit, t)));
    t = add(t, advance(height, u, a));
    mask = v128.and(mask, f64x2.lt(t, found));
    if (!v128.any_true(mask)) return least;
  }
  return where(mask, t, least);
}
