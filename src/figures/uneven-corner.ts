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

/** Which of some radii is furthest from the mean of all. */
export function mostUneven(radii: readonly number[]): number {
  const mean = radii.reduce((s, r) => s + r, 0) / radii.length;
  const off = radii.map((r) => Math.abs(r - mean));
  return off.indexOf(Math.max(...off));
}

/** The most uneven corner; it is picked out of many, so each gets its share of what counts as seldom, as axes do. */
export function unevenCorner({
  corners,
  shapeCovariance: { names, matrix },
}: Pick<MeasureResult, 'corners' | 'shapeCovariance'>): UnevenCorner {
  const at = corners.map(({ name }) => names.indexOf(`corner ${name}`));
  // A file's covariance may name other corners: then nothing is taken for shared.
  const covariance = at.map((i, a) => at.map((j, b) => matrix[i]?.[j] ?? (a === b ? corners[a]!.u ** 2 : 0)));
  const radii = corners.map(({ radius }) => radius);
  const most = mostUneven(radii);
  const deviation = fromTheirMean(radii, covariance)[most]!;
  const off = Math.abs(deviation.value);
  const chance = off === 0 ? 1 : 2 * corners.length * normalShare(-off / deviation.u);
  const { name, radius, u } = corners[most]!;
  return { name, radius, u, deviation, shown: chance < SELDOM };
}
