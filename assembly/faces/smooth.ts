import * as at from './layout';

const CELL: usize = 16;
/** Terms of the smooth light and bytes of a cell's. */
const TERMS: usize = 10;
const ROW: usize = 8 * TERMS;
const RED: usize = at.MOMENTS + ROW * TERMS;
const GREEN: usize = RED + ROW;
const BLUE: usize = GREEN + ROW;
const END: usize = BLUE + ROW;

/** Sums over the seen cells: of each two terms' product, of which the lower triangle counts, and of each term's with each channel's light. */
export function smoothSums(cells: usize, count: i32): void {
  memory.fill(at.MOMENTS, 0, END - at.MOMENTS);
  const end = cells + CELL * <usize>count;
  for (let terms = at.TERMS; cells < end; cells += CELL, terms += ROW) {
    if (load<f32>(cells, 12) == 0) continue;
    const red = f64x2.splat(<f64>load<f32>(cells));
    const green = f64x2.splat(<f64>load<f32>(cells, 4));
    const blue = f64x2.splat(<f64>load<f32>(cells, 8));
    for (let q: usize = 0; q < ROW; q += 16) {
      const pair = v128.load(terms + q);
      add(RED + q, f64x2.mul(pair, red));
      add(GREEN + q, f64x2.mul(pair, green));
      add(BLUE + q, f64x2.mul(pair, blue));
      // A column beyond the diagonal is taken along.
      for (let p = q; p < ROW; p += 8) add(at.MOMENTS + TERMS * p + q, f64x2.mul(v128.load64_splat(terms + p), pair));
    }
  }
}

function add(place: usize, pair: v128): void {
  v128.store(place, f64x2.add(v128.load(place), pair));
}

/** Takes the terms' weighted sum, the weights standing where the sums with light stood, off the seen cells. */
export function takeSmooth(cells: usize, count: i32): void {
  const end = cells + CELL * <usize>count;
  for (let terms = at.TERMS; cells < end; cells += CELL, terms += ROW) {
    if (load<f32>(cells, 12) == 0) continue;
    let red: f64 = 0;
    let green: f64 = 0;
    let blue: f64 = 0;
    for (let p: usize = 0; p < ROW; p += 8) {
      const t = load<f64>(terms + p);
      red += load<f64>(RED + p) * t;
      green += load<f64>(GREEN + p) * t;
      blue += load<f64>(BLUE + p) * t;
    }
    store<f32>(cells, <f32>(<f64>load<f32>(cells) - red));
    store<f32>(cells, <f32>(<f64>load<f32>(cells, 4) - green), 4);
    store<f32>(cells, <f32>(<f64>load<f32>(cells, 8) - blue), 8);
  }
}
