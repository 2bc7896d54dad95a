import { chiSquareQuantile, normalQuantile } from '../maths/distributions.ts';
import { ALPHA, deviation, mean, type Estimate } from './moments.ts';

/** Limits of a quantity, mm; null where there is none on that side. */
export interface Limits {
  readonly lower: number | null;
  readonly upper: number | null;
}

/** How a lot's spread fits between its limits. */
export interface Capability {
  /** (upper - lower) / 6 s; interval by chi-square, exact for normal values. Null with one limit. */
  readonly pp: Estimate | null;
  /** Distance from the mean to the nearer limit over 3 s; interval of Bissell (1990), widened by what repeats on every die. */
  readonly ppk: Estimate;
  /** With the measurement's own scatter taken out of s; null where it explains all of it. */
  readonly ppkWithoutMeasurement: number | null;
}

/**
 * Capability of the lot as it is: Pp and Ppk use its overall standard deviation. Presumes normal values.
 *
 * @param ownVariance  What the measurement itself scatters by from die to die, mm^2.
 * @param uRepeated  Standard uncertainty of what the measurement adds to every die alike, mm.
 * @returns Null with fewer than two values, no spread or no limit.
 */
export function capability(
  x: readonly number[],
  { lower, upper }: Limits,
  ownVariance = 0,
  uRepeated = 0,
): Capability | null {
  const s = deviation(x);
  if (!(s > 0) || (lower === null && upper === null)) return null;
  const true2 = s * s - ownVariance;
  const room = Math.min(upper === null ? Infinity : upper - mean(x), lower === null ? Infinity : mean(x) - lower);
  return {
    pp: lower === null || upper === null ? null : ppInterval((upper - lower) / (6 * s), x.length),
    ppk: ppkInterval(room / (3 * s), x.length, uRepeated / (3 * s)),
    ppkWithoutMeasurement: true2 > 0 ? room / (3 * Math.sqrt(true2)) : null,
  };
}

/** Pp of `n` values with its interval by chi-square. */
export function ppInterval(pp: number, n: number): Estimate {
  const end = (p: number): number => pp * Math.sqrt(chiSquareQuantile(p, n - 1) / (n - 1));
  return { value: pp, low: end(ALPHA / 2), high: end(1 - ALPHA / 2) };
}

/** Ppk of `n` values with its interval (Bissell 1990, Applied Statistics 39, 331-340); `common` is a further standard uncertainty of it. */
export function ppkInterval(ppk: number, n: number, common = 0): Estimate {
  const u = Math.sqrt(1 / (9 * n) + (ppk * ppk) / (2 * (n - 1)) + common * common);
  const z = normalQuantile(1 - ALPHA / 2);
  return { value: ppk, low: ppk - z * u, high: ppk + z * u };
}
