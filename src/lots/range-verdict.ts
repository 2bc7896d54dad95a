import { isSquare } from '../formats/parts.ts';
import { FEW_DRAWS, fewDraws, jointDraws, shareAsFar, spread } from '../maths/joint-draws.ts';
import { cholesky } from '../maths/linear.ts';
import { normalShare } from '../maths/normal.ts';
import type { Limits } from './capability.ts';
import type { LotDie } from './lot.ts';

/** The risk that a verdict takes on a limit: the one-sided guard band of the other quantities (JCGM 106:2012, 8.3) leaves as much. */
export const RISK = 0.05;

/** mm^2, flat; the record's own, or what the four parts of the doubt say: all axes alike, scaled to what each states. */
export function axesCovarianceOf({ axes, axesCovariance, doubt }: LotDie): Float64Array {
  const k = axes.length;
  if (axesCovariance && isSquare(axesCovariance, k)) return Float64Array.from(axesCovariance.flat());
  const common = doubt.axes.ownMean ** 2 + doubt.axes.repeatedMean ** 2;
  const own = doubt.axes.ownDifference ** 2 + doubt.axes.repeatedDifference ** 2;
  const each = common + own * (1 - 1 / k);
  const together = each > 0 ? (common - own / k) / each : 0;
  return Float64Array.from({ length: k * k }, (_, q) => {
    const [i, j] = [Math.floor(q / k), q % k];
    return axes[i]!.u * axes[j]!.u * (i === j ? 1 : together);
  });
}

/** How likely a die's range of axes lies on the right side of each limit; null where the covariance is none. */
export interface RangeShares {
  readonly aboveLower: number;
  readonly belowUpper: number;
}

/**
 * By joint draws of all axes: of several that nearly tie any may be the outer one. Where the pairs of axes alone decide between {@link RISK} and its opposite
 * (the range is above a limit if any pair's difference is), nothing is drawn and the bound stands for the share.
 */
export function rangeShares(die: LotDie, { lower, upper }: Limits): RangeShares | null {
  const covariance = axesCovarianceOf(die);
  const lengths = die.axes.map((a) => a.value);
  if (!cholesky(covariance, lengths.length, 1e-12)) return null;
  const above = (limit: number | null): readonly [number, number] | null =>
    limit === null ? null : pairBounds(lengths, covariance, limit);
  const [overLower, overUpper] = [above(lower), above(upper)];
  const told = (bounds: readonly [number, number] | null, none: number): number | null =>
    bounds === null ? none : bounds[1] <= RISK ? bounds[1] : bounds[0] >= 1 - RISK ? bounds[0] : null;
  const [a, b] = [told(overLower, 1), told(overUpper, 0)];
  if (a !== null && b !== null) return { aboveLower: a, belowUpper: 1 - b };
  let [reached, kept] = [0, 0];
  const visit = (draw: Float64Array): void => {
    const range = spread(draw);
    if (lower === null || range >= lower) reached++;
    if (upper === null || range <= upper) kept++;
  };
  if (!jointDraws(lengths, covariance, visit, fewDraws(lengths.length))) return null;
  return { aboveLower: reached / FEW_DRAWS, belowUpper: kept / FEW_DRAWS };
}

/** Whether a die whose range is on its upper limit would often be measured as far out as this one: then nobody can say that it is beyond. */
export function maybeOnLimit(die: LotDie, upper: number | null): boolean {
  if (upper === null) return false;
  const share = shareAsFar(
    die.axes.map((a) => a.value),
    axesCovarianceOf(die),
    upper,
  );
  return share !== null && share > RISK;
}

/** Least and most of the chance that the range is above `limit`: that of the likeliest pair of axes, and the sum over all pairs. */
function pairBounds(lengths: readonly number[], c: Float64Array, limit: number): readonly [number, number] {
  const k = lengths.length;
  let [least, most] = [0, 0];
  for (let i = 0; i < k; i++)
    for (let j = 0; j < i; j++) {
      const u = Math.sqrt(Math.max(0, c[i * (k + 1)]! + c[j * (k + 1)]! - 2 * c[i * k + j]!));
      const off = lengths[i]! - lengths[j]!;
      const chance =
        u > 0 ? normalShare((off - limit) / u) + normalShare((-off - limit) / u) : Math.abs(off) > limit ? 1 : 0;
      least = Math.max(least, chance);
      most += chance;
    }
  return [least, Math.min(1, most)];
}
