import type { MeasureResult, Quantity } from '../formats/result.ts';
import { COVERAGE_FACTOR } from '../judging/decision.ts';

/** What two dice are set against each other by. Lengths mm. */
export const COMPARED = ['meanAxis', 'rangeOfAxes', 'meanCornerRadius'] as const;
export type Compared = (typeof COMPARED)[number];

/** How far one die is from another in one respect. */
export interface DieDifference extends Quantity {
  readonly what: Compared;
  /** Whether it is larger than its U95: then the dice differ, else chance may explain it. */
  readonly shown: boolean;
}

/** As much of a result as is compared. */
export type ComparedResult = Pick<MeasureResult, Compared | 'card' | 'budget'>;

/**
 * A die less another, measured independently.
 *
 * @param sameCard  Whether both lay on one printed card that nobody measured: then its scale moves both alike, and cancels from the
 *                  difference of their sizes but for the part that is in proportion to it.
 */
export function dieDifferences(one: ComparedResult, other: ComparedResult, sameCard: boolean): DieDifference[] {
  return COMPARED.map((what) => {
    const value = one[what].value - other[what].value;
    const u = Math.sqrt(
      Math.max(0, variance(one, what, sameCard) + variance(other, what, sameCard) + shared(one, other, what, sameCard)),
    );
    return { what, value, u, shown: Math.abs(value) > COVERAGE_FACTOR * u };
  });
}

const COLUMN = { meanAxis: 'meanAxis', rangeOfAxes: 'difference', meanCornerRadius: 'meanRadius' } as const;

const scaleOf = (result: ComparedResult, what: Compared): number =>
  result.budget.find(({ source }) => source === 'scale')?.[COLUMN[what]] ?? 0;

/** Variance of a quantity, without the card's scale where that is shared. */
const variance = (result: ComparedResult, what: Compared, sameCard: boolean): number =>
  Math.max(0, result[what].u ** 2 - (sameCard ? scaleOf(result, what) ** 2 : 0));

/** What is left of a shared scale: its doubt times the difference. */
const shared = (one: ComparedResult, other: ComparedResult, what: Compared, sameCard: boolean): number =>
  sameCard ? (scaleOf(one, what) - scaleOf(other, what)) ** 2 : 0;
