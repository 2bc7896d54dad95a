import { chiSquareSurvival } from '../../maths/distributions.ts';
import { NORMAL_95, type Interval, type Prediction } from '../meaning/prediction.ts';

/** A predicted die and how it fell: counts in the order of the prediction's names. */
export interface Thrown {
  readonly prediction: Prediction;
  readonly counts: ArrayLike<number>;
}

/** What one die says of the model's slope: seen effect = slope x predicted effect. */
export interface DieSlope {
  readonly slope: number;
  /** Standard uncertainty by the rolls and by the measured shape; the model's own doubt is what is looked for. */
  readonly u: number;
}

/** All dice together. */
export interface Calibration {
  readonly dice: readonly (DieSlope | null)[];
  readonly throws: number;
  /** Pooled slope; 1 where the model is right. Null where no die is uneven enough to tell. */
  readonly slope: Interval | null;
  /** Standard deviation of the slope from die to die, table to table, beyond what rolls and shapes explain. */
  readonly scatter: number;
  /** Cochran's test that one slope fits all. */
  readonly heterogeneity: { readonly statistic: number; readonly df: number; readonly p: number } | null;
}

/** A die whose own slope is known no better than this tells nothing. */
const LOOSEST = 20;
const STEPS = 40;

/**
 * The slope of one die: chances proportional to p^slope, the largest likelihood of its counts (one parameter, Newton's steps).
 *
 * @returns Null where the prediction is even, or so nearly that these rolls leave the slope open.
 */
export function dieSlope({ prediction, counts }: Thrown): DieSlope | null {
  const k = prediction.p.length;
  const logs = prediction.p.map(Math.log);
  const n = Array.from(counts).reduce((s, c) => s + c, 0);
  const seen = Array.from(counts).reduce((s, c, i) => s + c * logs[i], 0);
  let slope = 1;
  let spread = 0;
  for (let step = 0; step < STEPS; step++) {
    const w = logs.map((l) => Math.exp(slope * l));
    const sum = w.reduce((s, x) => s + x, 0);
    const mean = w.reduce((s, x, i) => s + (x / sum) * logs[i], 0);
    spread = w.reduce((s, x, i) => s + (x / sum) * (logs[i] - mean) ** 2, 0);
    if (!(spread > 0)) return null;
    const move = (seen - n * mean) / (n * spread);
    slope += Math.max(-1, Math.min(1, move));
    if (Math.abs(move) < 1e-10) break;
  }
  // The shape's own doubt moves the effect that the slope is counted in.
  const even = logs.reduce((s, l) => s + l, 0) / k;
  const d = logs.map((l) => l - even);
  const square = d.reduce((s, x) => s + x * x, 0);
  let shape = 0;
  for (let i = 0; i < k; i++)
    for (let j = 0; j < k; j++) shape += d[i] * d[j] * (prediction.measured[i * k + j] + prediction.kernel[i * k + j]);
  const u = Math.sqrt(1 / (n * spread) + (slope * slope * shape) / (square * square));
  return Number.isFinite(u) && u < LOOSEST ? { slope, u } : null;
}

/** Pools dice by the random-effects mean (DerSimonian and Laird 1986, Controlled Clinical Trials 7, 177-188). */
export function calibration(thrown: readonly Thrown[]): Calibration {
  const dice = thrown.map(dieSlope);
  const told = dice.filter((d): d is DieSlope => d !== null);
  const throws = thrown.reduce((s, { counts }) => s + Array.from(counts).reduce((t, c) => t + c, 0), 0);
  if (told.length === 0) return { dice, throws, slope: null, scatter: 0, heterogeneity: null };
  const weights = told.map(({ u }) => 1 / (u * u));
  const total = (list: readonly number[]): number => list.reduce((s, x) => s + x, 0);
  const fixed = total(told.map(({ slope }, i) => slope * weights[i])) / total(weights);
  const statistic = total(told.map(({ slope }, i) => weights[i] * (slope - fixed) ** 2));
  const df = told.length - 1;
  const c = total(weights) - total(weights.map((w) => w * w)) / total(weights);
  const between = df > 0 && c > 0 ? Math.max(0, (statistic - df) / c) : 0;
  const pooledWeights = told.map(({ u }) => 1 / (u * u + between));
  const value = total(told.map(({ slope }, i) => slope * pooledWeights[i])) / total(pooledWeights);
  const reach = NORMAL_95 / Math.sqrt(total(pooledWeights));
  return {
    dice,
    throws,
    slope: { value, low: value - reach, high: value + reach },
    scatter: Math.sqrt(between),
    heterogeneity: df > 0 ? { statistic, df, p: chiSquareSurvival(statistic, df) } : null,
  };
}
