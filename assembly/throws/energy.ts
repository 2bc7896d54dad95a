import { add, both, dot, get, greater, mul, only, put, putWhere, shared, sub, where } from './lanes';
import * as s from './state';

/** Energy of the state, mm^2/s^2. */
export function energy(): v128 {
  return energyOf(get(s.V_X), get(s.V_Y), get(s.V_Z), get(s.L_X), get(s.L_Y), get(s.L_Z));
}

/** Energy of this motion at the state's height, mm^2/s^2. */
export function energyOf(vx: v128, vy: v128, vz: v128, lx: v128, ly: v128, lz: v128): v128 {
  const wx = mul(shared(s.J_X), lx);
  const wy = mul(shared(s.J_Y), ly);
  const wz = mul(shared(s.J_Z), lz);
  const motion = add(dot(vx, vy, vz, vx, vy, vz), dot(wx, wy, wz, lx, ly, lz));
  return add(mul(both(0.5), motion), mul(both(s.GRAVITY), get(s.H)));
}

/** Books the energy; the rounding of a step in contact is taken out of all motion alike, or where there is too little, out of the height. */
export function keepEnergy(mask: v128, now: v128): void {
  const surplus = mul(both(1.0000001), sub(now, get(s.ENERGY)));
  const rises = v128.and(mask, f64x2.gt(surplus, both(0)));
  putWhere(v128.andnot(mask, rises), s.ENERGY, now);
  if (!v128.any_true(rises)) return;
  const share = f64x2.div(surplus, sub(now, mul(both(s.GRAVITY), get(s.H))));
  const small = v128.and(rises, f64x2.lt(share, both(0.02)));
  const f = where(small, f64x2.sqrt(sub(both(1), share)), both(1));
  for (let place = s.V_X; place <= s.L_Z; place += 16) put(place, mul(f, get(place)));
  put(s.H, sub(get(s.H), only(v128.andnot(rises, small), f64x2.div(surplus, both(s.GRAVITY)))));
}

/** Books the energy after an impact in flight. */
export function setEnergy(mask: v128, now: v128): void {
  const before = get(s.ENERGY);
  const rise = only(mask, sub(f64x2.div(now, before), both(1)));
  put(s.GAIN, greater(get(s.GAIN), rise));
  putWhere(mask, s.ENERGY, now);
}
