import { mean } from './moments.ts';

/**
 * Of moving ranges of two: expected range over sigma, and upper limit of ranges over their mean; E2 = 3 / d2 = 2.660 follows.
 * Source: tables of control chart constants (ISO 7870-2:2013; NIST/SEMATECH e-Handbook 6.3.2.2), also closed forms: 2 / sqrt(pi),
 * 1 + 3 sqrt(pi / 2 - 1).
 */
export const CHART = { d2: 1.128, D4: 3.267 } as const;

/** Western Electric rules (Western Electric 1956; e-Handbook 6.3.2): what a point is marked for. */
export type Rule =
  'beyond-3-sigma' | 'two-of-three-beyond-2-sigma' | 'four-of-five-beyond-1-sigma' | 'eight-on-one-side';

export interface Signal {
  /** Place of the point that completes the pattern, from 0. */
  readonly index: number;
  readonly rule: Rule;
}

/** Control chart for individuals and moving ranges. Limits tell what the process does, not what is allowed. */
export interface ControlChart {
  readonly values: readonly number[];
  readonly centre: number;
  readonly lower: number;
  readonly upper: number;
  /** Of each value from the second to the one before. */
  readonly ranges: readonly number[];
  readonly meanRange: number;
  readonly upperRange: number;
  /** meanRange / d2: scatter from one to the next, which a slow trend hardly enters. */
  readonly sigma: number;
  readonly signals: readonly Signal[];
  /** Places in `values` whose range to the one before exceeds its limit. */
  readonly rangeSignals: readonly number[];
}

/** @returns Null with fewer than two values or where all ranges are 0. */
export function controlChart(values: readonly number[]): ControlChart | null {
  const ranges = values.slice(1).map((v, i) => Math.abs(v - values[i]!));
  const meanRange = mean(ranges);
  if (!(meanRange > 0)) return null;
  const centre = mean(values);
  const sigma = meanRange / CHART.d2;
  return {
    values,
    centre,
    lower: centre - 3 * sigma,
    upper: centre + 3 * sigma,
    ranges,
    meanRange,
    upperRange: CHART.D4 * meanRange,
    sigma,
    signals: signals(values.map((v) => (v - centre) / sigma)),
    rangeSignals: ranges.flatMap((r, i) => (r > CHART.D4 * meanRange ? [i + 1] : [])),
  };
}

/** So many of the last so many points on one side beyond so many sigma. */
const PATTERNS: readonly {
  readonly rule: Rule;
  readonly count: number;
  readonly of: number;
  readonly beyond: number;
}[] = [
  { rule: 'beyond-3-sigma', count: 1, of: 1, beyond: 3 },
  { rule: 'two-of-three-beyond-2-sigma', count: 2, of: 3, beyond: 2 },
  { rule: 'four-of-five-beyond-1-sigma', count: 4, of: 5, beyond: 1 },
  { rule: 'eight-on-one-side', count: 8, of: 8, beyond: 0 },
];

/** Points that the rules mark; a point is named once, by the first rule it breaks. @param z  Distances from the centre in sigma. */
export function signals(z: readonly number[]): readonly Signal[] {
  return z.flatMap((_, index): Signal[] => {
    const found = PATTERNS.find(({ count, of, beyond }) =>
      [1, -1].some((side) => {
        // The point itself must take part: else it would be marked for its neighbours.
        if (!(side * z[index]! > beyond) || index + 1 < count) return false;
        return z.slice(Math.max(0, index + 1 - of), index + 1).filter((v) => side * v > beyond).length >= count;
      }),
    );
    return found ? [{ index, rule: found.rule }] : [];
  });
}
