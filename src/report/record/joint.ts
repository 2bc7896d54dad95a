import { JOINT, jointDraws } from '../../maths/joint-draws.ts';

export { JOINT };

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
  let hits = 0;
  return jointDraws(means, covariance, (draw) => void (within(draw) && hits++)) ? hits / JOINT.draws : null;
}
