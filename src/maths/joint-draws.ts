import { cholesky } from './linear.ts';
import { seededNormal, seededRandom } from './random.ts';

/** Draws behind probabilities of several quantities at once, and their seed; a probability's own standard error is below 0.0016. */
export const JOINT = { draws: 100_000, seed: 1 } as const;

/**
 * Draws several jointly normal quantities, {@link JOINT} times; same input, same draws.
 *
 * @param covariance  Flat, row-major, same order as `means`.
 * @param visit       Gets each draw; must not keep the array.
 * @returns           False where the covariance is none; then nothing is drawn.
 */
export function jointDraws(
  means: ArrayLike<number>,
  covariance: Float64Array,
  visit: (draw: Float64Array) => void,
): boolean {
  const n = means.length;
  const factor = cholesky(covariance, n, 1e-12);
  if (!factor) return false;
  const normal = seededNormal(seededRandom(JOINT.seed));
  const z = new Float64Array(n);
  const draw = new Float64Array(n);
  for (let k = 0; k < JOINT.draws; k++) {
    for (let i = 0; i < n; i++) z[i] = normal();
    for (let i = 0; i < n; i++) {
      let s = means[i]!;
      for (let j = 0; j <= i; j++) s += factor[i * n + j]! * z[j]!;
      draw[i] = s;
    }
    visit(draw);
  }
  return true;
}

/** Digits on which all machines agree: their logarithms and cosines, and so the draws, may differ in the last one of 16. */
const SAFE_DIGITS = 12;

/** What is known of the range of jointly normal quantities. */
export interface KnownRange {
  /** Mean and standard deviation of the drawn ranges. The mean lies above the range of the means: doubt pulls the outer ones apart. */
  readonly mean: number;
  readonly u: number;
  /** Share of draws for which `within` holds. */
  readonly probability: number;
}

/** The range, largest less smallest, of jointly normal quantities by draws: of several that nearly tie any may be the outer one. Null where the covariance is none. */
export function knownRange(
  means: ArrayLike<number>,
  covariance: Float64Array,
  within: (range: number) => boolean = () => true,
): KnownRange | null {
  let [sum, squares, hits] = [0, 0, 0];
  const drawn = jointDraws(means, covariance, (draw) => {
    const range = Math.max(...draw) - Math.min(...draw);
    sum += range;
    squares += range * range;
    if (within(range)) hits++;
  });
  if (!drawn) return null;
  const mean = sum / JOINT.draws;
  const u = Math.sqrt(Math.max(0, squares / JOINT.draws - mean * mean));
  return { mean, u: Number(u.toPrecision(SAFE_DIGITS)), probability: hits / JOINT.draws };
}
