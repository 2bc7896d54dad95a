import { cholesky, choleskySolve } from '../maths/linear.ts';
import type { FaceMemory } from './face-memory.ts';

/** Highest power, both directions together, of the light that is taken for shade, sheen and highlights: they change slowly along a face, print does not. */
const DEGREE = 3;
const TERMS = ((DEGREE + 1) * (DEGREE + 2)) / 2;

/** Side of the square of cells for which the memory holds Legendre's polynomials, TERMS per cell: all looks are of one size. */
let laid = 0;

function layTerms(memory: FaceMemory, side: number): void {
  if (laid === side) return;
  const powers = Array.from({ length: side }, (_, i) => legendre((2 * i + 1) / side - 1));
  const out = memory.numbers('TERMS', side * side * TERMS);
  for (let k = 0, at = 0; k < side * side; k++)
    for (let p = 0; p <= DEGREE; p++)
      for (let q = 0; p + q <= DEGREE; q++, at++) out[at] = powers[k % side]![p]! * powers[Math.floor(k / side)]![q]!;
  laid = side;
}

/** P0 to P3 at x. */
const legendre = (x: number): readonly number[] => [1, x, (3 * x * x - 1) / 2, (5 * x * x * x - 3 * x) / 2];

/**
 * Takes the smooth part of the light over the seen cells off each channel, in place: what lamps and sheen do to a flat face.
 *
 * A highlight that wanders between two photos would else make one face look like two.
 *
 * @param cells  Where in the memory three channels of each cell and whether it counts (1 or 0) lie, rows of `side` cells (at most 32) from the top;
 *               those that do not are left as they are.
 * @returns      False where too few are seen for such a surface: nothing was done.
 */
export function takeSmoothLight(memory: FaceMemory, cells: number, side: number): boolean {
  layTerms(memory, side);
  memory.run.smoothSums(cells, side * side);
  const sums = memory.numbers('MOMENTS', TERMS * (TERMS + 3));
  const moments = sums.slice(0, TERMS * TERMS);
  for (let p = 0; p < TERMS; p++) for (let q = 0; q < p; q++) moments[q * TERMS + p] = moments[p * TERMS + q]!;
  const factor = cholesky(moments, TERMS, 1e-9);
  if (!factor) return false;
  for (let at = TERMS * TERMS; at < sums.length; at += TERMS)
    sums.set(choleskySolve(factor, TERMS, sums.subarray(at, at + TERMS)), at);
  memory.run.takeSmooth(cells, side * side);
  return true;
}
