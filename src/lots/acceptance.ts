import { failure, success, type Result } from '../result.ts';
import type { Conformity } from './conformity.ts';
import { operatingCharacteristic, shareAccepted, type OperatingPoint } from './operating-characteristic.ts';
import { samplingPlan, type PlanFault, type SamplingPlan } from './sampling-plan.ts';

/** What is to be agreed before sampling. */
export interface SamplingChoice {
  /** Dice in the lot. */
  readonly lotSize: number;
  readonly aql: number;
  readonly level: string;
}

/** By count of nonconforming dice in the sample. */
export type LotVerdict =
  /** As few are outside as may be, undecided ones counted in. */
  | 'accept'
  /** More are outside than may be. */
  | 'reject'
  /** It hangs on the undecided dice. */
  | 'undecided'
  /** The sample is not complete. */
  | 'more-dice'
  /** Nothing is limited: no die can be outside. */
  | 'no-limits';

export interface Acceptance {
  readonly plan: SamplingPlan;
  readonly choice: SamplingChoice;
  readonly verdict: LotVerdict;
  /** Dice that count: the first of the list up to the sample size. */
  readonly inspected: number;
  readonly outside: number;
  readonly undecided: number;
  readonly curve: readonly OperatingPoint[];
  /** Share of nonconforming dice that is accepted 95 times in 100 (producer) and 10 times in 100 (buyer). */
  readonly producer: number;
  readonly buyer: number;
}

/** The plan for a lot and what it says of the dice inspected. The dice must have been drawn at random before they were measured. */
export function acceptanceOf(choice: SamplingChoice, found: Conformity | null): Result<Acceptance, PlanFault> {
  const plan = samplingPlan(choice.lotSize, choice.aql, choice.level);
  if (!plan.ok) return failure(plan.error);
  const { sample, accept } = plan.value;
  const dice = found?.dice.slice(0, sample) ?? [];
  const outside = dice.filter((d) => d.verdict === 'outside').length;
  const undecided = dice.filter((d) => d.verdict === 'undecided').length;
  return success({
    plan: plan.value,
    choice,
    verdict: verdictOf(found === null, dice.length < sample, outside, undecided, accept),
    inspected: dice.length,
    outside,
    undecided,
    curve: operatingCharacteristic(plan.value, choice.lotSize),
    producer: shareAccepted(plan.value, choice.lotSize, 0.95),
    buyer: shareAccepted(plan.value, choice.lotSize, 0.1),
  });
}

function verdictOf(unlimited: boolean, short: boolean, outside: number, undecided: number, accept: number): LotVerdict {
  if (unlimited) return 'no-limits';
  if (outside > accept) return 'reject';
  if (short) return 'more-dice';
  return outside + undecided <= accept ? 'accept' : 'undecided';
}
