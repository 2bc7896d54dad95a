import { INDEX_ROW, VALUE_ROW, WIDTH } from './layout';

/** Bytes of a stretch's sums before those of its derivatives: weights, and residuals by them. */
const HEAD: usize = 16;

/**
 * Sums over the stretches of an outline, with robust weights.
 *
 * @param stretch  The stretch of each point.
 * @param sums     Of each stretch: of the weights, of the weighted residuals, and of the weighted derivatives by all `n` parameters.
 */
export function sumStretches(
  count: i32,
  cut: f64,
  n: usize,
  stretches: usize,
  stretch: usize,
  index: usize,
  value: usize,
  residual: usize,
  sigma: usize,
  sums: usize,
): void {
  const size = HEAD + (n << 3);
  memory.fill(sums, 0, stretches * size);
  for (let k = 0; k < count; k++, stretch += 4, index += INDEX_ROW, value += VALUE_ROW, residual += 8, sigma += 8) {
    const r = load<f64>(residual);
    const u = load<f64>(sigma);
    const z = r / u / cut;
    const w = 1 / ((1 + z * z) * (u * u));
    const s = sums + <usize>load<u32>(stretch) * size;
    store<f64>(s, load<f64>(s) + w);
    store<f64>(s, load<f64>(s, 8) + w * r, 8);
    for (let p: usize = 0; p < WIDTH; p++) {
      const i = load<i32>(index + (p << 2));
      if (i < 0) break;
      const sum = s + HEAD + ((<usize>i) << 3);
      store<f64>(sum, load<f64>(sum) + w * load<f64>(value + (p << 3)));
    }
  }
}

/**
 * Takes the stretches' own offsets out of the normal equations, their lower triangle.
 *
 * @param variances  Of each stretch's offset, px^2; what taking it out takes off the cost is written over it.
 * @param used       Room for the parameters that a stretch hangs on: few of all.
 */
export function takeOutStretches(
  n: usize,
  stretches: usize,
  sums: usize,
  variances: usize,
  used: usize,
  a: usize,
  g: usize,
): void {
  const size = HEAD + (n << 3);
  for (let s: usize = 0; s < stretches; s++, sums += size, variances += 8) {
    const v2 = load<f64>(variances);
    const r = load<f64>(sums, 8);
    const k = v2 / (1 + v2 * load<f64>(sums));
    takeOut(n, k, r, sums + HEAD, used, a, g);
    store<f64>(variances, (k * r * r) / 2);
  }
}

function takeOut(n: usize, k: f64, r: f64, derivative: usize, used: usize, a: usize, g: usize): void {
  let end = used;
  for (let i: usize = 0; i < n; i++) {
    const d = load<f64>(derivative + (i << 3));
    if (d == 0) continue;
    store<u32>(end, <u32>(i << 3));
    end += 4;
    const v = k * d;
    const slope = g + (i << 3);
    store<f64>(slope, load<f64>(slope) - v * r);
    const row = a + i * (n << 3);
    for (let u = used; u < end; u += 4) {
      const j = <usize>load<u32>(u);
      store<f64>(row + j, load<f64>(row + j) - v * load<f64>(derivative + j));
    }
  }
}
