import { betaCdf, betaQuantile } from './distributions.ts';
import { lnGamma } from './special.ts';

const lnChoose = (n: number, k: number): number => lnGamma(n + 1) - lnGamma(k + 1) - lnGamma(n - k + 1);

/** P(X <= k) for X binomial with `n` trials of chance `p`; whole n >= 0. By the incomplete beta function (DLMF 8.17.5). */
export function binomialCdf(k: number, n: number, p: number): number {
  const c = Math.floor(k);
  if (c < 0) return 0;
  if (c >= n) return 1;
  return betaCdf(1 - p, n - c, c + 1);
}

/** P(X <= k) where `n` are drawn without putting back from `size` pieces of which `marked` are marked; whole numbers, n <= size. */
export function hypergeometricCdf(k: number, n: number, marked: number, size: number): number {
  const least = Math.max(0, n - (size - marked));
  const most = Math.min(n, marked);
  if (k < least) return 0;
  if (k >= most) return 1;
  const all = lnChoose(size, n);
  let sum = 0;
  for (let x = least; x <= k; x++) sum += Math.exp(lnChoose(marked, x) + lnChoose(size - marked, n - x) - all);
  return Math.min(1, sum);
}

/** Exact interval of a share of which `k` in `n` were seen (Clopper and Pearson 1934), at confidence `1 - alpha`. */
export function shareInterval(k: number, n: number, alpha = 0.05): readonly [number, number] {
  return [k === 0 ? 0 : betaQuantile(alpha / 2, k, n - k + 1), k === n ? 1 : betaQuantile(1 - alpha / 2, k + 1, n - k)];
}
