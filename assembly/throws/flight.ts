import { add, both, dot, get, lesser, minor, mul, only, put, shared, sub, term, where } from './lanes';
import * as s from './state';

/** Spin, rad/s, its square and size (never 0). */
export let wx: v128 = f64x2.splat(0);
export let wy: v128 = f64x2.splat(0);
export let wz: v128 = f64x2.splat(0);
export let w2: v128 = f64x2.splat(0);
export let spin: v128 = f64x2.splat(0);
/** Up times spin, once and twice (vector products): how fast the places of the body rise by its turning, and how that changes. */
export let cx: v128 = f64x2.splat(0);
export let cy: v128 = f64x2.splat(0);
export let cz: v128 = f64x2.splat(0);
export let qx: v128 = f64x2.splat(0);
export let qy: v128 = f64x2.splat(0);
export let qz: v128 = f64x2.splat(0);

/** Works out the spin and its products from the state. */
export function spinUp(): void {
  wx = mul(shared(s.J_X), get(s.L_X));
  wy = mul(shared(s.J_Y), get(s.L_Y));
  wz = mul(shared(s.J_Z), get(s.L_Z));
  w2 = dot(wx, wy, wz, wx, wy, wz);
  spin = add(f64x2.sqrt(w2), both(1e-9));
  products();
}

function products(): void {
  const x = get(s.Z_X);
  const y = get(s.Z_Y);
  const z = get(s.Z_Z);
  cx = minor(y, wz, z, wy);
  cy = minor(z, wx, x, wz);
  cz = minor(x, wy, y, wx);
  qx = minor(cy, wz, cz, wy);
  qy = minor(cz, wx, cx, wz);
  qz = minor(cx, wy, cy, wx);
}

/**
 * Moves the dice of the mask on by `t`: gravity, and every vector of the world turned by minus the die's own turn. The others' `t` is 0.
 * {@link spinUp} before it.
 */
export function turn(mask: v128, gravity: f64, t: v128): void {
  const steady = load<f64>(s.STEADY) == Infinity;
  // Steps in contact are so short that two rounds settle it.
  if (!steady) settleSpin(t, gravity == 0 ? 2 : 4);
  series(mul(w2, mul(t, t)));
  move(mask, gravity, t, mul(t, sine), mul(mul(t, t), rest));
}

/** sin(a)/a and (1 - cos a)/a^2. */
let sine: v128 = f64x2.splat(0);
let rest: v128 = f64x2.splat(0);

/** Works out both from the square of the angle. */
function series(square: v128): void {
  // A long turn is the half of it, doubled, and so on.
  let x = square;
  for (let m = f64x2.gt(x, both(1)); v128.any_true(m); m = f64x2.gt(x, both(1))) x = where(m, mul(both(0.25), x), x);
  sine = term(1.0 / 5040, x, term(1.0 / 362880, x, both(1.0 / 39916800)));
  sine = term(1, x, term(1.0 / 6, x, term(1.0 / 120, x, sine)));
  rest = term(1.0 / 40320, x, term(1.0 / 3628800, x, both(1.0 / 479001600)));
  rest = term(0.5, x, term(1.0 / 24, x, term(1.0 / 720, x, rest)));
  for (let m = f64x2.lt(x, square); v128.any_true(m); m = f64x2.lt(x, square)) {
    const half = sine;
    sine = where(m, mul(half, sub(both(1), mul(x, rest))), sine);
    rest = where(m, mul(both(0.5), mul(half, half)), rest);
    x = where(m, mul(both(4), x), x);
  }
}

/** Turns by A = sin(wt)/w and B = (1 - cos wt)/w^2. */
function move(mask: v128, gravity: f64, t: v128, A: v128, B: v128): void {
  const fall = mul(both(gravity), t);
  let zx = get(s.Z_X);
  let zy = get(s.Z_Y);
  let zz = get(s.Z_Z);
  const vx = get(s.V_X);
  const vy = get(s.V_Y);
  const vz = get(s.V_Z);
  const up = dot(vx, vy, vz, zx, zy, zz);
  const level = f64x2.sqrt(f64x2.max(sub(dot(vx, vy, vz, vx, vy, vz), mul(up, up)), both(0)));
  put(s.H, add(get(s.H), mul(t, sub(up, mul(both(0.5), fall)))));
  put(s.TIME, add(get(s.TIME), t));
  put(s.PATH, add(get(s.PATH), mul(level, t)));
  put(s.STEPS, add(get(s.STEPS), only(mask, both(1))));
  zx = add(zx, add(mul(A, cx), mul(B, qx)));
  zy = add(zy, add(mul(A, cy), mul(B, qy)));
  zz = add(zz, add(mul(A, cz), mul(B, qz)));
  put(s.Z_X, zx);
  put(s.Z_Y, zy);
  put(s.Z_Z, zz);
  turnVector(s.V_X, A, B);
  put(s.V_X, sub(get(s.V_X), mul(fall, zx)));
  put(s.V_Y, sub(get(s.V_Y), mul(fall, zy)));
  put(s.V_Z, sub(get(s.V_Z), mul(fall, zz)));
  if (load<f64>(s.STEADY) < Infinity) turnVector(s.L_X, A, B);
}

