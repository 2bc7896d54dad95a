import { groupsOf } from './components.ts';
import { holm } from './holm.ts';
import type { Lot } from './lot.ts';
import { deviation, mean } from './moments.ts';
import { kruskalWallis, omegaSquared, oneWay, welch, type GroupTest, type OneWay } from './one-way.ts';
import type { LotQuantity } from './quantities.ts';

/** How a quantity differs between the mould's cavities. */
export interface CavityComparison {
  readonly key: string;
  readonly cavities: readonly {
    readonly cavity: number;
    readonly n: number;
    readonly mean: number;
    readonly spread: number;
  }[];
  /** Equal means, equal spreads; equal means; equal places by ranks. */
  readonly anova: OneWay;
  readonly welch: GroupTest | null;
  readonly kruskal: GroupTest | null;
  /** Share of the variance that the cavities make (omega squared). */
  readonly effect: number;
  /** Largest difference of two cavities' means, mm. */
  readonly largest: number;
  /** p of Welch's test (of the analysis of variance where a cavity has one die), raised for all quantities tried (Holm 1979). */
  readonly p: number;
}

/** Compares the cavities by each quantity given; empty where the dice do not all bear a number, or all the same. */
export function cavityComparisons(lot: Lot, list: readonly LotQuantity[]): readonly CavityComparison[] {
  const groups = groupsOf(lot.dice.map((d) => d.cavity));
  if (groups.length < 2) return [];
  const found = list.flatMap(({ key, values }) => {
    const own = groups.map((g) => g.map((d) => values[d]!));
    const anova = oneWay(own);
    if (anova === null || !(anova.within.squares > 0)) return [];
    const means = own.map(mean);
    const byWelch = welch(own);
    return [
      {
        comparison: {
          key,
          cavities: groups.map((g, i) => ({
            cavity: lot.dice[g[0]!]!.cavity!,
            n: g.length,
            mean: means[i]!,
            spread: g.length > 1 ? deviation(own[i]!) : 0,
          })),
          anova,
          welch: byWelch,
          kruskal: kruskalWallis(own),
          effect: omegaSquared(anova),
          largest: Math.max(...means) - Math.min(...means),
        },
        raw: (byWelch ?? anova).p,
      },
    ];
  });
  const p = holm(found.map((f) => f.raw));
  return found.map((f, i) => ({ ...f.comparison, p: p[i]! }));
}
