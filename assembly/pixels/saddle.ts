/** Windows of luma in single precision, row by row: smoothed, and where their gradients meet. All sums are taken in double precision, each in the order of its terms. */

/**
 * Smooths a window along its rows and then its columns, in place; beyond its border it goes on as it ends.
 *
 * @param half    Room for the window.
 * @param line    Room for a row in double precision and `reach` more on both sides.
 * @param kernel  Weights from the middle on, in double precision.
 */
export function smooth(data: usize, half: usize, line: usize, kernel: usize, reach: i32, w: i32, h: i32): void {
  const across = (<usize>w) << 2;
  for (let y = 0, o: usize = 0; y < h; y++, o += across) smoothRow(half + o, data + o, line, kernel, reach, w);
  for (let y = 0, o: usize = 0; y < h; y++, o += across) smoothColumns(data + o, half, y, kernel, reach, w, h);
}

function smoothRow(out: usize, row: usize, line: usize, kernel: usize, reach: i32, w: i32): void {
  const inner = line + ((<usize>reach) << 3);
  const end = inner + ((<usize>w) << 3);
  for (let to = inner, from = row; to < end; to += 16, from += 8) v128.store(to, pairAt(from));
  const first = load<f64>(inner);
  const last = load<f64>(end - 8);
  for (let k: usize = 0; k < (<usize>reach) << 3; k += 8) {
    store<f64>(line + k, first);
    store<f64>(end + k, last);
  }
  for (let i = inner; i < end; i += 32, out += 16) {
    const middle = v128.load64_splat(kernel);
    let s = f64x2.mul(middle, v128.load(i));
    let t = f64x2.mul(middle, v128.load(i, 16));
    for (let j = 1, d: usize = 8; j <= reach; j++, d += 8) {
      const weight = v128.load64_splat(kernel + d);
      s = f64x2.add(s, f64x2.mul(weight, f64x2.add(v128.load(i - d), v128.load(i + d))));
      t = f64x2.add(t, f64x2.mul(weight, f64x2.add(v128.load(i - d, 16), v128.load(i + d, 16))));
    }
    storeFour(out, s, t);
  }
}

function smoothColumns(out: usize, half: usize, y: i32, kernel: usize, reach: i32, w: i32, h: i32): void {
  const across = (<usize>w) << 2;
  const here = half + <usize>y * across;
  const middle = v128.load64_splat(kernel);
  for (let o: usize = 0; o < across; o += 16) {
    let s = f64x2.mul(middle, pairAt(here + o));
    let t = f64x2.mul(middle, pairAt(here + o + 8));
    for (let j = 1; j <= reach; j++) {
      const weight = v128.load64_splat(kernel + ((<usize>j) << 3));
      const upper = half + <usize>max(0, y - j) * across + o;
      const lower = half + <usize>min(h - 1, y + j) * across + o;
      s = f64x2.add(s, f64x2.mul(weight, f64x2.add(pairAt(upper), pairAt(lower))));
      t = f64x2.add(t, f64x2.mul(weight, f64x2.add(pairAt(upper + 8), pairAt(lower + 8))));
    }
    storeFour(out + o, s, t);
  }
}

function pairAt(place: usize): v128 {
  return f64x2.promote_low_f32x4(v128.load64_zero(place));
}

function storeFour(out: usize, a: v128, b: v128): void {
  v128.store(out, i64x2.shuffle(f32x4.demote_f64x2_zero(a), f32x4.demote_f64x2_zero(b), 0, 2));
}

/** Products of Sobel's gradients of a window, three windows `apart` bytes one after the other (xx, xy, yy); its outermost pixels have none. */
export function products(out: usize, apart: usize, data: usize, w: i32, h: i32): void {
  const across = (<usize>w) << 2;
  for (let y = 1; y < h - 1; y++) {
    const row = <usize>y * across;
    for (let k = row + 4, end = row + across - 4; k < end; k += 8) {
      const upper = data + k - across;
      const here = data + k;
      const lower = data + k + across;
      const a = pairAt(upper - 4);
      const b = pairAt(upper + 4);
      const c = pairAt(lower - 4);
      const e = pairAt(lower + 4);
      const right = f64x2.sub(pairAt(here + 4), pairAt(here - 4));
      const down = f64x2.sub(pairAt(lower), pairAt(upper));
      const two = f64x2.splat(2);
      // Central differences, smoothed across.
      const gx = f64x2.sub(f64x2.sub(f64x2.add(f64x2.add(f64x2.mul(two, right), b), e), a), c);
      const gy = f64x2.sub(f64x2.sub(f64x2.add(f64x2.add(f64x2.mul(two, down), c), e), a), b);
      const o = out + k;
      v128.store64_lane(o, f32x4.demote_f64x2_zero(f64x2.mul(gx, gx)), 0);
      v128.store64_lane(o + apart, f32x4.demote_f64x2_zero(f64x2.mul(gx, gy)), 0);
      v128.store64_lane(o + 2 * apart, f32x4.demote_f64x2_zero(f64x2.mul(gy, gy)), 0);
    }
  }
}

/**
 * Sums over an ellipse round (x, y): of the products xx, xy, yy, and of xx dx + xy dy and xy dx + yy dy, weighted by 1 - wxx dx^2 - 2 wxy dx dy - wyy dy^2.
 *
 * @param sums  Where the five stand afterwards.
 * @param from  The product xx of pixel (first, top); products are `apart` bytes apart, a row is `w` pixels long.
 */
