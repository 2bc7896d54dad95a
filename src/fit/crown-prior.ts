import { cholesky, choleskySolve } from '../maths/linear.ts';

/** What is believed of a die's crowns beforehand, mm: all of one die alike, and each by itself about that. */
export interface CrownPrior {
  readonly mean: number;
  /** Standard deviation of what all faces share, and of a face's own about it. */
  readonly common: number;
  readonly own: number;
}

/** The prior's precision matrix: `own` on its diagonal, less `shared` everywhere (the inverse of a diagonal and a constant). */
export function crownPrecision({ common, own }: CrownPrior, count: number): { own: number; shared: number } {
  const w = 1 / own ** 2;
  return { own: w, shared: (w * w * common ** 2) / (1 + count * w * common ** 2) };
}

/** A face that was seen edge-on and showed no crown: how high one might hide there, mm, one standard deviation. */
export interface FlatSight {
  readonly face: number;
  readonly u: number;
}

/** Crowns as they are believed: mm per face, and their covariance, row-major. */
export interface BelievedCrowns {
  readonly values: Float64Array;
  readonly covariance: Float64Array;
}

/** How far the light beside all faces seen edge-on may hide their crowns alike, mm, one standard deviation. */
export const HIDDEN_ALIKE = 0.012;

/** The prior, and what faces say that were seen edge-on and showed no crown: a Gaussian's update by all of them at once. */
export function believedCrowns(
  { mean, common, own }: CrownPrior,
  count: number,
  sights: readonly FlatSight[],
): BelievedCrowns {
  const prior = (p: number, q: number): number => common ** 2 + (p === q ? own ** 2 : 0);
  const covariance = new Float64Array(count * count).fill(prior(0, 1));
  for (let k = 0; k < count; k++) covariance[k * count + k] = prior(k, k);
  const values = new Float64Array(count).fill(mean);
  const n = sights.length;
  if (n === 0) return { values, covariance };
  const seen = Float64Array.from({ length: n * n }, (_, k) => {
    const [i, j] = [Math.floor(k / n), k % n];
    return prior(sights[i]!.face, sights[j]!.face) + HIDDEN_ALIKE ** 2 + (i === j ? sights[i]!.u ** 2 : 0);
  });
  const l = cholesky(seen, n);
  if (!l) return { values, covariance };
  const gain = Array.from({ length: count }, (_, p) =>
    choleskySolve(
      l,
      n,
      sights.map(({ face }) => prior(p, face)),
    ),
  );
  for (let p = 0; p < count; p++) {
    values[p]! -= mean * gain[p]!.reduce((s, v) => s + v, 0);
    for (let q = 0; q < count; q++)
      covariance[p * count + q]! -= sights.reduce((s, { face }, i) => s + gain[p]![i]! * prior(face, q), 0);
  }
  return { values, covariance };
}
