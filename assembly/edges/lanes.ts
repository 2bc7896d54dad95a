export { add, both, mul, shared, sub } from '../lanes';

/** The first lanes of two pairs, and their second ones. */
export function firsts(a: v128, b: v128): v128 {
  return i64x2.shuffle(a, b, 0, 2);
}

export function seconds(a: v128, b: v128): v128 {
  return i64x2.shuffle(a, b, 1, 3);
}
