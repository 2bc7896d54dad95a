import { cholesky } from './linear.ts';
import { seededNormal, seededRandom } from './random.ts';

/** Draws behind probabilities of several quantities at once, and their seed; a probability's own standard error is below 0.0016. */
export const JOINT = { draws: 100_000, seed: 1 } as const;

/** `draws` times `n` independent standard normal numbers, one draw after the other. */
function standardDraws(n: number, draws: number): Float64Array {
  const normal = seededNormal(seededRandom(JOINT.seed));
  const out = new Float64Array(n * draws);
  for (let i = 0; i < out.length; i++) out[i] = normal();
  return out;
}

/** The {@link JOINT} draws that were wanted last, kept for the next die of the same kind: they hang on nothing but how many quantities there are. */
let kept: Float64Array | null = null;
function jointStandard(n: number): Float64Array {
  if (kept?.length !== n * JOINT.draws) kept = standardDraws(n, JOINT.draws);
  return kept;
}

/** Draws for whoever asks often, of many dice or on a page; a share's own standard error is below 0.0016 at 5 %, a fifth of a percent of u where a range is bounded. */
export const FEW_DRAWS = 20_000;
const few = new Map<number, Float64Array>();
/** {@link FEW_DRAWS} of `n` quantities, made once. */
export function fewDraws(n: number): Float64Array {
  const known = few.get(n) ?? standardDraws(n, FEW_DRAWS);
  few.set(n, known);
  return known;
}

/** Largest less smallest. */
export function spread(values: Float64Array): number {
  let least = Infinity;
  let most = -Infinity;
  for (let i = 0; i < values.length; i++) {
    const x = values[i]!;
    if (x < least) least = x;
    if (x > most) most = x;
  }
  return most - least;
}

/**
 * Draws several jointly normal quantities, {@link JOINT} times; same input, same draws.
 *
 * @param covariance  Flat, row-major, same order as `means`.
 * @param visit       Gets each draw; must not keep the array.
 * @param standard    Of {@link fewDraws}, for whoever asks often.
 * @returns           False where the covariance is none; then nothing is drawn.
 */
export function jointDraws(
  means: ArrayLike<number>,
  covariance: Float64Array,
  visit: (draw: Float64Array) => void,
  standard = jointStandard(means.length),
): boolean {
  const n = means.length;
  const factor = cholesky(covariance, n, 1e-12);
  if (!factor) return false;
  const draw = new Float64Array(n);
  for (let k = 0; k < standard.length; k += n) {
    for (let i = 0; i < n; i++) {
      let s = means[i]!;
      for (let j = 0; j <= i; j++) s += factor[i * n + j]! * standard[k + j]!;
      draw[i] = s;
    }
    visit(draw);
  }
  return true;
}

/** Largest less smallest of each of the draws, in their order; null where the covariance is none. A loop of its own: nothing is called for each draw. */
function ranges(means: ArrayLike<number>, covariance: Float64Array, standard: Float64Array): Float64Array | null {
  const n = means.length;
  const factor = cholesky(covariance, n, 1e-12);
  if (!factor) return null;
  const out = new Float64Array(standard.length / n);
  for (let d = 0, k = 0; d < out.length; d++, k += n) {
    let least = Infinity;
    let most = -Infinity;
    for (let i = 0; i < n; i++) {
      let s = means[i]!;
      for (let j = 0; j <= i; j++) s += factor[i * n + j]! * standard[k + j]!;
      if (s < least) least = s;
      if (s > most) most = s;
    }
    out[d] = most - least;
  }
  return out;
}

/** Digits on which all machines agree: their logarithms and cosines, and so the draws, may differ in the last one of 16. */
const SAFE_DIGITS = 12;
const safe = (x: number): number => Number(x.toPrecision(SAFE_DIGITS));

/** What is known of the range of jointly normal quantities. */
export interface KnownRange {
  /** Mean and standard deviation of the drawn ranges. The mean lies above the range of the means: doubt pulls the outer ones apart. */
  readonly mean: number;
  readonly u: number;
  /** Share of draws for which `within` holds. */
  readonly probability: number;
}

/**
 * The range, largest less smallest, of jointly normal quantities by draws: of several that nearly tie any may be the outer one. Null where the covariance is none.
 *
 * @param standard  As for {@link jointDraws}.
 */
export function knownRange(
  means: ArrayLike<number>,
  covariance: Float64Array,
  within: ((range: number) => boolean) | null = null,
  standard = jointStandard(means.length),
): KnownRange | null {
  const drawn = ranges(means, covariance, standard);
  if (!drawn) return null;
  let sum = 0;
  let squares = 0;
  let hits = 0;
  for (let d = 0; d < drawn.length; d++) {
    const range = drawn[d]!;
    sum += range;
    squares += range * range;
    if (within === null || within(range)) hits++;
  }
  const draws = drawn.length;
  const mean = sum / draws;
  const u = Math.sqrt(Math.max(0, squares / draws - mean * mean));
  return { mean, u: safe(u), probability: hits / draws };
}

/** How sure {@link drawnRange} is of the most: as a normal quantity's value with twice its standard uncertainty. */
const SURE = 0.97725;

/** The range of jointly normal quantities by {@link FEW_DRAWS} draws: its mean, and what it lies below. Null where the covariance is none. */
export function drawnRange(
  means: ArrayLike<number>,
  covariance: Float64Array,
): { readonly mean: number; readonly most: number } | null {
  const drawn = ranges(means, covariance, fewDraws(means.length));
  if (!drawn) return null;
  let sum = 0;
  for (let d = 0; d < drawn.length; d++) sum += drawn[d]!;
  return { mean: safe(sum / FEW_DRAWS), most: safe(drawn.sort()[Math.floor(SURE * FEW_DRAWS)]!) };
}

/**
 * How often quantities whose true range is `limit` would be measured as far apart as `means` are: the means drawn together until they are, then drawn with their doubt.
 * A range is measured too large where doubt is no smaller than it, also where nothing differs: before a range is called beyond a limit, this has to be small. Null where the covariance is none.
 *
 * @param standard  As for {@link jointDraws}.
 */
export function shareAsFar(
  means: ArrayLike<number>,
  covariance: Float64Array,
  limit: number,
  standard = fewDraws(means.length),
): number | null {
  const own = Float64Array.from(means);
  const seen = spread(own);
  if (seen <= limit) return 1;
  const middle = own.reduce((s, x) => s + x, 0) / own.length;
  const nearer = own.map((x) => middle + ((x - middle) * limit) / seen);
  const drawn = ranges(nearer, covariance, standard);
  if (!drawn) return null;
  let reached = 0;
  for (let d = 0; d < drawn.length; d++) if (drawn[d]! >= seen) reached++;
  return reached / drawn.length;
}
