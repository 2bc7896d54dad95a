import type { LotAnalysis } from './analysis.ts';
import type { Source } from './components.ts';
import { FAMILIES, type Family, type Lot } from './lot.ts';
import { ALPHA, type Estimate } from './moments.ts';

/** Below this many dice intervals are so wide that little is told. */
export const FEW = 10;
/** Ppk that is commonly asked for of a capable process (common practice; 4 standard deviations to the nearer limit). */
export const CAPABLE = 4 / 3;

/** What a lot tells, as a code with its numbers; the words stand in `lot-words.ts`. Lengths in mm. */
export type Finding =
  | { readonly code: 'few'; readonly dice: number }
  /** Two dice with the same numbers throughout: one measurement given twice. */
  | { readonly code: 'twice'; readonly first: string; readonly second: string }
  | {
      readonly code: 'source';
      readonly family: Family;
      readonly source: Source;
      readonly share: number;
      readonly sigma: Estimate;
    }
  | { readonly code: 'scatter-hidden'; readonly family: Family; readonly most: number; readonly u: number }
  | { readonly code: 'no-cavities' }
  | {
      readonly code: 'outlier';
      readonly label: string;
      readonly key: string;
      readonly statistic: number;
      readonly critical: number;
    }
  | { readonly code: 'outliers-in' }
  | {
      readonly code: 'cavities';
      readonly key: string;
      readonly largest: number;
      readonly effect: number;
      readonly p: number;
    }
  | { readonly code: 'cavity-axes'; readonly names: readonly string[]; readonly of: number; readonly largest: number }
  | { readonly code: 'trend'; readonly key: string; readonly slope: Estimate; readonly by: 'time' | 'order' }
  | {
      readonly code: 'crossing';
      readonly key: string;
      readonly limit: 'lower' | 'upper';
      readonly at: number;
      readonly time: number | null;
      readonly low: number;
      readonly high: number;
      readonly beyondData: boolean;
    }
  | { readonly code: 'signals'; readonly key: string; readonly count: number }
  | { readonly code: 'conformity'; readonly within: number; readonly undecided: number; readonly outside: number }
  | { readonly code: 'capability'; readonly key: string; readonly ppk: Estimate; readonly capable: boolean | null }
  | { readonly code: 'not-normal'; readonly key: string; readonly p: number };

/** What is worth saying, the most important first. */
export function findings(lot: Lot, a: LotAnalysis): readonly Finding[] {
  const out: Finding[] = [];
  if (lot.dice.length > 0 && lot.dice.length < FEW) out.push({ code: 'few', dice: lot.dice.length });
  out.push(...twins(lot));
  if (a.conformity) {
    const { within, undecided, outside } = a.conformity;
    out.push({ code: 'conformity', within, undecided, outside });
  }
  out.push(...FAMILIES.filter((f) => f !== 'faces').flatMap((family) => ofComponents(family, a)));
  if (a.components.axes && a.components.axes.cavities === 0) out.push({ code: 'no-cavities' });
  for (const { label, key, statistic, critical } of a.outliers)
    out.push({ code: 'outlier', label, key, statistic, critical });
  if (a.outliers.length > 0) out.push({ code: 'outliers-in' });
  out.push(...ofCavities(a));
  out.push(...ofFinishing(a), ...ofCapability(a));
  return out;
}

function twins({ dice }: Lot): Finding[] {
  const seen = new Map<string, string>();
  return dice.flatMap((die): Finding[] => {
    const numbers = JSON.stringify([die.axes, die.corners].map((list) => list.map((l) => l.value)));
    const first = seen.get(numbers);
    seen.set(numbers, first ?? die.label);
    return first === undefined ? [] : [{ code: 'twice', first, second: die.label }];
  });
}

function ofComponents(family: Family, a: LotAnalysis): Finding[] {
  const found = a.components[family];
  if (!found || !(found.total > 0)) return [];
  const most = found.components.reduce((p, q) => (q.share > p.share ? q : p));
  const { value, low, high } = most.variance;
  const sigma = { value: Math.sqrt(value), low: Math.sqrt(low), high: Math.sqrt(high) };
  const out: Finding[] = [{ code: 'source', family, source: most.source, share: most.share, sigma }];
  const scatter = found.components.find((c) => c.source === 'scatter')!;
  const measured = found.components.find((c) => c.source === 'measurement')!;
  if (scatter.variance.low === 0)
    out.push({
      code: 'scatter-hidden',
      family,
      most: Math.sqrt(scatter.variance.high),
      u: Math.sqrt(measured.variance.value),
    });
  return out;
}

function ofCavities({ cavities }: LotAnalysis): Finding[] {
  const isAxis = ({ key }: LotAnalysis['cavities'][number]): boolean => key.startsWith('axis ');
  const differ = cavities.filter((c) => c.p < ALPHA);
  const axes = differ.filter(isAxis);
  return [
    ...differ
      .filter((c) => !isAxis(c))
      .map(({ key, largest, effect, p }) => ({ code: 'cavities' as const, key, largest, effect, p })),
    ...(axes.length > 0
      ? [
          {
            code: 'cavity-axes' as const,
            names: axes.map((c) => c.key.slice('axis '.length)),
            of: cavities.filter(isAxis).length,
            largest: Math.max(...axes.map((c) => c.largest)),
          },
        ]
      : []),
  ];
}

function ofFinishing(a: LotAnalysis): Finding[] {
  return a.finishing.flatMap(({ key, by, trend, followed, crossings, chart }): Finding[] => [
    ...(followed && trend.ok ? [{ code: 'trend' as const, key, slope: trend.value.slope, by }] : []),
    // Where a limit was crossed before all that was measured says nothing of what is to come.
    ...crossings.flatMap(({ limit, at, crossing }) =>
      crossing && trend.ok && (crossing.time ?? crossing.high) >= trend.value.from
        ? [{ code: 'crossing' as const, key, limit, at, ...crossing }]
        : [],
    ),
    ...(chart && chart.signals.length + chart.rangeSignals.length > 0
      ? [
          {
            code: 'signals' as const,
            key,
            count: new Set([...chart.signals.map((s) => s.index), ...chart.rangeSignals]).size,
          },
        ]
      : []),
  ]);
}

function ofCapability(a: LotAnalysis): Finding[] {
  return a.summaries.flatMap(({ key, family, capability, normality }): Finding[] => {
    if (!capability || family !== 'die') return [];
    const { ppk } = capability;
    const capable = ppk.low >= CAPABLE ? true : ppk.high < CAPABLE ? false : null;
    return [
      { code: 'capability', key, ppk, capable },
      ...(normality !== null && normality < ALPHA ? [{ code: 'not-normal' as const, key, p: normality }] : []),
    ];
  });
}
