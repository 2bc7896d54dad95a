import { BALLS_X, BALLS_Y, BALLS_Z, RADII, RAY, SUM } from './layout';

/** A ball that reaches nearer to a guessed contact than this, mm, is looked at exactly; the same of the sum of all balls' places. See `geometry/hull.ts`. */
const CLEAR: f64 = 1e-9;
const CLEAR_SIDE: f64 = 1e-6;

/** Axes across the ray: x and z of the first, x, y, z of the second. */
let ax: f64 = 0;
let az: f64 = 0;
let bx: f64 = 0;
let by: f64 = 0;
let bz: f64 = 0;
/** Cosine and sine of the contact's normal over them, and the share of its first ball. */
let c: f64 = 0;
let s: f64 = 0;
let share: f64 = 0;

/**
 * Contacts of rays with the hull of balls, where those guessed carry them and no other comes near; the others are listed in `open`. Returns how many
 * these are.
 */
export function heldContacts(
  count: i32,
  balls: usize,
  rays: usize,
  first: usize,
  second: usize,
  normal: usize,
  distance: usize,
  shares: usize,
  open: usize,
): i32 {
  const from = open;
  for (let k = 0; k < count; k++, rays += RAY, normal += 24) {
    const o = (<usize>k) << 2;
    const i = load<i32>(first + o);
    const j = load<i32>(second + o);
    if (i < 0 || j < 0 || <usize>i >= balls || <usize>j >= balls || !held(rays, i, j, balls)) {
      store<i32>(open, k);
      open += 4;
      continue;
    }
    const p = (<usize>k) << 3;
    store<f64>(distance + p, -(reach(i) * share + reach(j) * (1 - share)));
    store<f64>(shares + p, share);
    store<f64>(normal, c * ax + s * bx);
    store<f64>(normal, s * by, 8);
    store<f64>(normal, c * az + s * bz, 16);
  }
  return <i32>((open - from) >> 2);
}

/** How far a ball reaches along the contact's normal. */
function reach(i: usize): f64 {
  return along(i) * c + across(i) * s + load<f64>(RADII + (i << 3));
}

function along(i: usize): f64 {
  const o = i << 3;
  return ax * load<f64>(BALLS_X + o) + az * load<f64>(BALLS_Z + o);
}

function across(i: usize): f64 {
  const o = i << 3;
  return bx * load<f64>(BALLS_X + o) + by * load<f64>(BALLS_Y + o) + bz * load<f64>(BALLS_Z + o);
}

function held(ray: usize, i: usize, j: usize, balls: usize): bool {
  const dx = load<f64>(ray);
  const dy = load<f64>(ray, 8);
  const dz = load<f64>(ray, 16);
  const il = 1 / sqrt(dz * dz + dx * dx);
  ax = dz * il;
  az = -dx * il;
  bx = dy * az;
  by = dz * ax - dx * az;
  bz = -dy * ax;
  if (!(i == j ? footOf(i) : between(i, j))) return false;
  const ux = c * ax + s * bx;
  const uy = s * by;
  const uz = c * az + s * bz;
  if (!(ux * load<f64>(SUM) + uy * load<f64>(SUM, 8) + uz * load<f64>(SUM, 16) < -CLEAR_SIDE)) return false;
  return isClear(ux, uy, uz, reach(i) - CLEAR, i, j, balls);
}

/** The contact that one ball carries alone. */
function footOf(i: usize): bool {
  const px = along(i);
  const py = across(i);
  const il = 1 / sqrt(px * px + py * py);
  c = -px * il;
  s = -py * il;
  share = 1;
  return true;
}

/** The contact that two balls carry; false where they cannot: the envelope has to fall before it and to rise behind. */
function between(i: usize, j: usize): bool {
  const px = along(i);
  const py = across(i);
  const pu = along(j);
  const pv = across(j);
  const qx = px - pu;
  const qy = py - pv;
  const q2 = qx * qx + qy * qy;
  const k = (load<f64>(RADII + (j << 3)) - load<f64>(RADII + (i << 3))) / q2;
  const t2 = 1 / q2 - k * k;
  if (!(t2 >= 0)) return false;
  const t = sqrt(t2);
  c = k * qx - t * qy;
  s = k * qy + t * qx;
  if (-px * s + py * c > -pu * s + pv * c) {
    c = k * qx + t * qy;
    s = k * qy - t * qx;
  }
  const fall = -px * s + py * c;
  const rise = -pu * s + pv * c;
  share = rise - fall > 1e-15 ? rise / (rise - fall) : 1;
  return fall <= 0 && rise >= 0;
}

/** Whether no ball but these two reaches so far; four balls at a time, those beyond the last one reach nowhere. */
function isClear(ux: f64, uy: f64, uz: f64, far: f64, i: usize, j: usize, balls: usize): bool {
  const x = f64x2.splat(ux);
  const y = f64x2.splat(uy);
  const z = f64x2.splat(uz);
  const least = f64x2.splat(far);
  for (let k: usize = 0, o: usize = 0; k < balls; k += 4, o += 32) {
    const below = f64x2.lt(reachOfTwo(x, y, z, o), least);
    const belowToo = f64x2.lt(reachOfTwo(x, y, z, o + 16), least);
    if (v128.all_true<i64>(v128.and(below, belowToo))) continue;
    const reaching = ~(i64x2.bitmask(below) | (i64x2.bitmask(belowToo) << 2)) & 15;
    if ((reaching & ~(bitOf(i, k) | bitOf(j, k))) != 0) return false;
  }
  return true;
}

/** The bit of a ball among the four from `k` on; none where it is not among them. */
function bitOf(ball: usize, k: usize): i32 {
  return ball - k < 4 ? 1 << (<i32>(ball - k)) : 0;
}

/** How far two balls reach along a direction. */
function reachOfTwo(x: v128, y: v128, z: v128, o: usize): v128 {
  const xy = f64x2.add(f64x2.mul(x, v128.load(o, BALLS_X)), f64x2.mul(y, v128.load(o, BALLS_Y)));
  return f64x2.add(f64x2.add(xy, f64x2.mul(z, v128.load(o, BALLS_Z))), v128.load(o, RADII));
}
