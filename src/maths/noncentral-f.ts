import { betaCdf, fCdf } from './distributions.ts';
import { lnGamma } from './special.ts';

/** Above this noncentrality the mixture has too many terms: Patnaik's central F of like mean and variance (1949) stands for it. */
export const MIXED_UP_TO = 300;
/** Terms whose Poisson weight is below this are left out. */
const NEGLIGIBLE = 1e-14;

/**
 * P(F <= f) for a noncentral F: a Poisson mixture of beta distributions (Johnson, Kotz and Balakrishnan 1995, 30.2).
 *
 * @param lambda  Noncentrality, 0 or more: the sum of squared means over the variance.
 */
export function noncentralFCdf(f: number, d1: number, d2: number, lambda: number): number {
  if (!(f > 0)) return Number.isNaN(f) ? NaN : 0;
  if (lambda > MIXED_UP_TO) return fCdf(f / (1 + lambda / d1), (d1 + lambda) ** 2 / (d1 + 2 * lambda), d2);
  const x = (d1 * f) / (d1 * f + d2);
  const half = lambda / 2;
  const weight = (j: number): number =>
    half > 0 ? Math.exp(-half + j * Math.log(half) - lnGamma(j + 1)) : j === 0 ? 1 : 0;
  const centre = Math.floor(half);
  let sum = 0;
  for (let j = centre; j >= 0; j--) {
    const w = weight(j);
    if (w < NEGLIGIBLE && j < centre) break;
    sum += w * betaCdf(x, d1 / 2 + j, d2 / 2);
  }
  for (let j = centre + 1; ; j++) {
    const w = weight(j);
    if (w < NEGLIGIBLE) return Math.min(1, sum);
    sum += w * betaCdf(x, d1 / 2 + j, d2 / 2);
  }
}

/** The noncentrality at which P(F <= f) = p; 0 where even the central F gives less. */
export function noncentralityOfF(p: number, f: number, d1: number, d2: number): number {
  if (noncentralFCdf(f, d1, d2, 0) <= p) return 0;
  let [low, high] = [0, Math.max(1, 2 * d1 * f)];
  while (noncentralFCdf(f, d1, d2, high) > p) high *= 2;
  for (let i = 0; i < 60 && high - low > 1e-7 * high; i++) {
    const middle = (low + high) / 2;
    if (noncentralFCdf(f, d1, d2, middle) > p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
