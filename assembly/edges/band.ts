import { add, both, firsts, mul, sub } from './lanes';
import * as room from './room';

/** How far apart a sample asks for pixels along its normal, and how far to both sides, px. */
const ALONG: f64 = 0.6;
const ASIDE: f64 = 0.4;
/** What a pixel lies off at most beyond the band, px. */
const ROUNDING: f64 = 2;

/**
 * Gives each pixel of the band to the sample it lies straight out from, one segment in `every`; returns how many there are.
 *
 * @param left     Place of the crop, px, and its size; `top`, `width` and `height` likewise.
 * @param inside   How far the band reaches inside the outline, px; `outside` likewise.
 */
export function claim(
  samples: i32,
  every: i32,
  left: i32,
  top: i32,
  width: i32,
  height: i32,
  inside: f64,
  outside: f64,
): i32 {
  const beyond = room.CELLS + <usize>width * <usize>height * room.CELL;
  // Stands for all places out of the crop: it has been claimed, and nothing lies nearer.
  store<u64>(beyond, 1);
  let end = room.PLACES;
  for (let k = 0; k < samples; k++) {
    const segment = load<i32>(room.OF + ((<usize>k) << 2));
    if (segment >= 0 && segment % every == 0) end = claimFor(k, end, left, top, width, height, inside, outside);
  }
  store<u64>(beyond, 0);
  return <i32>((end - room.PLACES) >> 2);
}

/** What one sample claims; returns the new end of the places. A pixel that it asks for twice stays as it is. */
// Long because it is hot: a pixel to each side, without a branch.
function claimFor(k: i32, from: usize, left: i32, top: i32, width: i32, height: i32, inside: f64, outside: f64): usize {
  const sample = (<usize>k) << 4;
  const cx = load<f64>(room.XY + sample) - <f64>left;
  const cy = load<f64>(room.XY + sample, 8) - <f64>top;
  const nx = load<f64>(room.NORMAL + sample);
  const ny = load<f64>(room.NORMAL + sample, 8);
  const reach = max(inside, outside) + ROUNDING;
  const within = cx >= reach && cy >= reach && cx <= <f64>width - reach && cy <= <f64>height - reach;
  const sideways = f64x2(-ASIDE, ASIDE);
  const asideX = mul(sideways, both(ny));
  const asideY = mul(sideways, both(nx));
  const half = both(0.5);
  const zero = both(0);
  const owner = i32x4.splat(k + 1);
  let end = from;
  for (let s = -inside; s <= outside; s += ALONG) {
    const x = f64x2.floor(add(sub(both(cx + s * nx), asideX), half));
    const y = f64x2.floor(add(add(both(cy + s * ny), asideY), half));
    const d = f64x2.abs(sub(mul(sub(y, both(cy)), both(nx)), mul(sub(x, both(cx)), both(ny))));
    let place = add(mul(y, both(width)), x);
    if (!within) {
      const right = v128.and(f64x2.ge(x, zero), f64x2.lt(x, both(width)));
      const low = v128.and(f64x2.ge(y, zero), f64x2.lt(y, both(height)));
      place = v128.bitselect(place, both(<f64>width * <f64>height), v128.and(right, low));
    }
    const places = i32x4.trunc_sat_f64x2_s_zero(place);
    const first = i32x4.extract_lane(places, 0);
    const second = i32x4.extract_lane(places, 1);
    const firstCell = room.CELLS + <usize>first * room.CELL;
    const secondCell = room.CELLS + <usize>second * room.CELL;
    const cells = v128.load64_lane(secondCell, v128.load64_zero(firstCell), 1);
    const asides = f64x2.promote_low_f32x4(i32x4.shuffle(cells, cells, 1, 3, 1, 3));
    const isFree = i64x2.eq(cells, i64x2.splat(0));
    const claimed = i32x4.shuffle(owner, f32x4.demote_f64x2_zero(d), 0, 4, 1, 5);
    const kept = v128.bitselect(claimed, cells, v128.or(isFree, f64x2.lt(d, asides)));
    v128.store64_lane(firstCell, kept, 0);
    v128.store64_lane(secondCell, kept, 1);
    const free = i64x2.bitmask(isFree);
    store<i32>(end, first);
    end += <usize>((free & 1) << 2);
    store<i32>(end, second);
    end += <usize>((free & (i32(first != second) << 1)) << 1);
  }
  return end;
}

/** Puts the pixels claimed in order by segment, and makes the crop's cells free; a pixel's address stands where what it shows will. */
export function group(total: i32, segments: i32, left: i32, top: i32, width: i32, channels: i32): void {
  takeOwners(total, segments);
  const corner = f64x2(<f64>left, <f64>top);
  for (let q: usize = 0; q < (<usize>total) << 2; q += 4) {
    const o = load<i32>(room.PLACES + q);
    const k = load<i32>(room.OWNERS + q);
    const next = room.NEXT + ((<usize>load<i32>(room.OF + ((<usize>k) << 2))) << 2);
    const m = (<usize>load<i32>(next)) << 2;
    store<i32>(next, load<i32>(next) + 1);
    const y = o / width;
    const place = add(f64x2.convert_low_i32x4_s(i32x4(o - y * width, y, 0, 0)), corner);
    const sample = (<usize>k) << 4;
    const along = mul(sub(place, v128.load(room.XY + sample)), v128.load(room.NORMAL + sample));
    store<f32>(room.S + m, <f32>(f64x2.extract_lane(along, 0) + f64x2.extract_lane(along, 1)));
    store<i32>(room.SAMPLE + m, k);
    store<i32>(room.SHOWN + m, o * channels);
  }
}

/** Looks up who owns each pixel, and where each segment's pixels begin. */
function takeOwners(total: i32, segments: i32): void {
  memory.fill(room.NEXT, 0, (<usize>segments + 1) << 2);
  for (let q: usize = 0; q < (<usize>total) << 2; q += 4) {
    const cell = room.CELLS + <usize>load<i32>(room.PLACES + q) * room.CELL;
    const k = load<i32>(cell) - 1;
    store<u64>(cell, 0);
    store<i32>(room.OWNERS + q, k);
    const count = room.NEXT + ((<usize>load<i32>(room.OF + ((<usize>k) << 2))) << 2);
    store<i32>(count, load<i32>(count) + 1);
  }
  let sum = 0;
  for (let i: usize = 0; i <= (<usize>segments) << 2; i += 4) {
    const count = load<i32>(room.NEXT + i);
    store<i32>(room.START + i, sum);
    store<i32>(room.NEXT + i, sum);
    sum += count;
  }
}
