/** Stirling's series of ln Gamma (DLMF 5.11.1): B_2k / (2k (2k - 1)). */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156] as const;
const TINY = 1e-300;
const CLOSE = 1e-16;
const STEPS = 100_000;

/** ln Gamma(x) for x > 0, to about 1e-15. */
export function lnGamma(x: number): number {
  if (!(x > 0)) return NaN;
  let shift = 0;
  let z = x;
  if (z < 10) {
    let product = 1;
    for (; z < 10; z++) product *= z;
    shift = -Math.log(product);
  }
  let sum = 0;
  for (let k = STIRLING.length - 1; k >= 0; k--) sum = sum / (z * z) + STIRLING[k];
  return shift + (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + sum / z;
}

/** ln of the beta function, a, b > 0. */
export const lnBeta = (a: number, b: number): number => lnGamma(a) + lnGamma(b) - lnGamma(a + b);

/**
 * Regularised incomplete gamma functions, both with their own digits: neither is taken as 1 minus the other where it is small.
 *
 * Source: series DLMF 8.11.4, continued fraction DLMF 8.9.2 by Lentz's method.
 *
 * @param a  Above 0.
 */
export function incompleteGamma(a: number, x: number): { readonly lower: number; readonly upper: number } {
  if (!(x > 0)) return Number.isNaN(x) ? { lower: NaN, upper: NaN } : { lower: 0, upper: 1 };
  if (x === Infinity) return { lower: 1, upper: 0 };
  const scale = Math.exp(a * Math.log(x) - x - lnGamma(a));
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let n = 1; n < STEPS && term > CLOSE * sum; n++) {
      term *= x / (a + n);
      sum += term;
    }
    return { lower: scale * sum, upper: 1 - scale * sum };
  }
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let h = d;
  for (let n = 1; n < STEPS; n++) {
    const an = -n * (n - a);
    b += 2;
    d = 1 / notZero(an * d + b);
    c = notZero(b + an / c);
    h *= c * d;
    if (Math.abs(c * d - 1) < CLOSE) break;
  }
  return { lower: 1 - scale * h, upper: scale * h };
}

/** Regularised incomplete beta functions I_x(a, b) and 1 - I_x(a, b); continued fraction DLMF 8.17.22 by Lentz's method. */
export function incompleteBeta(a: number, b: number, x: number): { readonly lower: number; readonly upper: number } {
  if (!(x > 0)) return Number.isNaN(x) ? { lower: NaN, upper: NaN } : { lower: 0, upper: 1 };
  if (x >= 1) return { lower: 1, upper: 0 };
  const scale = Math.exp(a * Math.log(x) + b * Math.log1p(-x) - lnBeta(a, b));
  if (x <= (a + 1) / (a + b + 2)) {
    const lower = (scale * betaFraction(a, b, x)) / a;
    return { lower, upper: 1 - lower };
  }
  const upper = (scale * betaFraction(b, a, 1 - x)) / b;
  return { lower: 1 - upper, upper };
}

function betaFraction(a: number, b: number, x: number): number {
  let c = 1;
  let d = 1 / notZero(1 - ((a + b) * x) / (a + 1));
  let h = d;
  for (let m = 1; m < STEPS; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / notZero(1 + even * d);
    c = notZero(1 + even / c);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / notZero(1 + odd * d);
    c = notZero(1 + odd / c);
    h *= d * c;
    if (Math.abs(d * c - 1) < CLOSE) break;
  }
  return h;
}

const notZero = (x: number): number => (Math.abs(x) < TINY ? TINY : x);
