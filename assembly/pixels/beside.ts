/**
 * Pixels beside a straight edge: their luma, and how far they lie from it. All numbers are in double precision, and each is worked out in the order of its terms.
 *
 * An edge is told by numbers one after the other: where it begins (x, y), its direction along (x, y) and across (x, y), its length, how far its middle sags
 * across; then what is told of all: how far its band reaches, where plateaus begin, where bins do and how wide they are, how many, and luma's three weights.
 */
const AX: usize = 0;
const AY: usize = 8;
const TX: usize = 16;
const TY: usize = 24;
const NX: usize = 32;
const NY: usize = 40;
const LENGTH: usize = 48;
const SAG: usize = 56;
const BAND: usize = 64;
const PLATEAU: usize = 72;
const REACH: usize = 80;
const STEP: usize = 88;
const BINS: usize = 96;
const RED: usize = 104;
const GREEN: usize = 112;
const BLUE: usize = 120;

/** Bytes of what is told of a row: its first and its last pixel, and where the first one stands. */
const ROW: usize = 16;

/** Writes which pixels of the picture's rows `y0` to `y1` may lie in an edge's band: from `x0` to `x1` at most, none where the last comes before the first. */
export function rowsBeside(rows: usize, edge: usize, x0: f64, x1: f64, y0: i32, y1: i32): void {
  const ax = load<f64>(edge, AX);
  const tx = load<f64>(edge, TX);
  const nx = load<f64>(edge, NX);
  const length = load<f64>(edge, LENGTH);
  const band = load<f64>(edge, BAND);
  for (let v = y0; v <= y1; v++, rows += ROW) {
    const off = <f64>v - load<f64>(edge, AY);
    const across = off * load<f64>(edge, NY);
    const down = off * load<f64>(edge, TY);
    // Where the row crosses the band, and where the edge's ends; neither nx nor tx is 0.
    const p = ax + (-band - across) / nx;
    const q = ax + (band - across) / nx;
    const a = ax - down / tx;
    const z = ax + (length - down) / tx;
    const from = max(x0, floor(max(min(p, q), min(a, z))) - 1);
    const to = min(x1, ceil(min(max(p, q), max(a, z))) + 1);
    // A row with none is told within the picture too.
    const any = from <= to;
    store<i32>(rows, any ? <i32>from : <i32>x1);
    store<i32>(rows, any ? <i32>to : <i32>x1 - 1, 4);
  }
}

/**
 * Lists the luma of the pixels in an edge's band: before the plateaus' beginning on the dark side, beyond it on the light one, and, with the bin of each, where
 * bins are. Lists have room for two more than there are pixels.
 *
 * @param rows    As {@link rowsBeside} has written them, and where the first pixel of each stands.
 * @param counts  How many there are dark, light and in bins, 4 bytes each.
 */
export function beside(
  counts: usize,
  dark: usize,
  light: usize,
  lumas: usize,
  bins: usize,
  edge: usize,
  rows: usize,
  y0: i32,
  y1: i32,
  channels: usize,
): void {
  const two = f64x2.splat(2);
  const one = f64x2.splat(1);
  const none = f64x2.splat(0);
  const half = f64x2.splat(0.5);
  const ax = v128.load64_splat(edge, AX);
  const tx = v128.load64_splat(edge, TX);
  const nx = v128.load64_splat(edge, NX);
  const length = v128.load64_splat(edge, LENGTH);
  const sag = f64x2.mul(v128.load64_splat(edge, SAG), f64x2.splat(4));
  const band = v128.load64_splat(edge, BAND);
  const plateau = v128.load64_splat(edge, PLATEAU);
  const reach = v128.load64_splat(edge, REACH);
  const step = v128.load64_splat(edge, STEP);
  const last = f64x2.sub(v128.load64_splat(edge, BINS), one);
  const darkFrom = dark;
  const lightFrom = light;
  const binsFrom = bins;
  for (let v = y0; v <= y1; v++, rows += ROW) {
    const off = <f64>v - load<f64>(edge, AY);
    const across = f64x2.splat(off * load<f64>(edge, NY));
    const down = f64x2.splat(off * load<f64>(edge, TY));
    const to = load<i32>(rows, 4);
    let u = load<i32>(rows);
    let places = f64x2(u, u + 1);
    for (let o = load<usize>(rows, 8); u <= to; u += 2, o += 2 * channels, places = f64x2.add(places, two)) {
      const from = f64x2.sub(places, ax);
      const t = f64x2.div(f64x2.add(f64x2.mul(from, tx), down), length);
      const straight = f64x2.add(f64x2.mul(from, nx), across);
      const d = f64x2.sub(straight, f64x2.mul(f64x2.mul(sag, t), f64x2.sub(one, t)));
      let counted = v128.and(f64x2.ge(t, none), f64x2.le(t, one));
      counted = v128.and(counted, f64x2.le(f64x2.abs(d), band));
      if (u == to) counted = v128.and(counted, i64x2(-1, 0));
      if (!v128.any_true(counted)) continue;
      const luma = lumaOf(v128.load32_lane(o + channels, v128.load32_zero(o), 1), edge);
      let which = i64x2.bitmask(v128.and(counted, f64x2.lt(d, f64x2.neg(plateau))));
      dark = added(dark, luma, which);
      which = i64x2.bitmask(v128.and(counted, f64x2.gt(d, plateau)));
      light = added(light, luma, which);
      const place = f64x2.div(f64x2.add(d, reach), step);
      // The nearest whole number, upwards from halves.
      const above = f64x2.ceil(place);
      const bin = f64x2.sub(above, v128.and(f64x2.gt(f64x2.sub(above, half), place), one));
      counted = v128.and(counted, v128.and(f64x2.ge(bin, none), f64x2.le(bin, last)));
      which = i64x2.bitmask(counted);
      const cells = i32x4.trunc_sat_f64x2_s_zero(bin);
      v128.store8_lane(bins, cells, 0);
      v128.store8_lane(bins + (which & 1), cells, 4);
      bins += (which & 1) + (which >> 1);
      lumas = added(lumas, luma, which);
    }
  }
  store<i32>(counts, <i32>((dark - darkFrom) >> 3));
  store<i32>(counts, <i32>((light - lightFrom) >> 3), 4);
  store<i32>(counts, <i32>(bins - binsFrom), 8);
}

