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

/**
 * Light at the masked pixels of a face, each the mean of `samples` x `samples` places, three numbers each in single precision; false where
 * the crop does not hold one of them. Two samples go side by side, each sum keeps its order; a row is projected first, so that what waits
 * for a quotient or a pixel does not wait for both.
 *
 * @param places  Room for those of a row: {@link PLACE} bytes for each two samples.
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
  putOffsets(samples, count);
  memory.fill(out, 0, 12 * size * size);
  for (let y = 0; y < size; y++) {
    if (!projected(y, size, count, channels, mask, places)) return false;
    lit(size, count, channels, below, crop, mask, out, places);
    mask += <usize>size;
    out += 12 * <usize>size;
  }
  return true;
}

/** Where the samples of a row's masked pixels lie in the crop; false where one lies beside it. */
function projected(y: i32, size: i32, count: i32, channels: usize, mask: usize, places: usize): bool {
  const half = <f64>(size - 1) / 2;
  const middle = f64x2.splat(0.5);
  const one = f64x2.splat(1);
  const zero = f64x2.splat(0);
  // Added to a whole number, this leaves it in the lower bits.
  const whole = f64x2.splat(4503599627370496);
  const f = v128.load64_splat(F);
  const cx = v128.load64_splat(CX);
  const cy = v128.load64_splat(CY);
  const k1 = v128.load64_splat(K1);
  const k2 = v128.load64_splat(K2);
  const skew = v128.load64_splat(SKEW);
  const stretched = f64x2.splat(1 + load<f64>(STRETCH));
  const left = v128.load64_splat(LEFT);
  const top = v128.load64_splat(TOP);
  const width = v128.load64_splat(WIDTH);
  const lastX = f64x2.splat(load<f64>(WIDTH) - 1);
  const lastY = f64x2.splat(load<f64>(HEIGHT) - 1);
  const bytes = f64x2.splat(<f64>channels);
  const down = f64x2.splat(<f64>y - half);
  for (let x = 0; x < size; x++) {
    if (load<u8>(mask + <usize>x) == 0) continue;
    const right = f64x2.splat(<f64>x - half);
    for (let s = 0; s < count; s += 2, places += PLACE) {
      const offset = at.OFFSETS + ((<usize>s) << 4);
      const a = f64x2.sub(f64x2.add(right, v128.load(offset)), middle);
      const b = f64x2.sub(f64x2.add(down, v128.load(offset, 16)), middle);
      const depth = along(16, a, b);
      const u = f64x2.div(along(0, a, b), depth);
      const v = f64x2.div(along(8, a, b), depth);
      const r2 = f64x2.add(f64x2.mul(u, u), f64x2.mul(v, v));
      const g = f64x2.mul(f, f64x2.add(one, f64x2.mul(r2, f64x2.add(k1, f64x2.mul(k2, r2)))));
      const px = f64x2.sub(f64x2.add(cx, f64x2.mul(g, f64x2.add(u, f64x2.mul(skew, v)))), left);
      const py = f64x2.sub(f64x2.add(cy, f64x2.mul(f64x2.mul(stretched, g), v)), top);
      const i = f64x2.floor(px);
      const j = f64x2.floor(py);
      const inside = v128.and(
        v128.and(f64x2.ge(i, zero), f64x2.ge(j, zero)),
        v128.and(f64x2.lt(i, lastX), f64x2.lt(j, lastY)),
      );
      if (!i64x2.all_true(inside)) return false;
      v128.store(places, f64x2.add(f64x2.mul(f64x2.add(f64x2.mul(j, width), i), bytes), whole));
      v128.store(places, f64x2.sub(px, i), 16);
      v128.store(places, f64x2.sub(py, j), 32);
    }
  }
  return true;
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
  const one = f64x2.splat(1);
  const share = f64x2.splat(1 / <f64>count);
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

/** One coordinate of two samples, so many pixels right and down of the middle. */
function along(axis: usize, a: v128, b: v128): v128 {
  return f64x2.add(
    f64x2.add(v128.load64_splat(MIDDLE + axis), f64x2.mul(a, v128.load64_splat(RIGHT + axis))),
    f64x2.mul(b, v128.load64_splat(DOWN + axis)),
  );
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
