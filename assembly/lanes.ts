/** Two numbers side by side, by short names. */

export function mul(a: v128, b: v128): v128 {
  return f64x2.mul(a, b);
}

export function add(a: v128, b: v128): v128 {
  return f64x2.add(a, b);
}

export function sub(a: v128, b: v128): v128 {
  return f64x2.sub(a, b);
}

export function both(x: f64): v128 {
  return f64x2.splat(x);
}

/** One number of memory in both lanes. */
export function shared(place: usize): v128 {
  return v128.load64_splat(place);
}