function turnVector(place: usize, A: v128, B: v128): void {
  const x = get(place);
  const y = get(place + 16);
  const z = get(place + 32);
  const ax = minor(y, wz, z, wy);
  const ay = minor(z, wx, x, wz);
  const az = minor(x, wy, y, wx);
  put(place, add(x, add(mul(A, ax), mul(B, minor(ay, wz, az, wy)))));
  put(place + 16, add(y, add(mul(A, ay), mul(B, minor(az, wx, ax, wz)))));
  put(place + 32, add(z, add(mul(A, az), mul(B, minor(ax, wy, ay, wx)))));
}

/**
 * Spin of the middle of a step of `t`, implicitly: about the axis J (L0 + L1) / 2 a turn by any angle keeps the energy of spin;
 * h is tan(wt/2)/w.
 */
function settleSpin(t: v128, rounds: i32): void {
  const lx = get(s.L_X);
  const ly = get(s.L_Y);
  const lz = get(s.L_Z);
  series(mul(w2, mul(t, t)));
  const h = mul(t, f64x2.div(rest, sine));
  let mx = lx;
  let my = ly;
  let mz = lz;
  for (let i = 0; i < rounds; i++) {
    const ax = add(lx, mul(h, minor(my, wz, mz, wy)));
    const ay = add(ly, mul(h, minor(mz, wx, mx, wz)));
    const az = add(lz, mul(h, minor(mx, wy, my, wx)));
    mx = ax;
    my = ay;
    mz = az;
    wx = mul(shared(s.J_X), mx);
    wy = mul(shared(s.J_Y), my);
    wz = mul(shared(s.J_Z), mz);
  }
  w2 = dot(wx, wy, wz, wx, wy, wz);
  products();
}

/** Acceleration of the places of the body by the spin's own change, J (L x w), times spin and reach; sets {@link ex} to {@link ez}. */
export function wander(): v128 {
  ex = qx;
  ey = qy;
  ez = qz;
  if (load<f64>(s.STEADY) == Infinity) return both(0);
  const lx = get(s.L_X);
  const ly = get(s.L_Y);
  const lz = get(s.L_Z);
  const ax = mul(shared(s.J_X), minor(ly, wz, lz, wy));
  const ay = mul(shared(s.J_Y), minor(lz, wx, lx, wz));
  const az = mul(shared(s.J_Z), minor(lx, wy, ly, wx));
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  ex = add(qx, minor(zy, az, zz, ay));
  ey = add(qy, minor(zz, ax, zx, az));
  ez = add(qz, minor(zx, ay, zy, ax));
  return mul(mul(spin, f64x2.sqrt(dot(ax, ay, az, ax, ay, az))), shared(s.REACH));
}

/** Up times spin twice with the spin's own change: exact to the second order, a bound pays for the third. */
export let ex: v128 = f64x2.splat(0);
export let ey: v128 = f64x2.splat(0);
export let ez: v128 = f64x2.splat(0);

/** Speed of the centre of mass upwards, mm/s. */
export function rising(): v128 {
  return dot(get(s.V_X), get(s.V_Y), get(s.V_Z), get(s.Z_X), get(s.Z_Y), get(s.Z_Z));
}

/** Gravity of a time `t` at once. */
export function kick(t: v128): void {
  const g = mul(both(s.GRAVITY), t);
  put(s.V_X, sub(get(s.V_X), mul(g, get(s.Z_X))));
  put(s.V_Y, sub(get(s.V_Y), mul(g, get(s.Z_Y))));
  put(s.V_Z, sub(get(s.V_Z), mul(g, get(s.Z_Z))));
}

/** The lesser of the longest turn allowed near the table, as a time, and `limit`. */
export function longestStep(turn: f64, limit: v128): v128 {
  return lesser(f64x2.div(both(min(turn, load<f64>(s.STEADY))), spin), limit);
}
