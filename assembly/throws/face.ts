import { both, dot, get, mul, shared, where } from './lanes';
import * as s from './state';

/** Face through which the ray straight down from the centre of mass leaves, and the lowest pass out of it, mm^2/s^2. */
export let face: v128 = f64x2.splat(0);
export let pass: v128 = f64x2.splat(0);

/** Finds both. */
export function lookBelow(): void {
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  let least = both(Infinity);
  let index: f64 = 0;
  for (let o = s.facesAt, p = s.passesAt; p < s.passesEnd; o += s.ROW, p += 8, index++) {
    const up = mul(dot(shared(o), shared(o + 8), shared(o + 16), zx, zy, zz), shared(o + 24));
    const lower = f64x2.lt(up, least);
    least = where(lower, up, least);
    face = where(lower, both(index), face);
    pass = where(lower, shared(p), pass);
  }
}
