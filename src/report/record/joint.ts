import { cholesky } from '../../maths/linear.ts';
import { seededNormal, seededRandom } from '../../maths/random.ts';

/** Draws for the probability that several quantities lie within their limits at once; its own standard error is below 0.004. */
export const JOINT = { draws: 20_000, seed: 1 } as const;

/**
 * Probability that all of several jointly normal quantities satisfy a condition, from seeded draws.
 *
 * @param covariance  Flat, row-major, same order as `means`.
 * @param within      Whether one draw satisfies it; must not keep the array.
 * @returns           Null where the covariance is none.
 */
export function jointProbability(
  means: ArrayLike<number>,
  covariance: Float64Array,
  within: (draw: Float64Array) => boolean,
): number | null {
  const n = means.length;
  const factor = cholesky(covariance, n, 1e-12);
  if (!factor) return null;
  const normal = seededNormal(seededRandom(JOINT.seed));
  const z = new Float64Array(n);
  const draw = new Float64Array(n);
  let hits = 0;
  for (let k = 0; k < JOINT.draws; k++) {
    for (let i = 0; i < n; i++) z[i] = normal();
    for (let i = 0; i < n; i++) {
      let s = means[i]!;
      for (let j = 0; j <= i; j++) s += factor[i * n + j]! * z[j]!;
      draw[i] = s;
    }
    if (within(draw)) hits++;
  }
  return hits / JOINT.draws;
}
