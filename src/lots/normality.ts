import { normalCdf, normalSurvival } from '../maths/distributions.ts';
import { deviation, mean } from './moments.ts';

/**
 * Whether values could be normal with their own mean and spread: Anderson and Darling's A^2, corrected and with the p of Stephens (1986, in
 * D'Agostino and Stephens, Goodness-of-Fit Techniques, table 4.9). Null with fewer than 8 values or no spread.
 */
export function andersonDarling(x: readonly number[]): { readonly statistic: number; readonly p: number } | null {
  const n = x.length;
  const [m, s] = [mean(x), deviation(x)];
  if (n < 8 || !(s > 0)) return null;
  const z = x.map((v) => (v - m) / s).sort((a, b) => a - b);
  const sum = z.reduce(
    (t, v, i) => t + (2 * i + 1) * (Math.log(normalCdf(v)) + Math.log(normalSurvival(z[n - 1 - i]!))),
    0,
  );
  const statistic = (-n - sum / n) * (1 + 0.75 / n + 2.25 / (n * n));
  return { statistic, p: Math.min(1, andersonDarlingChance(statistic)) };
}

/** Chance of a corrected statistic as large from normal values. */
export function andersonDarlingChance(a: number): number {
  if (a >= 0.6) return Math.exp(1.2937 - 5.709 * a + 0.0186 * a * a);
  if (a > 0.34) return Math.exp(0.9177 - 4.279 * a - 1.38 * a * a);
  if (a > 0.2) return 1 - Math.exp(-8.318 + 42.796 * a - 59.938 * a * a);
  return 1 - Math.exp(-13.436 + 101.14 * a - 223.73 * a * a);
}
