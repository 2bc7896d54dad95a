import { betaCdf, fCdf } from './distributions.ts';
import { lnBeta, lnGamma } from './special.ts';

/** Above this noncentrality Patnaik's central F of like mean and variance (1949) stands for the mixture. */
export const MIXED_UP_TO = 50_000;
/** Terms farther than so many standard deviations from the Poisson mixture's middle are left out. */
const REACH = 9;

/**
 * P(F <= f) for a noncentral F: a Poisson mixture of beta distributions (Johnson, Kotz and Balakrishnan 1995, 30.2), summed from the
 * smallest term up, each from the one before (DLMF 8.17.20).
 *
 * @param lambda  Noncentrality, 0 or more: the sum of squared means over the variance.
 */
export function noncentralFCdf(f: number, d1: number, d2: number, lambda: number): number {
  if (!(f > 0)) return Number.isNaN(f) ? NaN : 0;
  if (lambda > MIXED_UP_TO) return fCdf(f / (1 + lambda / d1), (d1 + lambda) ** 2 / (d1 + 2 * lambda), d2);
  const x = (d1 * f) / (d1 * f + d2);
  const half = lambda / 2;
  if (half === 0) return betaCdf(x, d1 / 2, d2 / 2);
  const [first, last] = [
    Math.floor(half - REACH * Math.sqrt(half) - 5),
    Math.ceil(half + REACH * Math.sqrt(half) + 20),
  ];
  const b = d2 / 2;
  let a = d1 / 2 + last;
  let value = betaCdf(x, a, b);
  // Logarithms: the first terms may be too small to be written.
  let lnTerm = a * Math.log(x) + b * Math.log1p(-x) - Math.log(a) - lnBeta(a, b);
  let lnWeight = -half + last * Math.log(half) - lnGamma(last + 1);
  let sum = 0;
  for (let j = last; ; j--) {
    sum += Math.exp(lnWeight) * value;
    if (j <= Math.max(0, first)) return Math.min(1, sum);
    lnTerm += Math.log(a / (x * (a + b - 1)));
    value = Math.min(1, value + Math.exp(lnTerm));
    a--;
    lnWeight += Math.log(j / half);
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
