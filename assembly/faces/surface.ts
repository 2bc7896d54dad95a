import * as at from './layout';

/**
 * The even surface of a face: see `face-departure.ts` of the marks, which states the numbers. Pixels that are asked for it lie one after the other in
 * lists of `room` numbers each: how far they lie right and down, from -1 to 1, their light, how far they depart, those of the ones that count,
 * all in double precision; their indices (four bytes) and whether they count (one).
 */
function down(list: usize, room: usize): usize {
  return list + 8 * room;
}

function light(list: usize, room: usize): usize {
  return list + 16 * room;
}

function off(list: usize, room: usize): usize {
  return list + 24 * room;
}

function packed(list: usize, room: usize): usize {
  return list + 32 * room;
}

function index(list: usize, room: usize): usize {
  return list + 40 * room;
}

function counts(list: usize, room: usize): usize {
  return list + 44 * room;
}

/** The surface's six numbers: 1, x, y, x^2, xy, y^2. */
const S0: usize = at.PARAMETERS;
const S1: usize = S0 + 8;
const S2: usize = S0 + 16;
const S3: usize = S0 + 24;
const S4: usize = S0 + 32;
const S5: usize = S0 + 40;

/** Light of the mask's pixels, the mean of their channels, into `luma`; each `stride`-th is listed and counts. Returns how many these are. */
export function listed(
  size: i32,
  colours: usize,
  mask: usize,
  luma: usize,
  stride: i32,
  list: usize,
  room: usize,
): i32 {
  const half = <f64>(size - 1) / 2;
  memory.fill(luma, 0, 4 * size * size);
  let n: usize = 0;
  let next = 0;
  for (let y = 0, k: usize = 0; y < size; y++)
    for (let x = 0; x < size; x++, k++) {
      if (load<u8>(mask + k) == 0) continue;
      const c = colours + 12 * k;
      const mean = <f32>((<f64>load<f32>(c) + <f64>load<f32>(c, 4) + <f64>load<f32>(c, 8)) / 3);
      store<f32>(luma + (k << 2), mean);
      if (next-- > 0) continue;
      next = stride - 1;
      store<f64>(list + (n << 3), (<f64>x - half) / half);
      store<f64>(down(list, room) + (n << 3), (<f64>y - half) / half);
      store<f64>(light(list, room) + (n << 3), <f64>mean);
      store<i32>(index(list, room) + (n << 2), <i32>k);
      store<u8>(counts(list, room) + n, 1);
      n++;
    }
  return <i32>n;
}

/** How far the listed pixels depart from the surface as told, either way; those of the ones that count are packed, and their number returned. */
export function departed(list: usize, room: usize, count: i32): i32 {
  const s0 = v128.load64_splat(S0);
  const s1 = v128.load64_splat(S1);
  const s2 = v128.load64_splat(S2);
  const s3 = v128.load64_splat(S3);
  const s4 = v128.load64_splat(S4);
  const s5 = v128.load64_splat(S5);
  let to = packed(list, room);
  // One beyond an odd number is taken along.
  for (let n: usize = 0; n < <usize>count; n += 2) {
    const x = v128.load(list + (n << 3));
    const y = v128.load(down(list, room) + (n << 3));
    const height = heightAt(s0, s1, s2, s3, s4, s5, x, y);
    const quotient = f64x2.div(v128.load(light(list, room) + (n << 3)), height);
    const departure = f64x2.abs(f64x2.sub(quotient, f64x2.splat(1)));
    v128.store(off(list, room) + (n << 3), departure);
    const keep = counts(list, room) + n;
    store<f64>(to, f64x2.extract_lane(departure, 0));
    to += (<usize>load<u8>(keep)) << 3;
    if (n + 1 == <usize>count) break;
    store<f64>(to, f64x2.extract_lane(departure, 1));
    to += (<usize>load<u8>(keep, 1)) << 3;
  }
  return <i32>((to - packed(list, room)) >> 3);
}

