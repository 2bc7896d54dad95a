import * as at from './layout';
import { RESIDUAL } from './look';
import * as room from './room';

/** How many sizes of what is left are kept of an outline so far, well inside and well outside. */
export let INSIDE_KEPT: i32 = 0;
export let OUTSIDE_KEPT: i32 = 0;

/** Sums what the pixels further inside than `deep` and further outside than `gap` show: red, green, blue and their number, on each side. */
export function levels(from: i32, to: i32, deep: f64, gap: f64): void {
  let inner = i32x4.splat(0);
  let outer = i32x4.splat(0);
  const end = (<usize>to) << 2;
  for (let m = (<usize>from) << 2; m < end; m += 4) {
    const s = <f64>load<f32>(room.S + m);
    const shown = i32x4.extend_low_i16x8_u(i16x8.extend_low_i8x16_u(v128.load32_zero(room.SHOWN + m)));
    inner = i32x4.add(inner, v128.and(shown, i32x4.splat(-i32(s < deep))));
    outer = i32x4.add(outer, v128.and(shown, i32x4.splat(-i32(s > gap))));
  }
  putLevels(at.LEVELS, inner);
  putLevels(at.LEVELS + 32, outer);
}

function putLevels(place: usize, sums: v128): void {
  v128.store(place, f64x2.convert_low_i32x4_s(sums));
  v128.store(place, f64x2.convert_low_i32x4_s(i64x2.shuffle(sums, sums, 1, 1)), 16);
}

/** Takes a segment's pixels up, `bend` times the outline's curvature beside them. */
export function takePixels(from: i32, to: i32, bend: f64): void {
  let o = at.PIXELS;
  const end = (<usize>to) << 2;
  for (let m = (<usize>from) << 2; m < end; m += 4, o += at.PIXEL) {
    store<f64>(o, <f64>load<f32>(room.S + m));
    store<f64>(o, <f64>load<f32>(room.Y + m), 8);
    const sample = <usize>load<i32>(room.SAMPLE + m);
    // A convex outline loses light to blur: its half level moves in by half sigma squared times curvature.
    store<f64>(o, load<f64>(room.CURVATURE + (sample << 3)) * bend, 16);
  }
}

/** No sizes are kept yet. */
export function forgetResiduals(): void {
  INSIDE_KEPT = 0;
  OUTSIDE_KEPT = 0;
}

/** Keeps the sizes of what the pixels that lie further off than `gap` leave over. */
export function keepResiduals(count: i32, gap: f64): void {
  let inside = room.INSIDE + ((<usize>INSIDE_KEPT) << 2);
  let outside = room.OUTSIDE + ((<usize>OUTSIDE_KEPT) << 2);
  const offset = load<f64>(at.LOCAL);
  const end = at.PIXELS + <usize>count * at.PIXEL;
  for (let m = at.PIXELS, o = at.SEEN_PIXELS; m < end; m += at.PIXEL, o += at.SEEN) {
    const distance = load<f64>(m) - offset;
    const size = <f32>abs(load<f64>(o, RESIDUAL));
    // Written on both sides, and written over where it does not belong.
    store<f32>(inside, size);
    store<f32>(outside, size);
    inside += <usize>(i32(distance < -gap) << 2);
    outside += <usize>(i32(distance > gap) << 2);
  }
  INSIDE_KEPT = <i32>((inside - room.INSIDE) >> 2);
  OUTSIDE_KEPT = <i32>((outside - room.OUTSIDE) >> 2);
}
