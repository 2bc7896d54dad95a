/** Red and green of a colour in single precision, in double. */
export function firstTwo(place: usize): v128 {
  return f64x2.promote_low_f32x4(v128.load64_zero(place));
}

/** Blue and what stands behind it. */
export function lastTwo(place: usize): v128 {
  return f64x2.promote_low_f32x4(v128.load64_zero(place, 8));
}

/** Two numbers each, rounded to single precision. */
export function put(place: usize, first: v128, last: v128): void {
  v128.store(place, i64x2.shuffle(f32x4.demote_f64x2_zero(first), f32x4.demote_f64x2_zero(last), 0, 2));
}
