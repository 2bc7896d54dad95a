import type { MeasureResult } from '../../formats/result.ts';
import { answerNumbers, answerText, type AnswerNumbers } from '../../report/content/answer-words.ts';
import type { Answer } from '../../report/record/answer.ts';
import { foreseen, type Foreseen } from '../../report/record/foreseen.ts';
import { foreseenOf } from '../store/foreseen.ts';
import { roomOf } from './rolls-room.svelte.ts';
import { language } from '../kit/language.svelte.ts';
import { lengthUnit, MIL, units } from '../kit/lengths.ts';

interface Found extends Foreseen {
  /** The throws that it rests on, as text. */
  readonly thrown: string;
}

/** Predicting rolls takes some milliseconds; a result never changes. */
const found = new WeakMap<object, Found>();

/** What is to be said of a result, and the rolls it rests on: those of the rolls' room and of a report. */
export function answerFor(result: MeasureResult): Found {
  const throws = roomOf(result).recordThrows;
  const thrown = JSON.stringify(throws);
  const before = found.get(result);
  if (before?.thrown === thrown) return before;
  const now = { ...((throws === null ? foreseenOf(result) : undefined) ?? foreseen(result, throws)), thrown };
  found.set(result, now);
  return now;
}

/** Numbers of an answer in the language and units in use. */
function numbersHere(): AnswerNumbers {
  const numbers = answerNumbers(language.current, language.locale);
  if (units.current === 'mm') return numbers;
  return { ...numbers, length: (mm) => numbers.length(mm / MIL).replace(/mm$/, lengthUnit()) };
}

/** The answer as one sentence, as reports give it, in the language and units in use. */
export const answerHere = (answer: Answer): string => answerText(answer, language.current, numbersHere());
