import { noncentralityFor } from '../../maths/distributions.ts';
import { NORMAL_95, weighted, type Interval, type Prediction } from './prediction.ts';

/** The test that rolls at the table are judged by: size and power. */
export const TABLE_TEST = { alpha: 0.05, power: 0.8 } as const;

/** The numbers' values, or null where a name is no number. */
export function faceValues(names: readonly string[]): number[] | null {
  const values = names.map(Number);
  return values.some((v) => !Number.isFinite(v)) ? null : values;
}

/** Mean roll; null where a name is no number. */
export function meanRoll(prediction: Prediction): (Interval & { readonly even: number }) | null {
  const values = faceValues(prediction.names);
  if (!values) return null;
  return { ...weighted(prediction, values), even: values.reduce((s, v) => s + v, 0) / values.length };
}

/** Chance to roll at least `target`, and what an even die would give; null where a name is no number. */
export function atLeast(prediction: Prediction, target: number): (Interval & { readonly even: number }) | null {
  const values = faceValues(prediction.names);
  if (!values) return null;
  const hits = values.map((v) => (v >= target ? 1 : 0));
  return { ...weighted(prediction, hits), even: hits.reduce<number>((s, h) => s + h, 0) / hits.length };
}

/** How many more points than an even die's 100 rolls of this one add up to; null where a name is no number. */
export function advantage(prediction: Prediction): Interval | null {
  const mean = meanRoll(prediction);
  if (!mean) return null;
  return {
    value: 100 * (mean.value - mean.even),
    low: 100 * (mean.low - mean.even),
    high: 100 * (mean.high - mean.even),
  };
}

/** Cohen's w: root of the mean square of the chances' relative deviations; with its interval, which begins at 0 where evenness is not ruled out. */
export function unevenness(prediction: Prediction): Interval {
  const { p, covariance } = prediction;
  const k = p.length;
  const d = p.map((x) => k * x - 1);
  const w = Math.sqrt(d.reduce((s, x) => s + x * x, 0) / k);
  let along = 0;
  let noise = 0;
  for (let i = 0; i < k; i++) {
    noise += ((k * p[i]) ** 2 * covariance[i * (k + 1)]) / k;
    for (let j = 0; j < k; j++) along += d[i] * d[j] * k * p[i] * k * p[j] * covariance[i * k + j];
  }
  const u = w > 0 ? Math.sqrt(along) / (k * w) : Math.sqrt(noise);
  return {
    value: w,
    low: Math.max(0, w - NORMAL_95 * u),
    high: Math.max(w + NORMAL_95 * u, Math.sqrt(noise) * NORMAL_95),
  };
}

/** Rolls with which a chi-square test notices an unevenness `w`: noncentrality / w^2 (Cohen 1988); Infinity for 0. */
export function rollsNeeded(
  w: number,
  faces: number,
  test: { readonly alpha: number; readonly power: number } = TABLE_TEST,
): number {
  return noncentralityFor(test.power, faces - 1, test.alpha) / (w * w);
}

/** More rolls than anybody plans a test for, or would write down. */
export const MOST_ROLLS = 1e8;

/** Rolls to notice this die; `high` is Infinity where it may be even. */
export function rollsToNotice(prediction: Prediction): Interval {
  const w = unevenness(prediction);
  const k = prediction.p.length;
  return { value: rollsNeeded(w.value, k), low: rollsNeeded(w.high, k), high: rollsNeeded(w.low, k) };
}

/**
 * Rolls to notice that one face, named before rolling, is `factor` times as likely: a one-sided binomial test with the same size in both tails
 * (normal approximation, Fleiss 1981).
 */
export function rollsForNamedFace(factor: number, faces: number, z = { alpha: NORMAL_95, power: 0.8416212 }): number {
  const [p0, p1] = [1 / faces, factor / faces];
  const root = z.alpha * Math.sqrt(p0 * (1 - p0)) + z.power * Math.sqrt(p1 * (1 - p1));
  return (root / (p1 - p0)) ** 2;
}
