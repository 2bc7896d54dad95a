import { binomialCdf, hypergeometricCdf } from '../maths/counts.ts';
import type { SamplingPlan } from './sampling-plan.ts';

/** Drawn without putting back counts where the sample is more than this share of the lot (common practice). */
export const SMALL_LOT = 0.1;

/** A point of a plan's operating characteristic. */
export interface OperatingPoint {
  /** Share of nonconforming dice in the lot. */
  readonly share: number;
  /** Chance that the plan accepts such a lot. */
  readonly accepted: number;
}

/**
 * Chance that a lot with a share of nonconforming dice is accepted: hypergeometric where the sample is a large part of the lot, else
 * binomial. In the hypergeometric case the share is taken to the nearest whole number of dice.
 */
export function acceptance({ sample, accept }: SamplingPlan, lotSize: number, share: number): number {
  return sample > SMALL_LOT * lotSize
    ? hypergeometricCdf(accept, sample, Math.round(share * lotSize), lotSize)
    : binomialCdf(accept, sample, share);
}

/** The curve from no nonconforming dice to where nearly no lot is accepted any more; a point per whole die in a small lot. */
export function operatingCharacteristic(plan: SamplingPlan, lotSize: number, points = 80): readonly OperatingPoint[] {
  const small = plan.sample > SMALL_LOT * lotSize;
  const end = shareAccepted(plan, lotSize, 0.005);
  const last = small ? Math.max(1, Math.round(end * lotSize)) : points;
  const every = Math.max(1, Math.ceil(last / points));
  const places = Array.from({ length: Math.floor(last / every) + 1 }, (_, i) => i * every);
  return places.map((i) => {
    const share = small ? i / lotSize : (i / points) * end;
    return { share, accepted: acceptance(plan, lotSize, share) };
  });
}

/** The share of nonconforming dice at which lots are accepted with a chance: 0.95 for the producer, 0.1 for who buys. */
export function shareAccepted(plan: SamplingPlan, lotSize: number, chance: number): number {
  let [low, high] = [0, 1];
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (acceptance(plan, lotSize, middle) > chance) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