export function weighted(
  sums: usize,
  from: usize,
  apart: usize,
  w: i32,
  first: i32,
  last: i32,
  top: i32,
  end: i32,
  x: f64,
  y: f64,
  wxx: f64,
  wxy: f64,
  wyy: f64,
): void {
  const none = f64x2.splat(0);
  let squares = none;
  let rest = none;
  let pulls = none;
  for (let j = top; j <= end; j++, from += (<usize>w) << 2) {
    const down = <f64>j - y;
    const dy = f64x2.splat(down);
    const fall = f64x2.splat(1 - wyy * down * down);
    const slant = f64x2.splat(2 * wxy * down);
    for (let i = first, o = from; i <= last; i += 2, o += 8) {
      const dx = f64x2.sub(f64x2(i, i + 1), f64x2.splat(x));
      const weight = f64x2.sub(fall, f64x2.mul(dx, f64x2.add(f64x2.mul(f64x2.splat(wxx), dx), slant)));
      let counted = f64x2.gt(weight, none);
      if (i == last) counted = v128.and(counted, i64x2(-1, 0));
      if (!v128.any_true(counted)) continue;
      // What does not count adds 0, which changes no sum.
      const xx = v128.and(counted, f64x2.mul(weight, pairAt(o)));
      const xy = v128.and(counted, f64x2.mul(weight, pairAt(o + apart)));
      const yy = v128.and(counted, f64x2.mul(weight, pairAt(o + 2 * apart)));
      const p = f64x2.add(f64x2.mul(xx, dx), f64x2.mul(xy, dy));
      const q = f64x2.add(f64x2.mul(xy, dx), f64x2.mul(yy, dy));
      squares = f64x2.add(f64x2.add(squares, i64x2.shuffle(xx, xy, 0, 2)), i64x2.shuffle(xx, xy, 1, 3));
      rest = f64x2.add(f64x2.add(rest, yy), i64x2.shuffle(yy, yy, 1, 1));
      pulls = f64x2.add(f64x2.add(pulls, i64x2.shuffle(p, q, 0, 2)), i64x2.shuffle(p, q, 1, 3));
    }
  }
  v128.store(sums, squares);
  v128.store64_lane(sums, rest, 0, 16);
  v128.store(sums, pulls, 24);
}

/**
 * Compares a window with itself turned by half a turn about (x, y), over an ellipse as of {@link weighted}.
 *
 * @param sums    Where these stand afterwards: how many pixels count; the sums of them, of their squares, and of the squares of what they differ by.
 * @param data    The window, whose first pixel is (left, up).
 */
export function compared(
  sums: usize,
  data: usize,
  w: i32,
  left: i32,
  up: i32,
  first: i32,
  last: i32,
  top: i32,
  end: i32,
  x: f64,
  y: f64,
  wxx: f64,
  wxy: f64,
  wyy: f64,
): void {
  const none = f64x2.splat(0);
  const one = f64x2.splat(1);
  const across = (<usize>w) << 2;
  let count = 0;
  let both = none;
  let differences = none;
  for (let j = top; j <= end; j++) {
    const down = <f64>j - y;
    const fall = f64x2.splat(wyy * down * down);
    const opposite = 2 * y - <f64>j - <f64>up;
    const above = floor(opposite);
    const b = f64x2.splat(opposite - above);
    const oppositeRow = data + <usize>(<i32>above) * across;
    let o = data + ((<usize>(j - up) * <usize>w + <usize>(first - left)) << 2);
    for (let i = first; i <= last; i += 2, o += 8) {
      const places = f64x2(i, i + 1);
      const dx = f64x2.sub(places, f64x2.splat(x));
      const straight = f64x2.sub(one, f64x2.mul(f64x2.mul(f64x2.splat(wxx), dx), dx));
      const slant = f64x2.mul(f64x2.mul(f64x2.splat(2 * wxy), dx), f64x2.splat(down));
      let counted = f64x2.gt(f64x2.sub(f64x2.sub(straight, slant), fall), none);
      if (i == last) counted = v128.and(counted, i64x2(-1, 0));
      if (!v128.any_true(counted)) continue;
      const u = f64x2.sub(f64x2.sub(f64x2.splat(2 * x), places), f64x2.splat(left));
      const whole = f64x2.floor(u);
      const cells = i32x4.trunc_sat_f64x2_s_zero(whole);
      const p = oppositeRow + ((<usize>i32x4.extract_lane(cells, 0)) << 2);
      const q = oppositeRow + ((<usize>i32x4.extract_lane(cells, 1)) << 2);
      const a = f64x2.sub(u, whole);
      const upper = between(pairAt(p), pairAt(q), a);
      const lower = between(pairAt(p + across), pairAt(q + across), a);
      const turned = f64x2.add(f64x2.mul(f64x2.sub(one, b), upper), f64x2.mul(b, lower));
      const value = v128.and(counted, pairAt(o));
      const squared = f64x2.mul(value, value);
      const difference = v128.and(counted, f64x2.sub(value, turned));
      const square = f64x2.mul(difference, difference);
      count += popcnt(i64x2.bitmask(counted));
      both = f64x2.add(f64x2.add(both, i64x2.shuffle(value, squared, 0, 2)), i64x2.shuffle(value, squared, 1, 3));
      differences = f64x2.add(f64x2.add(differences, square), i64x2.shuffle(square, square, 1, 1));
    }
  }
  store<f64>(sums, <f64>count);
  v128.store(sums, both, 8);
  v128.store64_lane(sums, differences, 0, 24);
}

/** Between two pixels and those right of them, by shares of these. */
function between(p: v128, q: v128, share: v128): v128 {
  const here = i64x2.shuffle(p, q, 0, 2);
  const right = i64x2.shuffle(p, q, 1, 3);
  return f64x2.add(f64x2.mul(f64x2.sub(f64x2.splat(1), share), here), f64x2.mul(share, right));
}
