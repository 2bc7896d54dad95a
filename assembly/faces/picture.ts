import * as at from './layout';

/** Camera: focal length, principal point, two radial terms, skew, stretch; then middle of the face, its way to the right and down by a pixel. */
const F: usize = at.PARAMETERS;
const CX: usize = F + 8;
const CY: usize = F + 16;
const K1: usize = F + 24;
const K2: usize = F + 32;
const SKEW: usize = F + 40;
const STRETCH: usize = F + 48;
const MIDDLE: usize = F + 56;
const RIGHT: usize = F + 80;
const DOWN: usize = F + 104;
/** The crop's corner in the photo and its sides, px. */
const LEFT: usize = F + 128;
const TOP: usize = F + 136;
const WIDTH: usize = F + 144;
const HEIGHT: usize = F + 152;

/** Bytes of two samples' places in the crop: where their first pixels are (16), how far right of them, and below, they lie. */
const PLACE: usize = 48;
/** Bytes of two samples' three coordinates. */
const POINT: usize = 48;

/**
 * Light at the masked pixels of a face, each the mean of `samples` x `samples` places, three numbers each in single precision; false where
 * the crop does not hold one of them. Two samples go side by side, each sum keeps its order; a row is projected first, so that what waits
 * for a quotient or a pixel does not wait for both.
 *
 * @param places  Room for those of a row, {@link PLACE} bytes for each two samples, and behind them for its columns, {@link POINT} bytes.
 */
export function sampled(
  size: i32,
  samples: i32,
  channels: usize,
  below: usize,
  crop: usize,
  mask: usize,
  out: usize,
  places: usize,
): bool {
  const count = samples * samples;
  const pairs = (count + 1) >> 1;
  const columns = places + PLACE * <usize>(size * pairs);
  putOffsets(samples, count);
  putColumns(size, pairs, columns);
  putConstants(count, channels);
  memory.fill(out, 0, 12 * size * size);
  for (let y = 0; y < size; y++) {
    putDown(<f64>y - <f64>(size - 1) / 2, pairs);
    if (!projected(size, pairs, mask, columns, places)) return false;
    lit(size, count, channels, below, crop, mask, out, places);
    mask += <usize>size;
    out += 12 * <usize>size;
  }
  return true;
}

/** What stands in both lanes alike, in memory: compilers work out anew in each loop what they can, but do not load it anew. */
const ONE: usize = at.CONSTANTS;
const SHARE: usize = ONE + 16;
const ZERO: usize = ONE + 32;
const WHOLE: usize = ONE + 48;
const STRETCHED: usize = ONE + 64;
const LAST_X: usize = ONE + 80;
const LAST_Y: usize = ONE + 96;
const BYTES: usize = ONE + 112;

function putConstants(count: i32, channels: usize): void {
  v128.store(ONE, f64x2.splat(1));
  v128.store(SHARE, f64x2.splat(1 / <f64>count));
  v128.store(ZERO, f64x2.splat(0));
  // Added to a whole number, this leaves it in the lower bits.
  v128.store(WHOLE, f64x2.splat(4503599627370496));
  v128.store(STRETCHED, f64x2.splat(1 + load<f64>(STRETCH)));
  v128.store(LAST_X, f64x2.splat(load<f64>(WIDTH) - 1));
  v128.store(LAST_Y, f64x2.splat(load<f64>(HEIGHT) - 1));
  v128.store(BYTES, f64x2.splat(<f64>channels));
}

/** Of each column's samples how far the middle and the way to the right lead. */
function putColumns(size: i32, pairs: i32, columns: usize): void {
  const half = <f64>(size - 1) / 2;
  for (let x = 0; x < size; x++)
    for (let s = 0; s < pairs; s++, columns += POINT) {
      const a = f64x2.sub(
        f64x2.add(f64x2.splat(<f64>x - half), v128.load(at.OFFSETS + ((<usize>s) << 5))),
        f64x2.splat(0.5),
      );
      for (let axis: usize = 0; axis < 24; axis += 8)
        v128.store(
          columns + 2 * axis,
          f64x2.add(v128.load64_splat(MIDDLE + axis), f64x2.mul(a, v128.load64_splat(RIGHT + axis))),
        );
    }
}

/** How far a row's samples lie down. */
function putDown(down: f64, pairs: i32): void {
  for (let s = 0, to = at.DOWN; s < pairs; s++, to += POINT) {
    const b = f64x2.sub(f64x2.add(f64x2.splat(down), v128.load(at.OFFSETS + ((<usize>s) << 5), 16)), f64x2.splat(0.5));
    for (let axis: usize = 0; axis < 24; axis += 8)
      v128.store(to + 2 * axis, f64x2.mul(b, v128.load64_splat(DOWN + axis)));
  }
}

