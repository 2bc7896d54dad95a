/**
 * The throws' inner loop: a rigid body on a rigid plane. Flight is exact between contacts; impacts follow Chatterjee and Ruina (J. Appl. Mech.
 * 65, 1998). A throw is decided when its energy is below the lowest pass out of the face it lies over.
 *
 * Sums, products, divisions and square roots alone, each rounded as IEEE 754 says: the same bits on every machine.
 */
import { resolveContacts } from './contact';
import { energy, setEnergy } from './energy';
import { face, lookBelow, pass } from './face';
import { longestStep, rising, spin, spinUp, turn, wander } from './flight';
import { both, get, lesser, mul, only, put, shared, sub, where, add } from './lanes';
import { release } from './release';
import { contactLimit, contactStep, finishSteps, goOn, toMiddle } from './slide';
import * as s from './state';
import { firstTouch } from './touch';

export { results, room, setup } from './state';

/** Most steps of one throw. */
const MOST_STEPS: f64 = 20000;
/** Longest turn in one step, rad: near the table; clear of it about a steady axis, and where the spin wanders. */
const TURN: f64 = 0.8;
const CLEAR_TURN: f64 = 16;
const WANDERING_TURN: f64 = 2.5;
/** A die farther than this from the table's reach, s, flies there without a look at its balls. */
const CLEAR_TIME: f64 = 0.007;

/** The block under way, and how many of its throws have begun. */
let seed: u32 = 0;
let begin: u32 = 0;
let count: u32 = 0;
let begun: u32 = 0;
/** Which throw of the block each of the two dice is; -1 for none. */
let first: i32 = -1;
let second: i32 = -1;

/** Throws `from` to `from + length - 1` of the run with this seed; {@link results} tells where they are written. */
export function throwBlock(run: u32, from: u32, length: u32): void {
  seed = run;
  begin = from;
  count = length;
  begun = 0;
  first = take(0);
  second = take(8);
  while (first >= 0 || second >= 0) {
    const done = decided(step());
    if (done & 1) {
      if (first >= 0) write(first, 0);
      first = take(0);
    }
    if (done & 2) {
      if (second >= 0) write(second, 8);
      second = take(8);
    }
  }
}

/** Begins the next throw of the block; where there is none left the die is thrown for nothing, beside the other. */
function take(place: usize): i32 {
  release(place, seed, begin + begun);
  if (begun == count) return -1;
  begun++;
  return <i32>begun - 1;
}

/** One step of both dice, in flight or in contact; the mask of those whose energy was booked. */
function step(): v128 {
  const resting = get(s.RESTS);
  const arrived = finishSteps(resting);
  const others = v128.not(arrived);
  const sliding = v128.and(resting, others);
  const flying = v128.andnot(others, resting);
  spinUp();
  const vz = rising();
  const gravity = only(flying, both(s.GRAVITY));
  const over = sub(get(s.H), shared(s.REACH));
  const until = mul(add(vz, f64x2.sqrt(add(mul(vz, vz), mul(both(2 * s.GRAVITY), over)))), both(1.0 / s.GRAVITY));
  const clear = v128.and(flying, v128.and(f64x2.gt(over, both(0)), f64x2.gt(until, both(CLEAR_TIME))));
  const limit = longestStep(TURN, where(sliding, contactLimit(), both(Infinity)));
  const looking = v128.andnot(others, clear);
  const t = v128.any_true(looking) ? firstTouch(looking, limit, gravity, vz, wander()) : limit;
  const touches = v128.and(looking, f64x2.lt(t, limit));
  if (v128.any_true(flying)) {
    const steady = load<f64>(s.STEADY);
    const most = f64x2.div(both(steady == Infinity ? CLEAR_TURN : min(WANDERING_TURN, steady)), spin);
    turn(flying, s.GRAVITY, only(flying, where(clear, lesser(until, most), t)));
  }
  const hits = v128.and(flying, touches);
  const next = contactStep(sliding, t);
  const slides = v128.any_true(sliding);
  if (slides) {
    v128.store(s.ARRIVES, v128.bitselect(touches, get(s.ARRIVES), sliding));
    toMiddle(next);
  }
  const answering = v128.or(hits, sliding);
  if (!v128.any_true(answering)) return arrived;
  const stays = resolveContacts(answering, next);
  if (slides) goOn(sliding, next, stays);
  if (v128.any_true(hits)) {
    put(s.RESTS, where(hits, stays, get(s.RESTS)));
    setEnergy(hits, energy());
  }
  return v128.or(arrived, answering);
}

/** Which of the two are decided, or have taken the most steps: bits. */
function decided(booked: v128): i32 {
  const left = get(s.ENERGY);
  const low = v128.and(booked, f64x2.lt(left, shared(s.HIGHEST)));
  const tired = f64x2.ge(get(s.STEPS), both(MOST_STEPS));
  if (!v128.any_true(v128.or(low, tired))) return 0;
  lookBelow();
  settled = v128.and(low, f64x2.lt(left, pass));
  return i64x2.bitmask(v128.or(settled, tired));
}

let settled: v128 = f64x2.splat(0);

/** Writes what throw `k` of the block came to: face, whether it settled, time, path, impacts, steps, gain. */
function write(k: i32, place: usize): void {
  const to = s.resultsAt + <usize>k * s.RESULT;
  const bit = place == 0 ? 1 : 2;
  store<f64>(to, place == 0 ? f64x2.extract_lane(face, 0) : f64x2.extract_lane(face, 1));
  store<f64>(to, i64x2.bitmask(settled) & bit ? 1 : 0, 8);
  for (let i: usize = 0; i < 5; i++) store<f64>(to + 16 + 8 * i, load<f64>(s.TIME + 16 * i + place));
}
