import { betaQuantile } from '../../maths/distributions.ts';
import { lnGamma } from '../../maths/special.ts';

/** How uneven a die is expected to be before it is rolled: Cohen's w of a usual die (a modelling choice; measured flaws are of this size). */
export const PRIOR_UNEVENNESS = 0.1;

/** Concentration of the Dirichlet prior whose dice have a root mean square w: a = ((k - 1) / w^2 - 1) / k. */
export const concentration = (faces: number, w: number = PRIOR_UNEVENNESS): number =>
  ((faces - 1) / (w * w) - 1) / faces;

/**
 * Logarithm of the Bayes factor of "uneven, Dirichlet(a, ..., a)" against "even". Under an even die it is the logarithm of a test martingale: at any time, however
 * the end was chosen, P(it ever reaches ln(1 / alpha)) <= alpha (Ville 1939).
 */
export function lnEvidence(counts: ArrayLike<number>, a: number): number {
  const k = counts.length;
  let n = 0;
  let sum = 0;
  for (let i = 0; i < k; i++) {
    n += counts[i];
    sum += lnGamma(counts[i] + a) - lnGamma(a);
  }
  return lnGamma(k * a) - lnGamma(n + k * a) + sum + n * Math.log(k);
}

export interface EvidencePath {
  /** ln of the e-value after all rolls. */
  readonly last: number;
  /** Its largest value so far and after which roll. */
  readonly largest: number;
  readonly largestAt: number;
  /** A p value that holds whenever one looks: 1 / max E, at most 1. */
  readonly p: number;
  /** [roll, ln E] at up to 400 even places, flat: for drawing. */
  readonly path: Float64Array;
}

const PATH_POINTS = 400;

/** The e-value roll by roll; one pass, any length. */
export function evidencePath(sequence: ArrayLike<number>, faces: number, a: number): EvidencePath {
  const counts = new Float64Array(faces);
  const n = sequence.length;
  const every = Math.max(1, Math.ceil(n / PATH_POINTS));
  const path: number[] = [];
  let ln = 0;
  let largest = 0;
  let largestAt = 0;
  for (let t = 0; t < n; t++) {
    const f = sequence[t];
    ln += Math.log((faces * (counts[f] + a)) / (t + faces * a));
    counts[f]++;
    if (ln > largest) {
      largest = ln;
      largestAt = t + 1;
    }
    if ((t + 1) % every === 0 || t === n - 1) path.push(t + 1, ln);
  }
  return { last: ln, largest, largestAt, p: Math.min(1, Math.exp(-largest)), path: Float64Array.from(path) };
}

/** Posterior mean and 95 % interval of each face's chance under a Dirichlet(a, ..., a) prior. */
export function posteriorChances(counts: ArrayLike<number>, a: number): { value: number; low: number; high: number }[] {
  const k = counts.length;
  const n = Array.from(counts).reduce((s, c) => s + c, 0);
  return Array.from(counts, (c) => {
    const [alpha, beta] = [c + a, n - c + (k - 1) * a];
    return {
      value: alpha / (alpha + beta),
      low: betaQuantile(0.025, alpha, beta),
      high: betaQuantile(0.975, alpha, beta),
    };
  });
}

/** Wald's sequential test of one named face: chance p0 against p1. */
export interface SequentialPlan {
  /** Accept p1 when the sum reaches `upper`, p0 when it falls to `lower`. */
  readonly upper: number;
  readonly lower: number;
  readonly hit: number;
  readonly miss: number;
  /** Wald's mean number of rolls if p0, if p1 holds. */
  readonly meanLength: readonly [number, number];
}

/** Wald (1945): bounds ln((1 - beta) / alpha) and ln(beta / (1 - alpha)). */
export function sequentialPlan(p0: number, p1: number, alpha: number, beta: number): SequentialPlan {
  const upper = Math.log((1 - beta) / alpha);
  const lower = Math.log(beta / (1 - alpha));
  const hit = Math.log(p1 / p0);
  const miss = Math.log((1 - p1) / (1 - p0));
  const mean = (p: number, reachUpper: number): number =>
    (reachUpper * upper + (1 - reachUpper) * lower) / (p * hit + (1 - p) * miss);
  return { upper, lower, hit, miss, meanLength: [mean(p0, alpha), mean(p1, 1 - beta)] };
}
