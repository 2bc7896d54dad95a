import { chiSquareSurvival } from '../../maths/distributions.ts';
import { lnGamma } from '../../maths/special.ts';
import { seededRandom, type Random } from '../../maths/random.ts';

/** A test of counts against chances. */
export interface TestResult {
  readonly statistic: number;
  readonly df: number;
  /** Chance of a result at least as far off if the chances hold. */
  readonly p: number;
}

/** Pearson's X^2; `fitted` parameters were taken from the same counts. */
export function pearson(counts: ArrayLike<number>, expected: ArrayLike<number>, fitted = 0): TestResult {
  let statistic = 0;
  for (let i = 0; i < counts.length; i++) statistic += (counts[i] - expected[i]) ** 2 / expected[i];
  const df = counts.length - 1 - fitted;
  return { statistic, df, p: chiSquareSurvival(statistic, df) };
}

/** The likelihood ratio statistic G. */
export function likelihoodRatio(counts: ArrayLike<number>, expected: ArrayLike<number>, fitted = 0): TestResult {
  let statistic = 0;
  for (let i = 0; i < counts.length; i++)
    if (counts[i] > 0) statistic += 2 * counts[i] * Math.log(counts[i] / expected[i]);
  const df = counts.length - 1 - fitted;
  return { statistic, df, p: chiSquareSurvival(statistic, df) };
}

export interface ExactResult {
  readonly statistic: number;
  readonly p: number;
  /** All outcomes were summed, or that many logs were drawn. */
  readonly method: 'exact' | 'drawn';
  readonly drawn: number;
  /** Standard error of a drawn p; 0 where exact. */
  readonly u: number;
}

/** Work of an exact sum that is still done at once (additions), and logs drawn otherwise. */
const EXACT_WORK = 3e7;
export const DRAWS = 20_000;
/** Rolls beyond which drawn logs are too slow and X^2's own distribution is good to all digits that matter. */
const MOST_DRAWN = 200_000;

/**
 * Exact multinomial test on X^2. For even chances the sum over all outcomes runs over (faces, rolls, sum of squares) and reaches some
 * dozen rolls; otherwise logs of the same length are drawn. Null beyond 200 000 rolls, where the chi-square test needs no help.
 */
export function exactTest(counts: ArrayLike<number>, p: ArrayLike<number>, seed: number): ExactResult | null {
  const k = counts.length;
  const n = Array.from(counts).reduce((s, c) => s + c, 0);
  const { statistic } = pearson(
    counts,
    Array.from(p, (x) => x * n),
  );
  const even = Array.from(p).every((x) => Math.abs(x * k - 1) < 1e-12);
  if (even && ((k * n ** 3) / 6) * Math.min(n, 8) < EXACT_WORK) {
    const squares = Array.from(counts).reduce((s, c) => s + c * c, 0);
    return { statistic, p: tail(k, n, squares), method: 'exact', drawn: 0, u: 0 };
  }
  if (n > MOST_DRAWN) return null;
  const random = seededRandom(seed);
  let beyond = 0;
  const draws = Math.min(DRAWS, Math.max(1000, Math.floor(2e7 / n)));
  for (let d = 0; d < draws; d++) if (drawnStatistic(n, p, random) >= statistic - 1e-9) beyond++;
  const share = (beyond + 1) / (draws + 1);
  return { statistic, p: share, method: 'drawn', drawn: draws, u: Math.sqrt((share * (1 - share)) / draws) };
}

/** P(sum of squares >= `squares`) for n rolls of k even faces. */
function tail(k: number, n: number, squares: number): number {
  const most = n * n;
  const width = most + 1;
  let ways = new Float64Array((n + 1) * width);
  ways[0] = 1;
  const inverse = Float64Array.from({ length: n + 1 }, (_, c) => Math.exp(-lnGamma(c + 1)));
  for (let face = 0; face < k; face++) {
    const next = new Float64Array((n + 1) * width);
    for (let m = 0; m <= n; m++)
      for (let s = 0; s <= m * m; s++) {
        const w = ways[m * width + s];
        if (w === 0) continue;
        for (let c = 0; m + c <= n; c++) next[(m + c) * width + s + c * c] += w * inverse[c];
      }
    ways = next;
  }
  const scale = Math.exp(lnGamma(n + 1) - n * Math.log(k));
  let sum = 0;
  for (let s = most; s >= squares; s--) sum += ways[n * width + s];
  return Math.min(1, sum * scale);
}

/** X^2 of a drawn log of n rolls. */
function drawnStatistic(n: number, p: ArrayLike<number>, random: Random): number {
  const counts = new Float64Array(p.length);
  for (let i = 0; i < n; i++) {
    let u = random();
    let f = 0;
    while (f < p.length - 1 && u >= p[f]) u -= p[f++];
    counts[f]++;
  }
  let x = 0;
  for (let f = 0; f < p.length; f++) x += (counts[f] - n * p[f]) ** 2 / (n * p[f]);
  return x;
}

/** The smallest X^2 at which the exact test of even chances rejects at `alpha`, and the size it then has. */
export function exactCritical(
  k: number,
  n: number,
  alpha: number,
): { readonly statistic: number; readonly size: number } {
  let best = { statistic: Infinity, size: 0 };
  for (let s = n * n; s >= n; s--) {
    const size = tail(k, n, s);
    if (size > alpha) break;
    if (size > best.size) best = { statistic: (k * s) / n - n, size };
  }
  return best;
}
