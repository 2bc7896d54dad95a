import { impact, stayed, struck } from './impact';
import { add, beside, both, dot, get, minor, mul, shared, where } from './lanes';
import * as s from './state';
import { gap, loweringEnd } from './touch';

/** Closing speed that a step in contact may leave, mm/s per s of step. */
const LEFT_OVER: f64 = 0.05 * s.GRAVITY;
/** Most impacts resolved in one moment. */
const SWEEPS: i32 = 16;

/** How many balls of each die touch. */
let firstCount: u32 = 0;
let secondCount: u32 = 0;

/**
 * Impulses at the touching balls, the fastest closing first, until none closes; returns the mask of those of which a contact stays.
 *
 * @param step  In contact, s: a ball may then close as fast as its turning about the others lifts it on the step's half way; 0 in flight.
 */
export function resolveContacts(named: v128, step: v128): v128 {
  listTouching();
  const half = mul(both(0.5), step);
  const least = add(both(0.5 * s.AT_REST), mul(both(LEFT_OVER), step));
  const most = max(firstCount, secondCount);
  const counts = i64x2.replace_lane(i64x2.splat(firstCount), 1, secondCount);
  let mask = v128.and(named, i64x2.gt_s(counts, i64x2.splat(0)));
  // Alone it closes no more after one impulse: it rebounds, or closes as it is allowed to.
  const several = i64x2.gt_s(counts, i64x2.splat(1));
  let stays = both(0);
  for (let sweep = 0; sweep < SWEEPS && v128.any_true(mask); sweep++) {
    strikeFastest(mask, counts, most, half, least);
    stays = v128.or(stays, stayed);
    mask = v128.and(struck, several);
  }
  return stays;
}

/** One impulse at the ball that closes fastest beyond its lift. */
function strikeFastest(mask: v128, counts: v128, most: u32, half: v128, least: v128): void {
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  const wx = mul(shared(s.J_X), get(s.L_X));
  const wy = mul(shared(s.J_Y), get(s.L_Y));
  const wz = mul(shared(s.J_Z), get(s.L_Z));
  const cx = minor(zy, wz, zz, wy);
  const cy = minor(zz, wx, zx, wz);
  const cz = minor(zx, wy, zy, wx);
  const qx = mul(half, minor(cy, wz, cz, wy));
  const qy = mul(half, minor(cz, wx, cx, wz));
  const qz = mul(half, minor(cx, wy, cy, wx));
  const dx = add(cx, qx);
  const dy = add(cy, qy);
  const dz = add(cz, qz);
  let o = <usize>load<u32>(s.touchingAt);
  let p = <usize>load<u32>(s.touchingAt, 4);
  let px = beside(o, p);
  let py = beside(o + 8, p + 8);
  let pz = beside(o + 16, p + 16);
  let r = beside(o + 24, p + 24);
  let slowest = dot(px, py, pz, dx, dy, dz);
  for (let k: u32 = 1; k < most; k++) {
    o = <usize>load<u32>(s.touchingAt + 8 * k);
    p = <usize>load<u32>(s.touchingAt + 8 * k, 4);
    const x = beside(o, p);
    const y = beside(o + 8, p + 8);
    const z = beside(o + 16, p + 16);
    const rise = dot(x, y, z, dx, dy, dz);
    const slower = v128.and(f64x2.lt(rise, slowest), i64x2.gt_s(counts, i64x2.splat(k)));
    px = where(slower, x, px);
    py = where(slower, y, py);
    pz = where(slower, z, pz);
    r = where(slower, beside(o + 24, p + 24), r);
    slowest = where(slower, rise, slowest);
  }
  impact(mask, px, py, pz, r, dot(px, py, pz, qx, qy, qz), least);
}

/** Lists the balls that touch, each die's for itself. */
function listTouching(): void {
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  const h = get(s.H);
  const end = loweringEnd;
  let first: u32 = 0;
  let second: u32 = 0;
  for (let n = s.loweringAt; n < end; n += 4) {
    const entry = load<u32>(n);
    const o = <usize>(entry & ~3);
    const which = entry & i64x2.bitmask(f64x2.le(gap(o, zx, zy, zz, h), both(0)));
    if (which == 0) continue;
    store<u32>(s.touchingAt + 8 * first, <u32>o);
    store<u32>(s.touchingAt + 8 * second, <u32>o, 4);
    first += which & 1;
    second += which >> 1;
  }
  firstCount = first;
  secondCount = second;
}
