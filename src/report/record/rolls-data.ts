import type { RollsData, StatedInterval } from '../../formats/report.ts';
import { shapeAndRolls } from '../../bias/log/joint.ts';
import { faultText, type BiasFault } from '../../bias/messages.ts';
import { failure, type Result } from '../../result.ts';
import { meanRoll, rollsToNotice, unevenness } from '../../bias/meaning/meaning.ts';
import { chances, looksEven, type Interval, type Prediction } from '../../bias/meaning/prediction.ts';
import { sentences } from '../../bias/meaning/sentences.ts';
import { readShape } from '../../bias/meaning/shape-record.ts';
import { recordPrediction, type ThrownRolls } from '../../bias/meaning/thrown-rolls.ts';

export type { RollsData, StatedInterval } from '../../formats/report.ts';

/** Rolls predicted from a result, and what the verdict needs of them; or, in words, why there are none. */
export type Rolls = { readonly data: RollsData; readonly prediction: Prediction } | { readonly missing: string };

const stated = ({ value, low, high }: Interval): StatedInterval => ({
  value,
  low,
  high: Number.isFinite(high) ? high : null,
});

/** The prediction for a measured die, see {@link rollsOf}. */
export function predictionOf(result: unknown, thrown: ThrownRolls | null = null): Result<Prediction, BiasFault> {
  const shape = readShape(result);
  return shape.ok ? recordPrediction(shape.value, thrown) : failure(shape.error);
}

/**
 * Predicts the rolls of a measured die: same result and throws, same numbers.
 *
 * @param thrown  Throws of that very shape; null: the kernel's answer, wide where it does not serve.
 * @param rolled  Counts of rolls of the very die, in the order of the numbers; null where it was not rolled.
 */
export function rollsOf(
  result: unknown,
  thrown: ThrownRolls | null = null,
  rolled: readonly number[] | null = null,
): Rolls {
  const predicted = predictionOf(result, thrown);
  if (!predicted.ok) return { missing: faultText(predicted.error) };
  const prediction = predicted.value;
  const k = prediction.p.length;
  const mean = meanRoll(prediction);
  const notice = rollsToNotice(prediction);
  if (![...prediction.p, ...prediction.covariance].every(Number.isFinite))
    return { missing: 'The shape is outside what the prediction knows.' };
  return {
    prediction,
    data: {
      method: prediction.method,
      table: 'unknown',
      faces: chances(prediction).map(({ value, low, high }, i) => ({
        name: prediction.names[i]!,
        p: value,
        low,
        high,
        uLn: Math.sqrt(prediction.covariance[i * (k + 1)]!),
      })),
      meanRoll: mean && { ...stated(mean), even: mean.even },
      unevenness: stated(unevenness(prediction)),
      rollsToNotice: {
        value: Math.min(notice.value, 1e12),
        low: Math.min(notice.low, 1e12),
        high: Number.isFinite(notice.high) ? notice.high : null,
      },
      looksEven: looksEven(prediction),
      beyond: prediction.beyond,
      sentences: sentences(prediction),
      thrown,
      ...(rolled?.length === k && rolled.some((c) => c > 0) ? { rolled: against(prediction, rolled) } : {}),
    },
  };
}

/** Whether the die's own rolls are what its shape predicts. */
function against(prediction: Prediction, counts: readonly number[]): NonNullable<RollsData['rolled']> {
  const { verdict, agreement, power } = shapeAndRolls(prediction, counts);
  return { rolls: counts.reduce((s, c) => s + c, 0), counts, verdict, p: agreement.p, power };
}
