/**
 * Two throws side by side in one instruction: every number of a throw is a pair, and what only one of the two does is masked. A throw's
 * numbers never depend on its neighbour's, so a throw is the same beside whichever other.
 */

export { add, both, mul, shared, sub } from '../lanes';

/** `a` where the mask is set, `b` elsewhere. */
export function where(mask: v128, a: v128, b: v128): v128 {
  return v128.bitselect(a, b, mask);
}

/** `a` where the mask is set, 0 elsewhere. */
export function only(mask: v128, a: v128): v128 {
  return v128.and(mask, a);
}

/** `a` times `b` less `c` times `d`: a component of a vector product. */
export function minor(a: v128, b: v128, c: v128, d: v128): v128 {
  return f64x2.sub(f64x2.mul(a, b), f64x2.mul(c, d));
}

export function dot(ax: v128, ay: v128, az: v128, bx: v128, by: v128, bz: v128): v128 {
  return f64x2.add(f64x2.add(f64x2.mul(ax, bx), f64x2.mul(ay, by)), f64x2.mul(az, bz));
}

/** What a series' next term makes of it: `a - x b`. */
export function term(a: f64, x: v128, b: v128): v128 {
  return f64x2.sub(f64x2.splat(a), f64x2.mul(x, b));
}

export function lesser(a: v128, b: v128): v128 {
  return f64x2.pmin(a, b);
}

export function greater(a: v128, b: v128): v128 {
  return f64x2.pmax(a, b);
}

export function get(place: usize): v128 {
  return v128.load(place);
}

export function put(place: usize, x: v128): void {
  v128.store(place, x);
}

/** Writes `x` where the mask is set. */
export function putWhere(mask: v128, place: usize, x: v128): void {
  v128.store(place, v128.bitselect(x, v128.load(place), mask));
}

/** Two numbers side by side. */
export function beside(first: usize, second: usize): v128 {
  return f64x2.replace_lane(v128.load64_splat(first), 1, load<f64>(second));
}
