import { resolveContacts } from './contact';
import { energy, energyOf, keepEnergy } from './energy';
import { kick, spin, spinUp, turn } from './flight';
import { add, both, get, greater, lesser, mul, only, put, putWhere, sub, where } from './lanes';
import * as s from './state';

/** Longest step in contact, s and rad, and shortest. */
const CONTACT_TIME: f64 = 1.5e-3;
const CONTACT_TURN: f64 = 0.04;
const LEAST_STEP: f64 = 2e-5;

/*
 * Contact by leapfrog: the velocities in the state are those of the step's middle, contacts included. The way without gravity, then gravity
 * and the contacts' answer to it from this middle to the next; where a new ball arrives or nothing presses any more, to the end.
 */

/** The way of the step in contact under way; the mask of those that met another ball at its end, and have answered it. */
export function finishSteps(resting: v128): v128 {
  const under = v128.and(resting, f64x2.gt(get(s.STEP), both(0)));
  if (!v128.any_true(under)) return under;
  spinUp();
  turn(under, 0, only(under, get(s.STEP)));
  const arrived = v128.and(under, get(s.ARRIVES));
  if (!v128.any_true(arrived)) return arrived;
  const step = only(arrived, get(s.STEP));
  kick(mul(both(0.5), step));
  endContact(arrived, resolveContacts(arrived, step));
  return arrived;
}

/** Longest next step in contact, s. */
export function contactLimit(): v128 {
  return lesser(both(CONTACT_TIME), f64x2.div(both(CONTACT_TURN), spin));
}

/** The next step in contact, of which a touch could end at `t`: its length, s. */
export function contactStep(mask: v128, t: v128): v128 {
  return only(mask, greater(t, both(LEAST_STEP)));
}

/** What was known in the middle of the step before. */
let vx: v128 = f64x2.splat(0);
let vy: v128 = f64x2.splat(0);
let vz: v128 = f64x2.splat(0);
let lx: v128 = f64x2.splat(0);
let ly: v128 = f64x2.splat(0);
let lz: v128 = f64x2.splat(0);

/** Gravity from the middle of the step before to that of the next. */
export function toMiddle(next: v128): void {
  vx = get(s.V_X);
  vy = get(s.V_Y);
  vz = get(s.V_Z);
  lx = get(s.L_X);
  ly = get(s.L_Y);
  lz = get(s.L_Z);
  kick(mul(both(0.5), add(only(f64x2.gt(next, both(0)), get(s.STEP)), next)));
}

/** After the contacts' answer: goes on by `next` where they press, ends the contact where they do not. */
export function goOn(mask: v128, next: v128, pressed: v128): void {
  const step = get(s.STEP);
  const old = f64x2.gt(step, both(0));
  const pressing = v128.and(mask, pressed);
  const on = v128.and(pressing, old);
  if (v128.any_true(on)) {
    const f = f64x2.div(step, add(step, next));
    keepEnergy(
      on,
      energyOf(
        between(vx, get(s.V_X), f),
        between(vy, get(s.V_Y), f),
        between(vz, get(s.V_Z), f),
        between(lx, get(s.L_X), f),
        between(ly, get(s.L_Y), f),
        between(lz, get(s.L_Z), f),
      ),
    );
  }
  putWhere(pressing, s.STEP, next);
  const off = v128.andnot(mask, pressed);
  if (!v128.any_true(off)) return;
  const back = v128.and(off, old);
  putWhere(back, s.V_X, vx);
  putWhere(back, s.V_Y, vy);
  putWhere(back, s.V_Z, vz);
  putWhere(back, s.L_X, lx);
  putWhere(back, s.L_Y, ly);
  putWhere(back, s.L_Z, lz);
  // A contact that never began gives its gravity back, and keeps what its impulses did.
  kick(mul(both(0.5), only(off, where(old, step, f64x2.neg(next)))));
  endContact(off, both(0));
}

function between(a: v128, b: v128, f: v128): v128 {
  return add(a, mul(f, sub(b, a)));
}

function endContact(mask: v128, rests: v128): void {
  putWhere(mask, s.RESTS, rests);
  putWhere(mask, s.STEP, both(0));
  keepEnergy(mask, energy());
}
