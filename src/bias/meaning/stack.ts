import type { Mm } from '../../units.ts';
import { NORMAL_95 } from './prediction.ts';

/** Two axes of one die, or the means of a lot's, to be stacked. Lengths mm. */
export interface StackedAxes {
  readonly first: Mm;
  readonly second: Mm;
  /** Standard uncertainty of `first - second`, their correlation counted in. */
  readonly uDifference: Mm;
  /** Standard uncertainty of each length. */
  readonly uLength: Mm;
}

export interface StackSettings {
  /** Dice in a stack. */
  readonly dice: number;
  /** Air, burr or scar between two dice, mm: press the stack, and take it as 0. */
  readonly gap: Mm;
  /** Standard deviation of the axes' difference from die to die where several dice stand for one measured; 0 for copies. */
  readonly dieToDie: Mm;
}

export const STACK: StackSettings = { dice: 10, gap: 0, dieToDie: 0 };

/** A height difference read with a ruler, a caliper or from a photo. */
export interface MeasuredStack {
  readonly difference: Mm;
  /** Standard uncertainty of the reading; two heights read with u each differ with 1.4 u. */
  readonly u: Mm;
}

export interface StackCheck {
  readonly heights: readonly [Mm, Mm];
  /** Standard uncertainty of each height. */
  readonly uHeight: Mm;
  readonly difference: Mm;
  /** Half the 95 % interval of the difference. */
  readonly reach: Mm;
  readonly verdict: 'agree' | 'disagree' | 'cannot-tell' | null;
}

export type StackFault = { readonly code: 'stack-impossible'; readonly what: string; readonly value: number };

/**
 * Heights of two stacks of the same dice, one axis upright in each. The dice's own offset in the reading and the gaps are alike in both:
 * they leave the difference.
 *
 * With a measured difference: `agree` where it lies within both doubts of the prediction and the two together could have told the prediction
 * from none; `disagree` where it lies outside; else `cannot-tell`.
 */
export function stackCheck(
  axes: StackedAxes,
  { dice, gap, dieToDie }: StackSettings = STACK,
  measured: MeasuredStack | null = null,
): StackCheck | StackFault {
  const inputs = {
    dice,
    gap,
    dieToDie,
    first: axes.first,
    second: axes.second,
    u: axes.uDifference,
    reading: measured?.u ?? 0,
  };
  for (const [what, value] of Object.entries(inputs))
    if (!Number.isFinite(value) || value < 0) return { code: 'stack-impossible', what, value };
  if (!Number.isInteger(dice) || dice < 1) return { code: 'stack-impossible', what: 'dice', value: dice };
  if (measured && !Number.isFinite(measured.difference))
    return { code: 'stack-impossible', what: 'reading', value: measured.difference };
  const height = (length: Mm): Mm => dice * length + (dice - 1) * gap;
  const difference = dice * (axes.first - axes.second);
  const u = Math.hypot(dice * axes.uDifference, Math.sqrt(dice) * dieToDie);
  return {
    heights: [height(axes.first), height(axes.second)],
    uHeight: dice * axes.uLength,
    difference,
    reach: NORMAL_95 * u,
    verdict: measured ? judged(difference, u, measured) : null,
  };
}

function judged(difference: Mm, u: Mm, measured: MeasuredStack): StackCheck['verdict'] {
  const both = NORMAL_95 * Math.hypot(u, measured.u);
  if (Math.abs(measured.difference - difference) > both) return 'disagree';
  return Math.abs(difference) > both ? 'agree' : 'cannot-tell';
}

/** The gap between stacked dice, from one stack and its dice measured singly, mm. */
export const stackGap = (height: Mm, singles: readonly Mm[]): Mm =>
  (height - singles.reduce((s, h) => s + h, 0)) / (singles.length - 1);
