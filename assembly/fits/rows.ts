import { INDEX_ROW, PAIR, PAIRS, VALUE_ROW, WIDTH } from './layout';

/**
 * Adds weighted rows to normal equations, the lower triangle alone.
 *
 * Rows side by side hang on the same parameters, for their points touch the same balls: where the sums of their pairs stand is looked up once for them.
 *
 * @param cut    Residual in sigmas at which a point's weight has fallen to a half.
 * @param n      Parameters in all.
 * @param terms  What of each row's cost the logarithm is taken of, written here.
 */
export function addRows(
  count: i32,
  cut: f64,
  n: u32,
  index: usize,
  value: usize,
  residual: usize,
  sigma: usize,
  terms: usize,
  a: usize,
  g: usize,
): void {
  let used: usize = 0;
  for (let k = 0; k < count; k++, index += INDEX_ROW, value += VALUE_ROW, residual += 8, sigma += 8, terms += 8) {
    if (k == 0 || !alike(index, index - INDEX_ROW)) used = lookUp(index, n);
    const r = load<f64>(residual);
    const is = 1 / load<f64>(sigma);
    const z = (r * is) / cut;
    const t = 1 + z * z;
    store<f64>(terms, t);
    addRow((is * is) / t, r, used, index, value, a, g);
  }
}

function addRow(w: f64, r: f64, used: usize, index: usize, value: usize, a: usize, g: usize): void {
  const end = value + (used << 3);
  let pair = PAIRS;
  for (let p = value; p < end; p += 8, index += 4) {
    const vp = load<f64>(p) * w;
    const slope = g + ((<usize>load<u32>(index)) << 3);
    store<f64>(slope, load<f64>(slope) + vp * r);
    for (let q = value; q <= p; q += 8, pair += PAIR) {
      const sum = a + <usize>load<u32>(pair);
      store<f64>(sum, load<f64>(sum) + vp * load<f64>(q) * load<f64>(pair, 8));
    }
  }
}

/** Whether two rows hang on the same parameters, in the same order. */
function alike(p: usize, q: usize): bool {
  for (let o: usize = 0; o < INDEX_ROW; o += 8) if (load<u64>(p + o) != load<u64>(q + o)) return false;
  return true;
}

/** Looks up where the sums of a row's pairs stand; returns how many derivatives it uses. */
function lookUp(index: usize, n: u32): usize {
  let pair = PAIRS;
  let used: usize = 0;
  for (; used < WIDTH; used++) {
    const at = index + (used << 2);
    const ip = load<i32>(at);
    if (ip < 0) break;
    for (let q = index; q <= at; q += 4, pair += PAIR) {
      const iq = load<i32>(q);
      const cell: u32 = ip > iq ? <u32>ip * n + <u32>iq : <u32>iq * n + <u32>ip;
      store<u32>(pair, cell << 3);
      // Two derivatives by one parameter: the pair stands on the diagonal, for both of its orders.
      store<f64>(pair, ip == iq && q != at ? 2 : 1, 8);
    }
  }
  return used;
}
