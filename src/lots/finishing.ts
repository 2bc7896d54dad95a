import type { Result } from '../result.ts';
import { controlChart, type ControlChart } from './control-chart.ts';
import { crossing, type Crossing } from './crossing.ts';
import { fittedTrend, trendAt, type FittedTrend, type TrendFault } from './fitted-trend.ts';
import type { Lot } from './lot.ts';
import type { LotQuantity } from './quantities.ts';

/** A trend is followed by its chart where its p is below this. */
export const FOLLOWED = 0.01;

/** One quantity along the making of a lot: by tumbling time where each die has one, else by order. */
export interface Finishing {
  readonly key: string;
  readonly by: 'time' | 'order';
  /** Places of the dice in the lot, in the order of the chart, and their times (or order from 1). */
  readonly dice: readonly number[];
  readonly times: readonly number[];
  readonly values: readonly number[];
  readonly trend: Result<FittedTrend, TrendFault>;
  /** The chart's centre follows the trend: values are deviations from it. */
  readonly followed: boolean;
  readonly chart: ControlChart | null;
  readonly crossings: readonly {
    readonly limit: 'lower' | 'upper';
    readonly at: number;
    readonly crossing: Crossing | null;
  }[];
}

/** Charts and trends of mean axis, range of axes, mean corner radius and, where it is known, mean crown. */
export function finishing(lot: Lot, list: readonly LotQuantity[]): readonly Finishing[] {
  const timed = lot.dice.length > 0 && lot.dice.every((d) => d.time !== null);
  const dice = lot.dice.map((_, i) => i);
  if (timed) dice.sort((a, b) => lot.dice[a]!.time! - lot.dice[b]!.time! || a - b);
  const times = dice.map((d, i) => (timed ? lot.dice[d]!.time! : i + 1));
  return list
    .filter((q) => q.family === 'die')
    .map((q): Finishing => {
      const values = dice.map((d) => q.values[d]!);
      const trend = fittedTrend(times, values);
      const followed = trend.ok && trend.value.p < FOLLOWED;
      const charted = followed ? values.map((v, i) => v - trendAt(trend.value, times[i]!).value) : values;
      return {
        key: q.key,
        by: timed ? 'time' : 'order',
        dice,
        times,
        values,
        trend,
        followed,
        chart: controlChart(charted),
        crossings: followed ? crossings(lot, q, trend.value) : [],
      };
    });
}

/** Where both limits would be met after the times measured, the earlier alone: behind it the dice are out of their limits already. */
function crossings(lot: Lot, q: LotQuantity, trend: FittedTrend): Finishing['crossings'] {
  const limits = q.limited === null ? null : lot.limits[q.limited];
  const found = (['lower', 'upper'] as const).flatMap((limit) => {
    const at = limits?.[limit] ?? null;
    return at === null ? [] : [{ limit, at, crossing: crossing(trend, at, Math.sqrt(q.repeated)) }];
  });
  const when = (c: Crossing | null): number => c?.time ?? c?.low ?? Infinity;
  const first = Math.min(...found.map((f) => when(f.crossing)).filter((t) => t > trend.to));
  return found.map((f) => (when(f.crossing) > first ? { ...f, crossing: null } : f));
}