function heightAt(s0: v128, s1: v128, s2: v128, s3: v128, s4: v128, s5: v128, x: v128, y: v128): v128 {
  const across = f64x2.add(f64x2.add(s1, f64x2.mul(s3, x)), f64x2.mul(s4, y));
  return f64x2.add(f64x2.add(s0, f64x2.mul(x, across)), f64x2.mul(y, f64x2.add(s2, f64x2.mul(s5, y))));
}

/** How many listed pixels depart by less than a limit. */
export function within(list: usize, room: usize, count: i32, limit: f64): i32 {
  let n = 0;
  for (let o = off(list, room), end = o + ((<usize>count) << 3); o < end; o += 8) n += i32(load<f64>(o) < limit);
  return n;
}

/**
 * From now on those that depart by less count. Sums over them: of each two terms' product, row by row in pairs, and one behind the diagonal where
 * the row is of an odd length; then of each term times the light. The first row, a count, is left out.
 */
// Long because it is hot: all sums stand in local numbers.
export function surfaceSums(list: usize, room: usize, count: i32, limit: f64): void {
  const zero = f64x2.splat(0);
  let x0 = zero,
    y0 = zero,
    y1 = zero,
    p0 = zero,
    p1 = zero,
    q0 = zero,
    q1 = zero,
    q2 = zero;
  let r0 = zero,
    r1 = zero,
    r2 = zero,
    l0 = zero,
    l1 = zero,
    l2 = zero;
  for (let n: usize = 0; n < <usize>count; n++) {
    const keep = load<f64>(off(list, room) + (n << 3)) < limit;
    store<u8>(counts(list, room) + n, <u8>keep);
    if (!keep) continue;
    const xs = v128.load64_splat(list + (n << 3));
    const ys = v128.load64_splat(down(list, room) + (n << 3));
    const value = v128.load64_splat(light(list, room) + (n << 3));
    const one = f64x2.replace_lane(xs, 0, 1);
    const xx = f64x2.mul(xs, xs);
    const xy = f64x2.mul(xs, ys);
    const yy = f64x2.mul(ys, ys);
    const two = i64x2.shuffle(ys, xx, 0, 2);
    const three = i64x2.shuffle(xy, yy, 0, 2);
    x0 = f64x2.add(x0, f64x2.mul(xs, one));
    y0 = f64x2.add(y0, f64x2.mul(ys, one));
    y1 = f64x2.add(y1, f64x2.mul(ys, two));
    p0 = f64x2.add(p0, f64x2.mul(xx, one));
    p1 = f64x2.add(p1, f64x2.mul(xx, two));
    q0 = f64x2.add(q0, f64x2.mul(xy, one));
    q1 = f64x2.add(q1, f64x2.mul(xy, two));
    q2 = f64x2.add(q2, f64x2.mul(xy, three));
    r0 = f64x2.add(r0, f64x2.mul(yy, one));
    r1 = f64x2.add(r1, f64x2.mul(yy, two));
    r2 = f64x2.add(r2, f64x2.mul(yy, three));
    l0 = f64x2.add(l0, f64x2.mul(value, one));
    l1 = f64x2.add(l1, f64x2.mul(value, two));
    l2 = f64x2.add(l2, f64x2.mul(value, three));
  }
  v128.store(at.RESULTS, x0);
  v128.store(at.RESULTS, y0, 16);
  v128.store(at.RESULTS, y1, 32);
  v128.store(at.RESULTS, p0, 48);
  v128.store(at.RESULTS, p1, 64);
  v128.store(at.RESULTS, q0, 80);
  v128.store(at.RESULTS, q1, 96);
  v128.store(at.RESULTS, q2, 112);
  v128.store(at.RESULTS, r0, 128);
  v128.store(at.RESULTS, r1, 144);
  v128.store(at.RESULTS, r2, 160);
  v128.store(at.RESULTS, l0, 176);
  v128.store(at.RESULTS, l1, 192);
  v128.store(at.RESULTS, l2, 208);
}

