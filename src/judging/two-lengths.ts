import type { AxisResult } from '../formats/result.ts';
import { COVERAGE_FACTOR } from './decision.ts';

/** Why an axis has two lengths to show: the doubt over the faces is far wider than at the edges, or their values differ. */
export type TwoLengths = 'doubt' | 'crowned';

/** From this share of U95 at the edges on, two lengths of one axis differ. */
const DIFFERS = 0.1;
/** From so many times the doubt at the edges on, the doubt over the faces is far wider. */
const WIDER = 3;

/** Whether lengths at the edges are worth showing beside those over the faces, and why; null where both say the same or a result has but one. */
export function twoLengths(axes: readonly Pick<AxisResult, 'length' | 'lengthAtEdges' | 'u'>[]): TwoLengths | null {
  const both = axes.flatMap(({ length, lengthAtEdges: edges, u }) => (edges ? [{ length, edges, u }] : []));
  if (both.some(({ edges, u }) => u > WIDER * edges.u)) return 'doubt';
  return both.some(({ length, edges }) => Math.abs(length - edges.value) > DIFFERS * COVERAGE_FACTOR * edges.u)
    ? 'crowned'
    : null;
}
