import * as at from './layout';

/** Spreads light by depth over the grid up to cell `end`; beyond it is 0. */
export function spreadInto(out: usize, source: usize, reach: i32, end: i32): void {
  for (let i = 0; i < end; i += 4) {
    // Cell `depth` lies between the grid points INNER - depth - 1 and INNER - depth. What a lane does not reach weighs 0.
    const from = max(0, at.INNER - 4 - i - reach);
    const to = min(at.INNER - 1, at.INNER - 1 - i + reach);
    let s = f64x2.splat(0);
    let t = f64x2.splat(0);
    let kernel = at.KERNEL + ((<usize>(at.MIDDLE + i + from - at.INNER + 1)) << 3);
    for (let depth = from; depth <= to; depth++, kernel += 8) {
      const light = v128.load64_splat(source + ((<usize>depth) << 3));
      s = f64x2.add(s, f64x2.mul(light, v128.load(kernel)));
      t = f64x2.add(t, f64x2.mul(light, v128.load(kernel, 16)));
    }
    const o = out + ((<usize>i) << 3);
    v128.store(o, s);
    v128.store(o, t, 16);
  }
  for (let i = end; i < at.CELLS; i++) store<f64>(out + ((<usize>i) << 3), 0);
}

/** Spreads what the first `count` places outside lack over the grid. */
export function spreadOutside(out: usize, source: usize, count: i32, reach: i32): void {
  for (let i = 0; i < at.CELLS; i += 2) {
    const from = max(0, i - at.INNER - reach);
    const to = min(count - 1, i + 1 - at.INNER + reach);
    let s = f64x2.splat(0);
    let kernel = at.KERNEL + ((<usize>(at.MIDDLE + i - at.INNER - from)) << 3);
    for (let j = from; j <= to; j++, kernel -= 8)
      s = f64x2.add(s, f64x2.mul(v128.load64_splat(source + ((<usize>j) << 3)), v128.load(kernel)));
    v128.store(out + ((<usize>i) << 3), s);
  }
}

/** Smooths a profile by a kernel on every other cell that reaches so many cells; beyond its ends it goes on as it ends. */
export function smoothInto(to: usize, from: usize, kernel: usize, reach: i32): void {
  const ends = (<usize>reach) << 3;
  const last = from + ((at.CELLS - 1) << 3);
  const first = v128.load64_splat(from);
  for (let o: usize = 0; o < ends; o += 16) v128.store(at.PADDED + o, first);
  memory.copy(at.PADDED + ends, from, at.CELLS << 3);
  const beyond = v128.load64_splat(last);
  for (let o: usize = 0; o <= ends; o += 16) v128.store(at.PADDED + ends + (at.CELLS << 3) + o, beyond);
  const middle = v128.load64_splat(kernel);
  for (let i: usize = 0; i < <usize>(at.CELLS << 3); i += 32) {
    const o = at.PADDED + ends + i;
    let s = f64x2.mul(middle, v128.load(o));
    let t = f64x2.mul(middle, v128.load(o, 16));
    for (let d: usize = 16, j = kernel + 8; d <= ends; d += 16, j += 8) {
      const weight = v128.load64_splat(j);
      s = f64x2.add(s, f64x2.mul(weight, f64x2.add(v128.load(o - d), v128.load(o + d))));
      t = f64x2.add(t, f64x2.mul(weight, f64x2.add(v128.load(o - d, 16), v128.load(o + d, 16))));
    }
    v128.store(to + i, s);
    v128.store(to + i, t, 16);
  }
}
