import { betaQuantile } from '../../maths/distributions.ts';
import { lnGamma } from '../../maths/special.ts';

/**
 * How uneven a die may be before it is rolled: values of Cohen's w, from what tumbling does to one that always falls alike, each believed as much
 * as the next (a modelling choice). One size alone would be slow for all others: with 0.1 a die that always shows the six is found after 27 rolls, with these after 6.
 */
export const EVIDENCE_SPREADS = [0.03, 0.1, 0.3, 1] as const;

/** E-value at which the rule decides at 5 %. */
export const DECIDES = 20;

/** Concentration of the Dirichlet prior whose dice have a root mean square w: a = ((k - 1) / w^2 - 1) / k. */
export const concentration = (faces: number, w: number): number => ((faces - 1) / (w * w) - 1) / faces;

const concentrations = (faces: number): number[] => EVIDENCE_SPREADS.map((w) => concentration(faces, w));

/** ln of the mean of what `logs` are logarithms of. */
function lnMean(logs: ArrayLike<number>): number {
  let top = -Infinity;
  for (let i = 0; i < logs.length; i++) top = Math.max(top, logs[i]);
  let sum = 0;
  for (let i = 0; i < logs.length; i++) sum += Math.exp(logs[i] - top);
  return top + Math.log(sum / logs.length);
}

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

/** The same for the mixture over {@link EVIDENCE_SPREADS}: a mean of martingales is one. */
export const lnMixedEvidence = (counts: ArrayLike<number>): number =>
  lnMean(concentrations(counts.length).map((a) => lnEvidence(counts, a)));

export interface EvidencePath {
  /** ln of the e-value after all rolls. */
  readonly last: number;
  /** Its largest value so far and after which roll. */
  readonly largest: number;
  readonly largestAt: number;
  /** The first roll after which it was {@link DECIDES} or more; null where it never was. */
  readonly metAt: number | null;
  /** A p value that holds whenever one looks: 1 / max E, at most 1. */
  readonly p: number;
  /** [roll, ln E] at up to 400 even places, flat: for drawing. */
  readonly path: Float64Array;
}

const PATH_POINTS = 400;

/** The e-value of the mixture roll by roll; one pass, any length. */
export function evidencePath(sequence: ArrayLike<number>, faces: number): EvidencePath {
  const priors = concentrations(faces);
  const logs = new Float64Array(priors.length);
  const counts = new Float64Array(faces);
  let metAt: number | null = null;
  const n = sequence.length;
  const every = Math.max(1, Math.ceil(n / PATH_POINTS));
  const path: number[] = [];
  let ln = 0;
  let largest = 0;
  let largestAt = 0;
  for (let t = 0; t < n; t++) {
    const f = sequence[t];
    for (let j = 0; j < priors.length; j++)
      logs[j] += Math.log((faces * (counts[f] + priors[j])) / (t + faces * priors[j]));
    ln = lnMean(logs);
    counts[f]++;
    if (metAt === null && ln >= Math.log(DECIDES)) metAt = t + 1;
    if (ln > largest) {
      largest = ln;
      largestAt = t + 1;
    }
    if ((t + 1) % every === 0 || t === n - 1) path.push(t + 1, ln);
  }
  return { last: ln, largest, largestAt, metAt, p: Math.min(1, Math.exp(-largest)), path: Float64Array.from(path) };
}

/**
 * Each face's chance by the rolls alone: Jeffreys' interval at 95 %, its end at 0 where a face never came up and at 1 where no other did (Brown, Cai and
 * DasGupta 2001, Statistical Science 16, 101-133). It leans on no belief about dice, so that it holds for a loaded die as often as for an even one.
 */
export function countedChances(counts: ArrayLike<number>): { value: number; low: number; high: number }[] {
  const k = counts.length;
  const n = Array.from(counts).reduce((s, c) => s + c, 0);
  return Array.from(counts, (c) => ({
    value: (c + 0.5) / (n + 0.5 * k),
    low: c === 0 ? 0 : betaQuantile(0.025, c + 0.5, n - c + 0.5),
    high: c === n ? 1 : betaQuantile(0.975, c + 0.5, n - c + 0.5),
  }));
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