/** The light of the mask's pixels becomes what it is over the surface's as told, less 1. */
export function takeSurface(size: i32, mask: usize, luma: usize): void {
  const s0 = v128.load64_splat(S0);
  const s1 = v128.load64_splat(S1);
  const s2 = v128.load64_splat(S2);
  const s3 = v128.load64_splat(S3);
  const s4 = v128.load64_splat(S4);
  const s5 = v128.load64_splat(S5);
  const half = <f64>(size - 1) / 2;
  for (let x = 0; x < size; x++) store<f64>(at.WAYS + ((<usize>x) << 3), (<f64>x - half) / half);
  for (let y = 0; y < size; y++, mask += <usize>size, luma += (<usize>size) << 2) {
    const v = v128.load64_splat(at.WAYS + ((<usize>y) << 3));
    // The picture's own edge is not of the mask: a pair may begin at any pixel.
    for (let x: usize = 0; x + 1 < <usize>size; x += 2) {
      const both = load<u16>(mask + x);
      if (both == 0) continue;
      const place = luma + (x << 2);
      const before = v128.load64_zero(place);
      const height = heightAt(s0, s1, s2, s3, s4, s5, v128.load(at.WAYS + (x << 3)), v);
      const share = f64x2.sub(f64x2.div(f64x2.promote_low_f32x4(before), height), f64x2.splat(1));
      const after = f32x4.demote_f64x2_zero(share);
      if ((both & 0xff) != 0) v128.store32_lane(place, after, 0);
      if (both > 0xff) v128.store32_lane(place, after, 1, 4);
    }
  }
}

/** Means of `values` over three by three pixels of which those count that the mask has, 1 or 0; 0 outside the mask, which does not reach the edge. */
export function softened(size: i32, mask: usize, values: usize, out: usize): void {
  const row = <usize>size;
  memory.fill(out, 0, 4 * size * size);
  for (let k = row; k < row * (row - 1); k += 16) {
    const many = v128.load(mask + k);
    if (!v128.any_true(many)) continue;
    const number = i8x16.add(i8x16.add(threeAt(mask + k - row), threeAt(mask + k)), threeAt(mask + k + row));
    v128.store(at.WAYS, number);
    const end = min(k + 16, row * (row - 1));
    for (let p = k; p < end; p += 2) {
      const both = load<u16>(mask + p);
      if (both == 0) continue;
      let sum = f64x2.splat(0);
      const above = values + ((p - row - 1) << 2);
      for (let place = above; place <= above + (row << 3); place += row << 2) {
        sum = f64x2.add(sum, f64x2.promote_low_f32x4(v128.load64_zero(place)));
        sum = f64x2.add(sum, f64x2.promote_low_f32x4(v128.load64_zero(place, 4)));
        sum = f64x2.add(sum, f64x2.promote_low_f32x4(v128.load64_zero(place, 8)));
      }
      const shown = i32x4(load<u8>(at.WAYS + p - k), load<u8>(at.WAYS + p - k, 1), 0, 0);
      const means = f32x4.demote_f64x2_zero(f64x2.div(sum, f64x2.convert_low_i32x4_u(shown)));
      if ((both & 0xff) != 0) v128.store32_lane(out + (p << 2), means, 0);
      if (both > 0xff) v128.store32_lane(out + (p << 2), means, 1, 4);
    }
  }
}

/** Of sixteen pixels each and those on either side, how many a mask has. */
function threeAt(mask: usize): v128 {
  return i8x16.add(i8x16.add(v128.load(mask - 1), v128.load(mask)), v128.load(mask + 1));
}

/** How far the listed pixels that count depart in a picture of it, either way, packed; returns how many these are. */
export function departedIn(values: usize, list: usize, room: usize, count: i32): i32 {
  let to = packed(list, room);
  for (let n: usize = 0; n < <usize>count; n++) {
    const place = (<usize>load<i32>(index(list, room) + (n << 2))) << 2;
    store<f64>(to, <f64>Math.abs(<f64>load<f32>(values + place)));
    to += (<usize>load<u8>(counts(list, room) + n)) << 3;
  }
  return <i32>((to - packed(list, room)) >> 3);
}
