import * as at from './layout';

const PAIR: usize = 8;
const BELOW: usize = PAIR * at.SIDE;

/**
 * A patch of `side` x `side` places about (x, y) of the grid: (c, s) leads from one to the next, and four samples of each are taken. Two numbers
 * a place into `out`: the value less `mean` by `scale`, at most 3 either way; and the mean departure.
 */
export function turnedPatch(side: i32, x: f64, y: f64, c: f64, s: f64, mean: f64, scale: f64, out: usize): void {
  const zero = f64x2.splat(0);
  const less = f64x2.replace_lane(zero, 0, mean);
  const half = <f64>side / 2;
  const last = <f64>(at.SIDE - 1);
  for (let j = 0; j < side; j++)
    for (let i = 0; i < side; i++, out += 8) {
      let sum = zero;
      for (let v = -0.25; v < 0.5; v += 0.5)
        for (let u = -0.25; u < 0.5; u += 0.5) {
          const right = <f64>i + u + 0.5 - half;
          const down = <f64>j + v + 0.5 - half;
          const px = x + c * right + s * down;
          const py = y - s * right + c * down;
          const left = Math.floor(px);
          const top = Math.floor(py);
          if (left < 0 || top < 0 || left >= last || top >= last) continue;
          const k = <usize>top * at.SIDE + <usize>left;
          if (load<u8>(at.HELD_WHOLE + k) == 0) continue;
          const fx = f64x2.splat(px - left);
          const fy = f64x2.splat(py - top);
          const gx = f64x2.sub(f64x2.splat(1), fx);
          const gy = f64x2.sub(f64x2.splat(1), fy);
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

/** Value and departure of a place. */
function pair(place: usize): v128 {
  return f64x2.promote_low_f32x4(v128.load64_zero(place));
}
