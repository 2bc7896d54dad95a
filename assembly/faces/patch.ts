import * as at from './layout';

const PAIR: usize = 8;
const BELOW: usize = PAIR * at.SIDE;

/**
 * A patch of `side` x `side` places about (x, y) of the grid: (c, s) leads from one to the next, and four samples of each are taken. Two numbers
 * a place into `out`: the value less `mean` by `scale`, at most 3 either way; and the mean departure.
 */
export function turnedPatch(side: i32, x: f64, y: f64, c: f64, s: f64, mean: f64, scale: f64, out: usize): void {
  putWays(side, x, y, c, s, mean);
  const zero = v128.load(ZERO);
  const one = v128.load(ONE);
  const last = v128.load(LAST);
  const less = v128.load(LESS);
  const columns = at.WAYS + ((<usize>side) << 5);
  for (let down = at.WAYS; down < columns; down += 32)
    for (let across = columns; across < columns + ((<usize>side) << 5); across += 32, out += 8) {
      let sum = zero;
      for (let q: usize = 0; q < 64; q += 16) {
        const place = f64x2.add(v128.load(across + (q & 16)), v128.load(down + ((q & 32) >> 1)));
        const corner = f64x2.floor(place);
        if (!i64x2.all_true(v128.and(f64x2.ge(corner, zero), f64x2.lt(corner, last)))) continue;
        const whole = i32x4.trunc_sat_f64x2_u_zero(corner);
        const k = <usize>i32x4.extract_lane(whole, 1) * at.SIDE + <usize>i32x4.extract_lane(whole, 0);
        if (load<u8>(at.HELD_WHOLE + k) == 0) continue;
        const f = f64x2.sub(place, corner);
        const g = f64x2.sub(one, f);
        const fx = i64x2.shuffle(f, f, 0, 0);
        const fy = i64x2.shuffle(f, f, 1, 1);
        const gx = i64x2.shuffle(g, g, 0, 0);
        const gy = i64x2.shuffle(g, g, 1, 1);
        const p = at.PAIRS + k * PAIR;
        const upper = f64x2.add(f64x2.mul(pair(p), gx), f64x2.mul(pair(p + PAIR), fx));
        const lower = f64x2.add(f64x2.mul(pair(p + BELOW), gx), f64x2.mul(pair(p + BELOW + PAIR), fx));
        sum = f64x2.add(sum, f64x2.sub(f64x2.add(f64x2.mul(upper, gy), f64x2.mul(lower, fy)), less));
      }
      const z = f64x2.extract_lane(sum, 0) * scale;
      store<f32>(out, <f32>(z > 3 ? 3 : z < -3 ? -3 : z));
      store<f32>(out, <f32>(f64x2.extract_lane(sum, 1) / 4), 4);
    }
}

/** What stands in both lanes, in memory: compilers work out anew in each loop what they can, but do not load it anew. */
const ZERO: usize = at.CONSTANTS;
const ONE: usize = ZERO + 16;
const LAST: usize = ONE + 16;
const LESS: usize = LAST + 16;

/** How far each row's two lines of samples lead down, then where each column's two lie, across and down. */
function putWays(side: i32, x: f64, y: f64, c: f64, s: f64, mean: f64): void {
  v128.store(ZERO, f64x2.splat(0));
  v128.store(ONE, f64x2.splat(1));
  v128.store(LAST, f64x2.splat(<f64>(at.SIDE - 1)));
  v128.store(LESS, f64x2.replace_lane(f64x2.splat(0), 0, mean));
  const half = <f64>side / 2;
  let to = at.WAYS;
  const columns = (<usize>side) << 5;
  for (let i = 0; i < side; i++)
    for (let u = -0.25; u < 0.5; u += 0.5, to += 16) {
      const way = <f64>i + u + 0.5 - half;
      putPair(to, s * way, c * way);
      putPair(to + columns, x + c * way, y - s * way);
    }
}

function putPair(to: usize, first: f64, second: f64): void {
  store<f64>(to, first);
  store<f64>(to, second, 8);
}

/** Value and departure of a place. */
function pair(place: usize): v128 {
  return f64x2.promote_low_f32x4(v128.load64_zero(place));
}
