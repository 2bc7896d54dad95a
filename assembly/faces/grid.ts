import * as at from './layout';

/**
 * Roots of a picture's light on the grid, and where it is on the face: each place is the mean of `sub` x `sub` of it, of which half must be
 * seen. The grid begins at `left`, `top` of the picture, `step` of its pixels from place to place.
 */
export function gridded(size: i32, light: usize, mask: usize, sub: i32, left: f64, top: f64, step: f64): void {
  const zero = f64x2.splat(0);
  const row = <usize>size;
  let o = at.COLOURS;
  for (let j: usize = 0; j < at.SIDE; j++)
    for (let i: usize = 0; i < at.SIDE; i++, o += 16) {
      let rg = zero;
      let b: f64 = 0;
      let n = 0;
      for (let v = 0; v < sub; v++)
        for (let u = 0; u < sub; u++) {
          const x = left + (<f64>i + (<f64>u + 0.5) / <f64>sub) * step - 0.5;
          const y = top + (<f64>j + (<f64>v + 0.5) / <f64>sub) * step - 0.5;
          const px = Math.floor(x);
          const py = Math.floor(y);
          if (px < 0 || py < 0 || px + 1 >= <f64>size || py + 1 >= <f64>size) continue;
          const k = <usize>py * row + <usize>px;
          if (!isWhole(mask + k, row)) continue;
          const fx = x - px;
          const fy = y - py;
          const p = (1 - fx) * (1 - fy);
          const q = fx * (1 - fy);
          const s = (1 - fx) * fy;
          const t = fx * fy;
          const a = light + 12 * k;
          const c = a + 12 * row;
          rg = f64x2.add(rg, f64x2.add(f64x2.add(f64x2.add(two(a, p), two(a + 12, q)), two(c, s)), two(c + 12, t)));
          b += one(a, p) + one(a + 12, q) + one(c, s) + one(c + 12, t);
          n++;
        }
      if (2 * n < sub * sub) {
        v128.store(o, zero);
        continue;
      }
      const roots = f64x2.sqrt(f64x2.max(zero, f64x2.div(rg, f64x2.splat(<f64>n))));
      v128.store64_lane(o, f32x4.demote_f64x2_zero(roots), 0);
      store<f32>(o, <f32>Math.sqrt(max<f64>(0, b / <f64>n)), 8);
      store<f32>(o, 1, 12);
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
function one(pixel: usize, share: f64): f64 {
  return <f64>load<f32>(pixel, 8) * share;
}
