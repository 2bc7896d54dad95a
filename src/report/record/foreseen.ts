import type { ThrownRolls } from '../../bias/meaning/thrown-rolls.ts';
import type { MeasureResult } from '../../formats/result.ts';
import { answerOf, type Answer } from './answer.ts';
import { rollsOf, type RollsData } from './rolls-data.ts';

/** What a result foretells of rolls, null where nothing can be said of them, and the answer that rests on it. */
export interface Foreseen {
  readonly answer: Answer;
  readonly rolls: RollsData | null;
}

/** @param throws  Of the record; null where the die was not thrown. */
export function foreseen(result: MeasureResult, throws: ThrownRolls | null = null): Foreseen {
  const told = rollsOf(result, throws);
  const rolls = 'data' in told ? told.data : null;
  return { answer: answerOf(result, rolls), rolls };
}
