import * as at from './layout';

/**
 * Roots of a picture's light on the grid, and where it is on the face: each place is the mean of `sub` x `sub` of it, of which half must be
 * seen. The grid begins at `left`, `top` of the picture, `step` of its pixels from place to place.
 */
export function gridded(size: i32, light: usize, mask: usize, sub: i32, left: f64, top: f64, step: f64): void {
  const row = <usize>size;
  const lines = at.WAYS;
  const columns = lines + WAY * at.SIDE * <usize>sub;
  putWays(lines, size, sub, top, step, row);
  putWays(columns, size, sub, left, step, 1);
  let o = at.COLOURS;
  const one = WAY * <usize>sub;
  for (let down = lines; down < columns; down += one)
    for (let across = columns; across < columns + one * at.SIDE; across += one, o += 16) {
      let rg = f64x2.splat(0);
      let b: f64 = 0;
      let n = 0;
      for (let v = down; v < down + one; v += WAY) {
        const y = load<i32>(v, 16);
        if (y < 0) continue;
        const below = v128.load(v);
        for (let u = across; u < across + one; u += WAY) {
          const x = load<i32>(u, 16);
          if (x < 0) continue;
          const k = <usize>(y + x);
          if (!isWhole(mask + k, row)) continue;
          const beside = v128.load(u);
          const upper = f64x2.mul(beside, i64x2.shuffle(below, below, 0, 0));
          const lower = f64x2.mul(beside, i64x2.shuffle(below, below, 1, 1));
          const p = f64x2.extract_lane(upper, 0);
          const q = f64x2.extract_lane(upper, 1);
          const s = f64x2.extract_lane(lower, 0);
          const t = f64x2.extract_lane(lower, 1);
          const a = light + 12 * k;
          const c = a + 12 * row;
          rg = f64x2.add(rg, f64x2.add(f64x2.add(f64x2.add(two(a, p), two(a + 12, q)), two(c, s)), two(c + 12, t)));
          b += blueOf(a, p) + blueOf(a + 12, q) + blueOf(c, s) + blueOf(c + 12, t);
          n++;
        }
      }
      if (2 * n < sub * sub) {
        v128.store(o, f64x2.splat(0));
        continue;
      }
      const roots = f64x2.sqrt(f64x2.max(f64x2.splat(0), f64x2.div(rg, f64x2.splat(<f64>n))));
      v128.store64_lane(o, f32x4.demote_f64x2_zero(roots), 0);
      store<f32>(o, <f32>Math.sqrt(max<f64>(0, b / <f64>n)), 8);
      store<f32>(o, 1, 12);
    }
}

/** Bytes of a line of samples: the shares of its two pixels, and how far its first one's index is from the first of all, below 0 outside. */
const WAY: usize = 32;

/** Where samples lie along a side of the grid, whose pixels' indices are `pitch` apart. */
function putWays(to: usize, size: i32, sub: i32, from: f64, step: f64, pitch: i32): void {
  for (let i = 0; i < <i32>at.SIDE; i++)
    for (let u = 0; u < sub; u++, to += WAY) {
      const x = from + (<f64>i + (<f64>u + 0.5) / <f64>sub) * step - 0.5;
      const first = Math.floor(x);
      store<f64>(to, 1 - (x - first));
      store<f64>(to, x - first, 8);
      store<i32>(to, first < 0 || first + 1 >= <f64>size ? -1 : <i32>first * pitch, 16);
    }
}

/** Whether a pixel, the one beside it, and those below are shown. */
function isWhole(mask: usize, row: usize): bool {
  return load<u8>(mask) != 0 && load<u8>(mask, 1) != 0 && load<u8>(mask + row) != 0 && load<u8>(mask + row, 1) != 0;
}

/** Red and green of a pixel by its share. */
function two(pixel: usize, share: f64): v128 {
  return f64x2.mul(f64x2.promote_low_f32x4(v128.load64_zero(pixel)), f64x2.splat(share));
}

/** Blue by its share. */
function blueOf(pixel: usize, share: f64): f64 {
  return <f64>load<f32>(pixel, 8) * share;
}
