import { cholesky, choleskySolve } from '../maths/linear.ts';

/** Highest power, both directions together, of the light that is taken for shade, sheen and highlights: they change slowly along a face, print does not. */
const DEGREE = 3;
const TERMS = ((DEGREE + 1) * (DEGREE + 2)) / 2;

/** Legendre's polynomials over a square of cells, one row of TERMS per cell; kept, all looks being of one size. */
const known = new Map<number, Float64Array>();

function termsOf(side: number): Float64Array {
  let out = known.get(side);
  if (out) return out;
  const powers = Array.from({ length: side }, (_, i) => legendre((2 * i + 1) / side - 1));
  out = new Float64Array(side * side * TERMS);
  for (let k = 0, at = 0; k < side * side; k++)
    for (let p = 0; p <= DEGREE; p++)
      for (let q = 0; p + q <= DEGREE; q++, at++) out[at] = powers[k % side]![p]! * powers[Math.floor(k / side)]![q]!;
  known.set(side, out);
  return out;
}

/** P0 to P3 at x. */
const legendre = (x: number): readonly number[] => [1, x, (3 * x * x - 1) / 2, (5 * x * x * x - 3 * x) / 2];

/**
 * Takes the smooth part of the light over the seen cells off each channel, in place: what lamps and sheen do to a flat face.
 *
 * A highlight that wanders between two photos would else make one face look like two.
 *
 * @param cells  Three channels of each cell and whether it counts (1 or 0), rows of `side` cells from the top; those that do not are left as they are.
 * @returns      False where too few are seen for such a surface: nothing was done.
 */
export function takeSmoothLight(cells: Float32Array, side: number): boolean {
  const terms = termsOf(side);
  const moments = new Float64Array(TERMS * TERMS);
  const sums = new Float64Array(3 * TERMS);
  for (let k = 0; k < side * side; k++) {
    if (cells[4 * k + 3] === 0) continue;
    const at = k * TERMS;
    const r = cells[4 * k]!;
    const g = cells[4 * k + 1]!;
    const b = cells[4 * k + 2]!;
    for (let p = 0; p < TERMS; p++) {
      const t = terms[at + p]!;
      for (let q = 0; q <= p; q++) moments[p * TERMS + q]! += t * terms[at + q]!;
      sums[p]! += t * r;
      sums[TERMS + p]! += t * g;
      sums[2 * TERMS + p]! += t * b;
    }
  }
  for (let p = 0; p < TERMS; p++) for (let q = 0; q < p; q++) moments[q * TERMS + p] = moments[p * TERMS + q]!;
  const factor = cholesky(moments, TERMS, 1e-9);
  if (!factor) return false;
  const red = choleskySolve(factor, TERMS, sums.subarray(0, TERMS));
  const green = choleskySolve(factor, TERMS, sums.subarray(TERMS, 2 * TERMS));
  const blue = choleskySolve(factor, TERMS, sums.subarray(2 * TERMS));
  for (let k = 0; k < side * side; k++) {
    if (cells[4 * k + 3] === 0) continue;
    let r = 0;
    let g = 0;
    let b = 0;
    for (let p = 0; p < TERMS; p++) {
      const t = terms[k * TERMS + p]!;
      r += red[p]! * t;
      g += green[p]! * t;
      b += blue[p]! * t;
    }
    cells[4 * k]! -= r;
    cells[4 * k + 1]! -= g;
    cells[4 * k + 2]! -= b;
  }
  return true;
}
