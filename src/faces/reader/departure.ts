import { tuple } from '../../maths/tuple.ts';
import type { FaceMemory } from '../face-memory.ts';
import { GRID } from './grid.ts';

/** How a place's departure from skin is told. */
export const DEPARTURE = {
  /** Variance of the root of light that is believed of any skin. */
  floor: 2e-5,
  /** Rounds in which the skin's colours are found; every so-many-th place is asked. */
  rounds: 6,
  every: 2,
  /** Squared distance, in squared standard deviations, from which a place departs; and the most that is told. */
  from: 4,
  most: 3,
} as const;

/**
 * How far each place of a grid departs from the colours that its skin has, whatever they are: one colour, clouds, two that swirl. Print
 * departs, and so does a groove that has lost its ink, whether darker or lighter; what is far off counts hardly more than what is near.
 *
 * Distance by the skin's own covariance (Mahalanobis 1936), that being the one of a Cauchy distribution of the face's colours, so that the
 * few that are print hardly count (Kent and Tyler 1991; the estimate bears a quarter of strangers).
 *
 * @param memory Whose colours are differences from the light behind.
 * @returns      Half the log of 1 + the squared distance over {@link DEPARTURE}.from, at most {@link DEPARTURE}.most; 0 outside the face.
 */
export function departures(memory: FaceMemory): Float32Array {
  const out = new Float32Array(GRID * GRID);
  let skin = spreadOf(memory, null);
  for (let round = 0; round < DEPARTURE.rounds && skin; round++) skin = spreadOf(memory, skin);
  if (!skin) return out;
  memory.tell(...skin);
  memory.run.skinSquares();
  const squares = memory.numbers('SQUARES', out.length);
  for (let k = 0; k < out.length; k++)
    if (squares[k] !== 0) out[k] = Math.min(DEPARTURE.most, 0.5 * Math.log1p(squares[k]! / DEPARTURE.from));
  return out;
}

/** Mean and inverse covariance (xx, xy, xz, yy, yz, zz). */
type Spread = readonly number[];

/** Mean and spread of the asked places, each weighted by how near it lies by an earlier spread. */
function spreadOf(memory: FaceMemory, before: Spread | null): Spread | null {
  if (before) memory.tell(...before);
  memory.run.skinSums(DEPARTURE.every, before !== null);
  const [asked, n, sx, sy, sz, xx, xy, xz, yy, yz, zz] = tuple(memory.numbers('RESULTS', 11), 11);
  if (!(n > 0)) return null;
  const [x, y, z] = [sx / n, sy / n, sz / n];
  // A Cauchy distribution's scatter is what its weighted sums give over the number of places, not over the weights.
  const over = before ? asked : n;
  const { floor } = DEPARTURE;
  const inverse = inverseOf(
    (xx - n * x * x) / over + floor,
    (xy - n * x * y) / over,
    (xz - n * x * z) / over,
    (yy - n * y * y) / over + floor,
    (yz - n * y * z) / over,
    (zz - n * z * z) / over + floor,
  );
  return inverse && [x, y, z, ...inverse];
}

function inverseOf(a: number, b: number, c: number, d: number, e: number, f: number): readonly number[] | null {
  const [p, q, r] = [d * f - e * e, c * e - b * f, b * e - c * d];
  const det = a * p + b * q + c * r;
  if (!(det > 0)) return null;
  return [p / det, q / det, r / det, (a * f - c * c) / det, (b * c - a * e) / det, (a * d - b * b) / det];
}