/** Luma of two pixels, whose first bytes are red, green and blue. */
function lumaOf(pixels: v128, edge: usize): v128 {
  const byte = i32x4.splat(255);
  const red = f64x2.convert_low_i32x4_u(v128.and(pixels, byte));
  const green = f64x2.convert_low_i32x4_u(v128.and(i32x4.shr_u(pixels, 8), byte));
  const blue = f64x2.convert_low_i32x4_u(v128.and(i32x4.shr_u(pixels, 16), byte));
  const both = f64x2.add(
    f64x2.mul(v128.load64_splat(edge, RED), red),
    f64x2.mul(v128.load64_splat(edge, GREEN), green),
  );
  return f64x2.add(both, f64x2.mul(v128.load64_splat(edge, BLUE), blue));
}

/** Those of two numbers that count at a list's end; returns its new one. */
function added(list: usize, two: v128, which: i32): usize {
  v128.store64_lane(list, two, 0);
  list += (which & 1) << 3;
  v128.store64_lane(list, two, 1);
  return list + ((which >> 1) << 3);
}

/** Adds listed luma to its bins: a sum and a count each. */
export function addBinned(sums: usize, bins: usize, lumas: usize, count: usize): void {
  const one = f64x2.splat(1);
  for (const end = bins + count; bins < end; bins++, lumas += 8) {
    const sum = sums + ((<usize>load<u8>(bins)) << 4);
    v128.store(sum, f64x2.add(v128.load(sum), v128.load64_lane(lumas, one, 0)));
  }
}

/**
 * Of a list of numbers from 0 to 255, those in the whole steps that hold its two middle values, in the order of the list.
 *
 * @param out    They; room for one more.
 * @param steps  Room for 4 bytes a step.
 * @param below  How many numbers of the list come before them, 4 bytes.
 * @returns      How many they are.
 */
export function middling(out: usize, steps: usize, below: usize, list: usize, count: i32): i32 {
  const end = list + ((<usize>count) << 3);
  memory.fill(steps, 0, 1024);
  for (let at = list; at < end; at += 8) {
    const step = steps + ((<usize>(<i32>load<f64>(at))) << 2);
    store<i32>(step, load<i32>(step) + 1);
  }
  let first = 0;
  let before = 0;
  for (
    let here = load<i32>(steps);
    before + here <= (count - 1) >> 1;
    here = load<i32>(steps + ((<usize>first) << 2))
  ) {
    before += here;
    first++;
  }
  let last = first;
  for (let sum = before + load<i32>(steps + ((<usize>first) << 2)); sum <= count >> 1;) {
    last++;
    sum += load<i32>(steps + ((<usize>last) << 2));
  }
  const from = out;
  for (let at = list; at < end; at += 8) {
    const value = load<f64>(at);
    store<f64>(out, value);
    out += (<usize>(<u32>(<i32>value - first) <= <u32>(last - first))) << 3;
  }
  store<i32>(below, before);
  return <i32>((out - from) >> 3);
}

/** How many of a list's numbers lie below a level. */
export function countBelow(list: usize, count: i32, level: f64): i32 {
  let below = i64x2.splat(0);
  const bound = f64x2.splat(level);
  for (const end = list + ((<usize>(count & ~1)) << 3); list < end; list += 16)
    below = i64x2.sub(below, f64x2.lt(v128.load(list), bound));
  const odd = (count & 1) === 1 && load<f64>(list) < level ? 1 : 0;
  return <i32>(i64x2.extract_lane(below, 0) + i64x2.extract_lane(below, 1)) + odd;
}
