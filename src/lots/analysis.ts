import { chiSquareQuantile, tQuantile } from '../maths/distributions.ts';
import { capability, type Capability } from './capability.ts';
import { cavityComparisons, type CavityComparison } from './cavities.ts';
import { components, knownOf, type Components } from './components.ts';
import { conformity, type Conformity } from './conformity.ts';
import { finishing, type Finishing } from './finishing.ts';
import { holm } from './holm.ts';
import type { Family, Lot } from './lot.ts';
import { ALPHA, deviation, mean, type Estimate } from './moments.ts';
import { andersonDarling } from './normality.ts';
import { extremeDeviates, suspectsIn } from './outliers.ts';
import { quantities, type LotQuantity } from './quantities.ts';
import { mannKendall, type MannKendall } from './trend.ts';

/** A quantity of the lot: mean, spread, trend along the order, fit between its limits. Lengths in mm. */
export interface Summary {
  readonly key: string;
  readonly family: Family | 'die';
  readonly name: string;
  /** Interval by Student's t, widened by the measurement's part that every die shares. */
  readonly mean: Estimate;
  /** Standard deviation of what was measured, with its chi-square interval; and without the measurement's own. Null for one die. */
  readonly spread: Estimate | null;
  readonly spreadWithout: number | null;
  readonly least: number;
  readonly most: number;
  readonly uOwn: number;
  readonly uRepeated: number;
  readonly trend: (MannKendall & { readonly pAll: number }) | null;
  readonly capability: Capability | null;
  /** Chance of values as far from normal; null with few. */
  readonly normality: number | null;
}

/** A die that lies apart from the others by a quantity. */
export interface Outlier {
  readonly label: string;
  readonly die: number;
  readonly key: string;
  readonly statistic: number;
  readonly critical: number;
}

/** All that is told of a lot. */
export interface LotAnalysis {
  readonly summaries: readonly Summary[];
  readonly components: Readonly<Record<Family, Components | null>>;
  readonly outliers: readonly Outlier[];
  /** "generalised ESD", or "Grubbs" in a small lot; null where too few. */
  readonly outlierTest: 'esd' | 'grubbs' | null;
  readonly conformity: Conformity | null;
  readonly cavities: readonly CavityComparison[];
  readonly finishing: readonly Finishing[];
}

/** Analyses a lot; an empty one gives empty lists. */
export function analyseLot(lot: Lot): LotAnalysis {
  const list = quantities(lot);
  const cavity = lot.dice.map((d) => d.cavity);
  const cards = lot.dice.map((d) => d.card);
  const of = (family: Family): Components | null =>
    components(
      lot.dice.map((d) => d[family].map((l) => l.value)),
      cavity,
      lot.dice.map((d) => d.time),
      knownOf(
        lot.dice.map((d) => d.doubt[family]),
        cards,
      ),
    );
  const course = finishing(lot, list);
  const tried = suspectsIn(lot.dice.length);
  return {
    summaries: summaries(lot, list),
    components: { axes: of('axes'), corners: of('corners'), faces: of('faces') },
    outliers: outliers(lot, withoutTrends(list, course), tried),
    outlierTest: tried === 0 ? null : tried === 1 ? 'grubbs' : 'esd',
    conformity: conformity(lot, list),
    cavities: cavityComparisons(
      lot,
      list.filter((q) => q.family === 'die' || q.family === 'axes'),
    ),
    finishing: course,
  };
}

function summaries(lot: Lot, list: readonly LotQuantity[]): Summary[] {
  const trends = list.map((q) => mannKendall(q.values));
  const all = holm(trends.map((t) => t?.p ?? 1));
  return list.map((q, i): Summary => {
    const n = q.values.length;
    const limits = q.limited === null ? null : lot.limits[q.limited];
    const m = mean(q.values);
    const s = n > 1 ? deviation(q.values) : 0;
    const uRepeated = Math.sqrt(q.repeated);
    const half = Math.hypot(
      n > 1 ? (tQuantile(1 - ALPHA / 2, n - 1) * s) / Math.sqrt(n) : 2 * Math.sqrt(q.own),
      2 * uRepeated,
    );
    const end = (p: number): number => s * Math.sqrt((n - 1) / chiSquareQuantile(p, n - 1));
    const trend = trends[i] ?? null;
    return {
      key: q.key,
      family: q.family,
      name: q.name,
      mean: { value: m, low: m - half, high: m + half },
      spread: n > 1 ? { value: s, low: end(1 - ALPHA / 2), high: end(ALPHA / 2) } : null,
      spreadWithout: n > 1 ? Math.sqrt(Math.max(0, s * s - q.own)) : null,
      least: Math.min(...q.values),
      most: Math.max(...q.values),
      uOwn: Math.sqrt(q.own),
      uRepeated,
      trend: trend && { ...trend, pAll: all[i]! },
      capability: limits ? capability(q.values, limits, q.own, uRepeated) : null,
      normality: andersonDarling(q.values)?.p ?? null,
    };
  });
}

/** Where a trend is followed, a die is held against it and not against the lot's mean. */
function withoutTrends(list: readonly LotQuantity[], course: readonly Finishing[]): readonly LotQuantity[] {
  return list.map((q) => {
    const found = course.find((f) => f.key === q.key && f.followed);
    if (!found || found.chart === null) return q;
    const values = [...q.values];
    found.dice.forEach((die, i) => (values[die] = found.chart!.values[i]!));
    return { ...q, values };
  });
}

/** By each quantity of the whole die and each axis; the chance of any name in vain is ALPHA over all of them (Bonferroni). */
function outliers(lot: Lot, list: readonly LotQuantity[], tried: number): Outlier[] {
  const looked = list.filter((q) => q.family === 'die' || q.family === 'axes');
  return looked.flatMap((q) =>
    extremeDeviates(q.values, tried, ALPHA / looked.length)
      .filter((s) => s.outlier)
      .map(({ index, statistic, critical }) => ({
        label: lot.dice[index]!.label,
        die: index,
        key: q.key,
        statistic,
        critical,
      })),
  );
}
