import { trueShape, type DieShape } from '../bias/die/die-shape.ts';

/** Square steel bars y x y x length: length over y, share of throws on an end, throws (Budden 1980, as repeated in Mathematical Gazette note 97.16, March 2013, table 1). */
export const BUDDEN = {
  ratio: [0.47, 0.63, 0.75, 0.81, 0.93, 0.97, 1.16, 1.23, 1.44, 1.55, 1.6, 1.71, 1.87, 2.12, 2.65],
  ends: [0.916, 0.738, 0.548, 0.496, 0.399, 0.385, 0.148, 0.154, 0.052, 0.04, 0.017, 0.031, 0.009, 0.007, 0.006],
  throws: [332, 840, 799, 740, 516, 530, 1011, 532, 654, 606, 702, 609, 680, 275, 503],
} as const;

/** A bar of Budden's kind as a stretched cube, 12.7 mm across with edges of 0.15 mm (both assumed); its ends are the faces 4 and 5. */
export function bar(ratio: number): DieShape {
  const cube = trueShape('d6', 12.7, 0.15);
  return { ...cube, distances: cube.distances.map((d, f) => (f >= 4 ? d * ratio : d)) };
}

/** Binomial deviance of the bars' throws from predicted shares of the ends, of all or some; a share is kept at least `least` from 0 and 1. */
export function barDeviance(predicted: readonly number[], least: number, use?: readonly number[]): number {
  return predicted.reduce((sum, share, i) => {
    if (use && !use.includes(i)) return sum;
    const p = Math.min(1 - least, Math.max(least, share));
    const n = BUDDEN.throws[i];
    const hits = BUDDEN.ends[i] * n;
    return sum + 2 * (hits * Math.log(hits / (n * p)) + (n - hits) * Math.log((n - hits) / (n * (1 - p))));
  }, 0);
}
