import { compareAxes } from '../../figures/axis-comparison.ts';
import type { MeasureResult } from '../../formats/result.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { drawnRange } from '../../maths/joint-draws.ts';
import type { RollsData } from './rolls-data.ts';

/** As much of a result as the answer is made from. */
export type AnswerSource = Pick<MeasureResult, 'axes' | 'axesCovariance' | 'rangeOfAxes'>;

/**
 * What is to be said of a die in one sentence: a code with its numbers, the words stand in `content/answer-words.ts`. Lengths mm,
 * chances as shares.
 *
 * - `true`: whatever the shape may still hide, nobody notices it at a table.
 * - `axis`: one axis is off, and its numbers come up other than evenly.
 * - `axis-only`: the same where nothing can be said of rolls.
 * - `number`: no axis is shown to be off, one number is all the same: rounding, or a d4.
 * - `open`: nothing is shown, and what may be hidden could be noticed.
 */
export type Answer =
  | { readonly code: 'true'; readonly within: number }
  | {
      readonly code: 'axis';
      readonly axis: string;
      readonly faces: readonly string[];
      /** From the mean of all axes, below zero where it is short. */
      readonly off: number;
      readonly chance: number;
      readonly even: number;
      readonly rolls: number;
    }
  | { readonly code: 'axis-only'; readonly axis: string; readonly off: number }
  | {
      readonly code: 'number';
      readonly face: string;
      readonly chance: number;
      readonly even: number;
      readonly rolls: number;
    }
  | { readonly code: 'open'; readonly within: number };

/**
 * From so many rolls on a test that is planned for them counts as noticed by nobody: a player of weekly evenings rolls one die some 1500
 * times a year (30 rolls on 50 evenings; a judgement, no source).
 */
export const NOBODY_ROLLS = 3000;
/** Where nothing can be said of rolls, axes together within this say nothing worth a word, mm: a moulded die's (common practice). */
export const TRUE_ENOUGH = 0.05;

/** What is to be said of a measured die. Same numbers, same answer, wherever it is shown. */
export function answerOf(result: AnswerSource, rolls: RollsData | null): Answer {
  const compared = compareAxes(
    result.axes.map(({ length }) => length),
    result.axesCovariance,
  );
  const within = axesWithin(result);
  const worst = worstAxis(compared.deviations);
  const axis = result.axes[worst]!.name;
  const off = compared.deviations[worst]!.value;
  if (rolls === null) {
    if (within <= TRUE_ENOUGH) return { code: 'true', within };
    return compared.shown ? { code: 'axis-only', axis, off } : { code: 'open', within };
  }
  const { value, low } = rolls.rollsToNotice;
  if (low >= NOBODY_ROLLS) return { code: 'true', within };
  const even = 1 / rolls.faces.length;
  const faces = facesOf(axis, rolls);
  if (compared.shown && faces.length > 0) {
    const chance = faces.reduce((s, f) => s + f.p, 0) / faces.length;
    return { code: 'axis', axis, faces: faces.map(({ name }) => name), off, chance, even, rolls: value };
  }
  const face = rolls.faces.reduce((a, b) => (Math.abs(Math.log(b.p / even)) > Math.abs(Math.log(a.p / even)) ? b : a));
  if (!rolls.looksEven && (face.low > even || face.high < even))
    return { code: 'number', face: face.name, chance: face.p, even, rolls: value };
  return { code: 'open', within };
}

/** What the axes differ by at most, mm: by joint draws, since of several that nearly tie any may be the outer one; a false alarm is as rare as beyond U95. */
export function axesWithin({ axes, axesCovariance, rangeOfAxes: { value, u } }: AnswerSource): number {
  const lengths = axes.map(({ length }) => length);
  return drawnRange(lengths, Float64Array.from(axesCovariance.flat()))?.most ?? value + COVERAGE_FACTOR * u;
}

/** The axis furthest from the mean; of two alike the surer one. */
const worstAxis = (deviations: readonly { readonly value: number }[]): number =>
  deviations.reduce((a, { value }, i) => (Math.abs(value) > Math.abs(deviations[a]!.value) ? i : a), 0);

/** The numbers at an axis's ends; on a d4 the one that its axis is named by. */
const facesOf = (axis: string, rolls: RollsData): RollsData['faces'] =>
  axis.split('-').flatMap((name) => rolls.faces.filter((f) => f.name === name));

/** One thing that would make the answer surer. */
export type Surer =
  | { readonly code: 'retake'; readonly photo: string }
  | { readonly code: 'bars' }
  | { readonly code: 'photos'; readonly count: number }
  | { readonly code: 'caliper' };

/** Of the doubt of a difference's variance, photos bear this share at least where more of them are the advice. */
const WORTH = 0.5;

/**
 * What helps most, for the least trouble: a photo that was left out is taken again, the card's bars are measured, more photos are
 * taken; where neither helps, another instrument.
 *
 * @param more  How many photos a thorough set of this kind has beyond those used; 0 where there is none.
 */
export function surerBy(result: Pick<MeasureResult, 'photos' | 'card' | 'budget'>, more: number): Surer {
  const lost = result.photos.find(({ status }) => status === 'left-out');
  if (lost !== undefined) return { code: 'retake', photo: lost.photo };
  if (!result.card.checked) return { code: 'bars' };
  const square = (of: readonly string[] | null): number =>
    result.budget.reduce((s, b) => s + (of === null || of.includes(b.source) ? b.difference ** 2 : 0), 0);
  const shrinks = square(['noise', 'outline', 'camera']) / square(null);
  return more > 0 && shrinks >= WORTH ? { code: 'photos', count: more } : { code: 'caliper' };
}
