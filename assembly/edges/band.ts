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
  store<i32>(beyond, room.OUTSIDE_CROP);
  putClaim(room.FREE, Infinity);
  // Nothing lies nearer.
  putClaim(room.OUTSIDE_CROP, 0);
  let end = room.FIRST;
  for (let k = 0; k < samples; k++) {
    const segment = load<i32>(room.OF + ((<usize>k) << 2));
    if (segment >= 0 && segment % every == 0) end = claimFor(k, end, left, top, width, height, inside, outside);
  }
  store<i32>(beyond, room.FREE);
  return end - room.FIRST;
}

function putClaim(claim: i32, aside: f32): void {
  store<i32>(room.CLAIMS + <usize>claim * room.CLAIM, 0);
  store<f32>(room.CLAIMS + <usize>claim * room.CLAIM, aside, 4);
}

/** What one sample claims; returns the new end of the claims. A pixel that it asks for twice stays as it is. */
// Long because it is hot: a pixel to each side, without a branch.
function claimFor(k: i32, from: i32, left: i32, top: i32, width: i32, height: i32, inside: f64, outside: f64): i32 {
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
  const owner = i32x4.splat(k);
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
    const claimA = load<i32>(firstCell);
    const claimB = load<i32>(secondCell);
    const before = v128.load64_lane(
      room.CLAIMS + <usize>claimB * room.CLAIM,
      v128.load64_zero(room.CLAIMS + <usize>claimA * room.CLAIM),
      1,
    );
    const asides = f64x2.promote_low_f32x4(i32x4.shuffle(before, before, 1, 3, 1, 3));
    const own = i32x4.shuffle(owner, f32x4.demote_f64x2_zero(d), 0, 4, 1, 5);
    const kept = v128.bitselect(own, before, f64x2.lt(d, asides));
    const isFreeA = claimA == room.FREE;
    const toA = isFreeA ? end : claimA;
    end += i32(isFreeA);
    store<i32>(firstCell, toA);
    // Both may be the same pixel, which is claimed by now.
    const nowB = load<i32>(secondCell);
    const isFreeB = nowB == room.FREE;
    const toB = isFreeB ? end : nowB;
    end += i32(isFreeB);
    store<i32>(secondCell, toB);
    store<i32>(room.PLACES + ((<usize>toA) << 2), first);
    store<i32>(room.PLACES + ((<usize>toB) << 2), second);
    v128.store64_lane(room.CLAIMS + <usize>toA * room.CLAIM, kept, 0);
    v128.store64_lane(room.CLAIMS + <usize>toB * room.CLAIM, kept, 1);
  }
  return end;
}

/** Puts the pixels claimed in order by segment, and makes the crop's cells free; a pixel's address stands where what it shows will. */
export function group(total: i32, segments: i32, left: i32, top: i32, width: i32, channels: i32): void {
  const end = room.FIRST + total;
  countPixels(end, segments);
  const corner = f64x2(<f64>left, <f64>top);
  for (let q = <usize>room.FIRST; q < <usize>end; q++) {
    const o = load<i32>(room.PLACES + (q << 2));
    store<i32>(room.CELLS + <usize>o * room.CELL, room.FREE);
    const k = load<i32>(room.CLAIMS + q * room.CLAIM);
    const next = nextOf(k);
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

/** Where the next pixel of a sample's segment is told. */
function nextOf(sample: i32): usize {
  return room.NEXT + ((<usize>load<i32>(room.OF + ((<usize>sample) << 2))) << 2);
}

/** Counts each segment's pixels, and tells where they begin. */
function countPixels(end: i32, segments: i32): void {
  memory.fill(room.NEXT, 0, (<usize>segments + 1) << 2);
  for (let q = <usize>room.FIRST; q < <usize>end; q++) {
    const next = nextOf(load<i32>(room.CLAIMS + q * room.CLAIM));
    store<i32>(next, load<i32>(next) + 1);
  }
  let sum = 0;
  for (let i: usize = 0; i <= (<usize>segments) << 2; i += 4) {
    const count = load<i32>(room.NEXT + i);
    store<i32>(room.START + i, sum);
    store<i32>(room.NEXT + i, sum);
    sum += count;
  }
}
