import { bell, signed, start, uniform } from './random';
import * as s from './state';

/** Throw `index` of the run with this seed begins at `place`, one of the two dice: 0 or 8 bytes from the pairs' first. */
export function release(place: usize, seed: u32, index: u32): void {
  start(seed, index);
  // Even attitude: a unit quaternion from two points in the unit disc (Marsaglia, Ann. Math. Stat. 43, 1972, 645).
  let a: f64, b: f64, c: f64, d: f64, p: f64, q: f64;
  do {
    a = signed();
    b = signed();
    p = a * a + b * b;
  } while (p >= 1);
  do {
    c = signed();
    d = signed();
    q = c * c + d * d;
  } while (q >= 1 || q == 0);
  const f = sqrt((1 - p) / q);
  c *= f;
  d *= f;
  const reach = load<f64>(s.REACH);
  const height = load<f64>(s.HEIGHT) + load<f64>(s.HEIGHTS) * uniform();
  const along = load<f64>(s.ALONG) + load<f64>(s.ALONG_SIGMA) * bell();
  const up = load<f64>(s.UP) + load<f64>(s.UP_SIGMA) * bell();
  // A throw starts where the sphere round the die meets the table: until then its attitude stays evenly spread.
  const down = -sqrt(max(100, up * up + 2 * s.GRAVITY * (height - reach)));
  const k = load<f64>(s.SPIN_SIGMA);
  const l0 = k * bell();
  const l1 = k * bell();
  const l2 = k * bell();
  const r00 = 1 - 2 * (c * c + d * d);
  const r01 = 2 * (b * c - a * d);
  const r02 = 2 * (b * d + a * c);
  const r10 = 2 * (b * c + a * d);
  const r11 = 1 - 2 * (b * b + d * d);
  const r12 = 2 * (c * d - a * b);
  const r20 = 2 * (b * d - a * c);
  const r21 = 2 * (c * d + a * b);
  const r22 = 1 - 2 * (b * b + c * c);
  turned(s.Z_X + place, r20, r21, r22);
  turned(s.V_X + place, r00 * along + r20 * down, r01 * along + r21 * down, r02 * along + r22 * down);
  turned(s.L_X + place, r00 * l0 + r10 * l1 + r20 * l2, r01 * l0 + r11 * l1 + r21 * l2, r02 * l0 + r12 * l1 + r22 * l2);
  for (let field = s.H; field <= s.ARRIVES; field += 16) store<f64>(field + place, 0);
  store<f64>(s.H + place, reach);
  store<f64>(s.ENERGY + place, 0.5 * (along * along + down * down + twiceSpinEnergy(place)) + s.GRAVITY * reach);
}

/** Writes a vector of the solid's frame along the principal axes. */
function turned(place: usize, x: f64, y: f64, z: f64): void {
  for (let i: usize = 0; i < 3; i++) {
    const row = s.AXES + 24 * i;
    store<f64>(place + 16 * i, load<f64>(row) * x + load<f64>(row, 8) * y + load<f64>(row, 16) * z);
  }
}

function twiceSpinEnergy(place: usize): f64 {
  let sum: f64 = 0;
  for (let i: usize = 0; i < 3; i++) {
    const l = load<f64>(s.L_X + 16 * i + place);
    sum += load<f64>(s.J_X + 8 * i) * l * l;
  }
  return sum;
}
