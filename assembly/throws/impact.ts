import { add, both, dot, get, greater, lesser, minor, mul, only, put, shared, sub, where } from './lanes';
import * as s from './state';

/** Impacts that would rebound slower than this do not rebound but stay in contact, mm/s: a hop of 1.3 um. */
const LEAST_REBOUND: f64 = 5;

/** Masks: which dice got an impulse, and which of their balls stay. */
export let struck: v128 = f64x2.splat(0);
export let stayed: v128 = f64x2.splat(0);

/**
 * One impulse at a ball each: P = (1 + e) P_I + (1 + e_t)(P_II - P_I), with P_I the frictionless plastic and P_II the sticking
 * plastic impulse, the second part shortened until P lies in the Coulomb cone. It cannot create energy for e, |e_t| <= 1.
 *
 * A ball that stays, because its rebound would be below {@link LEAST_REBOUND}, closes with `allowed` from then on. Sets {@link struck} and
 * {@link stayed}.
 *
 * @param least  Closing slower than this beyond what is allowed a ball is left alone.
 */
export function impact(mask: v128, bx: v128, by: v128, bz: v128, r: v128, allowed: v128, least: v128): void {
  const zx = get(s.Z_X);
  const zy = get(s.Z_Y);
  const zz = get(s.Z_Z);
  const lx = get(s.L_X);
  const ly = get(s.L_Y);
  const lz = get(s.L_Z);
  const vx = get(s.V_X);
  const vy = get(s.V_Y);
  const vz = get(s.V_Z);
  const j0 = shared(s.J_X);
  const j1 = shared(s.J_Y);
  const j2 = shared(s.J_Z);
  const one = both(1);
  const px = sub(bx, mul(r, zx));
  const py = sub(by, mul(r, zy));
  const pz = sub(bz, mul(r, zz));
  const wx = mul(j0, lx);
  const wy = mul(j1, ly);
  const wz = mul(j2, lz);
  const ux = add(vx, minor(wy, pz, wz, py));
  const uy = add(vy, minor(wz, px, wx, pz));
  const uz = add(vz, minor(wx, py, wy, px));
  const closing = f64x2.neg(dot(ux, uy, uz, zx, zy, zz));
  const done = v128.and(mask, f64x2.gt(sub(closing, allowed), least));
  struck = done;
  // K = 1 - [p] J [p] maps an impulse at p to the change of p's velocity.
  const xx = mul(px, px);
  const yy = mul(py, py);
  const pp = mul(pz, pz);
  const k00 = add(one, add(mul(j1, pp), mul(j2, yy)));
  const k11 = add(one, add(mul(j0, pp), mul(j2, xx)));
  const k22 = add(one, add(mul(j0, yy), mul(j1, xx)));
  const k10 = f64x2.neg(mul(j2, mul(px, py)));
  const k20 = f64x2.neg(mul(j1, mul(px, pz)));
  const k21 = f64x2.neg(mul(j0, mul(py, pz)));
  // Sticking: K P = -u.
  const a = minor(k11, k22, k21, k21);
  const b = minor(k20, k21, k10, k22);
  const c = minor(k10, k21, k20, k11);
  const d = minor(k00, k22, k20, k20);
  const f = minor(k10, k20, k00, k21);
  const g = minor(k00, k11, k10, k10);
  const q = f64x2.div(both(-1), dot(k00, k10, k20, a, b, c));
  const sx = mul(q, dot(a, b, c, ux, uy, uz));
  const sy = mul(q, dot(b, d, f, ux, uy, uz));
  const sz = mul(q, dot(c, f, g, ux, uy, uz));
  const knn = dot(
    zx,
    zy,
    zz,
    dot(k00, k10, k20, zx, zy, zz),
    dot(k10, k11, k21, zx, zy, zz),
    dot(k20, k21, k22, zx, zy, zz),
  );
  const plastic = f64x2.div(closing, knn);
  const sn = dot(sx, sy, sz, zx, zy, zz);
  const tx = sub(sx, mul(sn, zx));
  const ty = sub(sy, mul(sn, zy));
  const tz = sub(sz, mul(sn, zz));
  const tangential = f64x2.sqrt(dot(tx, ty, tz, tx, ty, tz));
  const more = sub(sn, plastic);
  const natural = f64x2.div(mul(shared(s.BOUNCE), closing), add(closing, shared(s.FADE)));
  stayed = v128.and(done, f64x2.lt(mul(natural, closing), both(LEAST_REBOUND)));
  const kept = f64x2.neg(f64x2.div(allowed, closing));
  const normal = mul(add(one, where(stayed, kept, natural)), plastic);
  const mu = shared(s.FRICTION);
  // Where friction's pull is no more than the cone's own growth, it never slides: the quotient is beyond all bounds.
  const slides = f64x2.div(mul(mu, normal), greater(sub(tangential, mul(mu, more)), both(1e-300)));
  const k = lesser(add(one, shared(s.GRIP)), slides);
  const n = add(normal, mul(k, more));
  const ix = only(done, add(mul(n, zx), mul(k, tx)));
  const iy = only(done, add(mul(n, zy), mul(k, ty)));
  const iz = only(done, add(mul(n, zz), mul(k, tz)));
  put(s.IMPACTS, add(get(s.IMPACTS), only(done, one)));
  put(s.V_X, add(vx, ix));
  put(s.V_Y, add(vy, iy));
  put(s.V_Z, add(vz, iz));
  put(s.L_X, add(lx, minor(py, iz, pz, iy)));
  put(s.L_Y, add(ly, minor(pz, ix, px, iz)));
  put(s.L_Z, add(lz, minor(px, iy, py, ix)));
}
