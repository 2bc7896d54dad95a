import { circumradius, type DieSolid } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import { radiusOf, type MeasuredDie } from './die.ts';
import type { BinLimits, BinReference } from './types.ts';
import type { Quantity } from '../formats/result.ts';

/** Limits where none are given, from the reference's size; common practice for moulded hobby dice: hundredths as moulded, tenths spoilt. */
export const USUAL_LIMITS = {
  /** Share of the size. */
  size: 0.01,
  /** Times the reference's radius, or over it by this share of the size, whichever is more. */
  radiusTimes: 2,
  radiusMore: 0.02,
  /** Share of the size, or times the bin's median, whichever is more. */
  departure: 0.003,
  departureTimes: 3,
  /** mm: below this one photo tells no departure from light and noise. */
  departureLeast: 0.04,
} as const;

/** Fewest dice from which a bin has a usual size. */
export const BIN_NEEDED = 3;

/** Mean axis of a true die: between opposite faces; of a d4 from a face to the far side of the corner opposite. mm. */
export const meanAxisOf = (solid: DieSolid, size: number, radius: number): number =>
  solid.kind === 'd4' ? size + circumradius(solid) * (size - radius) + radius : 2 * size;

/** How the mean axis changes with the face distance. */
export const axisPerSize = (solid: DieSolid): number => (solid.kind === 'd4' ? 1 + circumradius(solid) : 2);

/** A die's mean axis, rounding and departure, mm. */
export interface DieNumbers {
  readonly size: number;
  readonly radius: number;
  readonly departure: number;
}

export function diceNumbers(solid: DieSolid, die: MeasuredDie): DieNumbers {
  const radius = radiusOf(die).value;
  return { size: meanAxisOf(solid, die.found.size, radius), radius, departure: die.found.departure };
}

/** The bin's own median, with the standard uncertainty of a median of normal values. Source: sigma sqrt(pi / (2 n)). */
export function binMedian(dice: readonly DieNumbers[]): BinReference {
  if (dice.length < BIN_NEEDED) return { size: null, radius: null, source: 'bin' };
  return { size: middle(dice.map((d) => d.size)), radius: middle(dice.map((d) => d.radius)), source: 'bin' };
}

function middle(values: readonly number[]): Quantity {
  const value = median(values);
  const spread = 1.4826 * median(values.map((v) => Math.abs(v - value)));
  return { value, u: spread * Math.sqrt(Math.PI / (2 * values.length)) };
}

/** Limits as given, and the usual ones where none are. */
export function limitsFor(given: Partial<BinLimits>, reference: BinReference, dice: readonly DieNumbers[]): BinLimits {
  const size = reference.size?.value ?? median(dice.map((d) => d.size));
  const usual = Number.isFinite(size) ? size : 0;
  const radius = reference.radius?.value ?? (dice.length > 0 ? median(dice.map((d) => d.radius)) : 0);
  const departure = dice.length >= BIN_NEEDED ? median(dice.map((d) => d.departure)) : 0;
  const round = (v: number): number => Number(v.toFixed(3));
  return {
    size: given.size ?? round(USUAL_LIMITS.size * usual),
    radius:
      given.radius ?? round(Math.max(USUAL_LIMITS.radiusTimes * radius, radius + USUAL_LIMITS.radiusMore * usual)),
    departure:
      given.departure ??
      round(
        Math.max(USUAL_LIMITS.departureLeast, USUAL_LIMITS.departure * usual, USUAL_LIMITS.departureTimes * departure),
      ),
  };
}
