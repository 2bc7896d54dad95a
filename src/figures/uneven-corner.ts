import type { MeasureResult } from '../formats/result.ts';
import { normalShare } from '../maths/normal.ts';
import { fromTheirMean, SELDOM } from './axis-comparison.ts';

/** The corner whose radius is furthest from the mean of all. Lengths mm. */
export interface UnevenCorner {
  readonly name: string;
  readonly radius: number;
  readonly u: number;
  readonly deviation: { readonly value: number; readonly u: number };
  /** Whether chance alone would seldom (in fewer than 5 of 100 dice with corners all alike) set any corner so far off. */
  readonly shown: boolean;
}

/** The most uneven corner; it is picked out of many, so each gets its share of what counts as seldom, as axes do. */
export function unevenCorner({
  corners,
  shapeCovariance: { names, matrix },
}: Pick<MeasureResult, 'corners' | 'shapeCovariance'>): UnevenCorner {
  const at = corners.map(({ name }) => names.indexOf(`corner ${name}`));
  // A file's covariance may name other corners: then nothing is taken for shared.
  const covariance = at.map((i, a) => at.map((j, b) => matrix[i]?.[j] ?? (a === b ? corners[a]!.u ** 2 : 0)));
  const deviations = fromTheirMean(
    corners.map(({ radius }) => radius),
    covariance,
  );
  const off = deviations.map(({ value }) => Math.abs(value));
  const most = off.indexOf(Math.max(...off));
  const chance = off[most] === 0 ? 1 : 2 * corners.length * normalShare(-off[most]! / deviations[most]!.u);
  const { name, radius, u } = corners[most]!;
  return { name, radius, u, deviation: deviations[most]!, shown: chance < SELDOM };
}