/** Where the samples of a row's masked pixels lie in the crop; false where one lies beside it. */
function projected(size: i32, pairs: i32, mask: usize, columns: usize, places: usize): bool {
  const one = v128.load(ONE);
  const zero = v128.load(ZERO);
  const whole = v128.load(WHOLE);
  const f = v128.load64_splat(F);
  const cx = v128.load64_splat(CX);
  const cy = v128.load64_splat(CY);
  const k1 = v128.load64_splat(K1);
  const k2 = v128.load64_splat(K2);
  const skew = v128.load64_splat(SKEW);
  const stretched = v128.load(STRETCHED);
  const left = v128.load64_splat(LEFT);
  const top = v128.load64_splat(TOP);
  const width = v128.load64_splat(WIDTH);
  const lastX = v128.load(LAST_X);
  const lastY = v128.load(LAST_Y);
  const bytes = v128.load(BYTES);
  let inside = i64x2.splat(-1);
  const step = POINT * <usize>pairs;
  for (let x = 0; x < size; x++, columns += step) {
    if (load<u8>(mask + <usize>x) == 0) continue;
    for (let point: usize = 0; point < step; point += POINT, places += PLACE) {
      const depth = f64x2.add(v128.load(columns + point, 32), v128.load(at.DOWN + point, 32));
      const u = f64x2.div(f64x2.add(v128.load(columns + point), v128.load(at.DOWN + point)), depth);
      const v = f64x2.div(f64x2.add(v128.load(columns + point, 16), v128.load(at.DOWN + point, 16)), depth);
      const r2 = f64x2.add(f64x2.mul(u, u), f64x2.mul(v, v));
      const g = f64x2.mul(f, f64x2.add(one, f64x2.mul(r2, f64x2.add(k1, f64x2.mul(k2, r2)))));
      const px = f64x2.sub(f64x2.add(cx, f64x2.mul(g, f64x2.add(u, f64x2.mul(skew, v)))), left);
      const py = f64x2.sub(f64x2.add(cy, f64x2.mul(f64x2.mul(stretched, g), v)), top);
      const i = f64x2.floor(px);
      const j = f64x2.floor(py);
      inside = v128.and(
        inside,
        v128.and(v128.and(f64x2.ge(i, zero), f64x2.ge(j, zero)), v128.and(f64x2.lt(i, lastX), f64x2.lt(j, lastY))),
      );
      v128.store(places, f64x2.add(f64x2.mul(f64x2.add(f64x2.mul(j, width), i), bytes), whole));
      v128.store(places, f64x2.sub(px, i), 16);
      v128.store(places, f64x2.sub(py, j), 32);
    }
  }
  return i64x2.all_true(inside);
}

/** Light of a row's masked pixels, whose samples lie at `places`. */
// Long because it is hot: all that a sample needs stands in local numbers.
function lit(
  size: i32,
  count: i32,
  channels: usize,
  below: usize,
  crop: usize,
  mask: usize,
  out: usize,
  places: usize,
): void {
  const one = v128.load(ONE);
  const share = v128.load(SHARE);
  for (let x = 0; x < size; x++, out += 12) {
    if (load<u8>(mask + <usize>x) == 0) continue;
    let redGreen = f32x4.splat(0);
    let blue: f32 = 0;
    for (let s = 0; s < count; s += 2, places += PLACE) {
      const p = crop + <usize>load<u32>(places);
      const q = crop + <usize>load<u32>(places, 8);
      const fx = v128.load(places, 16);
      const fy = v128.load(places, 32);
      const gx = f64x2.sub(one, fx);
      const gy = f64x2.sub(one, fy);
      const pr = p + channels;
      const qr = q + channels;
      const pb = p + below;
      const qb = q + below;
      const pd = pr + below;
      const qd = qr + below;
      const reds = f64x2.mul(
        share,
        between(between(red(p, q), red(pr, qr), gx, fx), between(red(pb, qb), red(pd, qd), gx, fx), gy, fy),
      );
      const greens = f64x2.mul(
        share,
        between(between(green(p, q), green(pr, qr), gx, fx), between(green(pb, qb), green(pd, qd), gx, fx), gy, fy),
      );
      const blues = f64x2.mul(
        share,
        between(between(blueOf(p, q), blueOf(pr, qr), gx, fx), between(blueOf(pb, qb), blueOf(pd, qd), gx, fx), gy, fy),
      );
      // Each sample's sum is rounded to single precision.
      redGreen = f32x4.demote_f64x2_zero(
        f64x2.add(f64x2.promote_low_f32x4(redGreen), i64x2.shuffle(reds, greens, 0, 2)),
      );
      blue = <f32>(<f64>blue + f64x2.extract_lane(blues, 0));
      if (s + 1 < count) {
        redGreen = f32x4.demote_f64x2_zero(
          f64x2.add(f64x2.promote_low_f32x4(redGreen), i64x2.shuffle(reds, greens, 1, 3)),
        );
        blue = <f32>(<f64>blue + f64x2.extract_lane(blues, 1));
      }
    }
    v128.store64_lane(out, redGreen, 0);
    store<f32>(out, blue, 8);
  }
}

/** Between two lights, at two places, by shares of each. */
function between(a: v128, b: v128, first: v128, second: v128): v128 {
  return f64x2.add(f64x2.mul(a, first), f64x2.mul(b, second));
}

/** Light of a channel of two pixels. */
function red(p: usize, q: usize): v128 {
  return lights(<usize>load<u8>(p), <usize>load<u8>(q));
}

function green(p: usize, q: usize): v128 {
  return lights(<usize>load<u8>(p, 1), <usize>load<u8>(q, 1));
}

function blueOf(p: usize, q: usize): v128 {
  return lights(<usize>load<u8>(p, 2), <usize>load<u8>(q, 2));
}

/** Light of two values. */
function lights(a: usize, b: usize): v128 {
  return v128.load64_lane(b << 3, v128.load64_zero(a << 3, at.LIGHT), 1, at.LIGHT);
}

/** Where the samples lie within a pixel; the last of an odd number is there twice. */
function putOffsets(samples: i32, count: i32): void {
  for (let s = 0; s < count; s += 2)
    for (let lane = 0; lane < 2; lane++) {
      const one = min(count - 1, s + lane);
      const place = at.OFFSETS + ((<usize>s) << 4) + ((<usize>lane) << 3);
      store<f64>(place, (<f64>(one % samples) + 0.5) / <f64>samples);
      store<f64>(place, (<f64>(one / samples) + 0.5) / <f64>samples, 16);
    }
}
