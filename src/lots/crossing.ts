import { tQuantile } from '../maths/distributions.ts';
import { ALPHA } from './moments.ts';
import { trendAt, type FittedTrend } from './fitted-trend.ts';

/** When a trend meets a limit. */
export interface Crossing {
  /** Where the fitted mean meets the limit; null where it does not within reach. */
  readonly time: number | null;
  /** All times between these cannot be told from the crossing at 95 %. -Infinity or Infinity: open on that side. */
  readonly low: number;
  readonly high: number;
  /** The crossing, or its interval's end, lies beyond the times measured: it presumes that things go on alike. */
  readonly beyondData: boolean;
}

/** Looked for no farther than so many spans of the measured times before and after them: what lies farther is no forecast. */
export const REACH = 2;
/** Places looked at within reach; a bend narrower than a step is not seen. */
const STEPS = 400;

/**
 * The time at which the trend meets a limit, with the interval of inverse regression (Fieller 1954; for a line it is his closed form):
 * the times at which the limit lies inside the 95 % band of the fitted mean. Where a parabola turns back beyond the times measured, nothing is
 * looked for behind its vertex: no die has shown that it turns.
 *
 * @param uRepeated  Standard uncertainty of what the measurement adds to every value alike; it moves the limit.
 * @returns Null where even the band does not meet the limit within reach.
 */
export function crossing(trend: FittedTrend, limit: number, uRepeated = 0): Crossing | null {
  if (!(trend.df > 0)) return null;
  const t = tQuantile(1 - ALPHA / 2, trend.df);
  const span = trend.to - trend.from;
  const turn = vertex(trend);
  const start = Math.max(trend.from - REACH * span, turn < trend.from ? turn : -Infinity);
  const end = Math.min(trend.to + REACH * span, turn > trend.to ? turn : Infinity);
  const miss = (x: number): number => trendAt(trend, x).value - limit;
  const outside = (x: number): number => Math.abs(miss(x)) - t * Math.hypot(trendAt(trend, x).u, uRepeated);
  const times = Array.from({ length: STEPS + 1 }, (_, i) => start + (i / STEPS) * (end - start));
  const roots = rootsOf(miss, times);
  const time = roots.find((x) => x >= trend.from) ?? roots.at(-1) ?? null;
  // The stretch of the band that holds the crossing; without one, the first that lies ahead.
  const at = time ?? times.find((x) => x >= trend.to && outside(x) <= 0) ?? null;
  if (at === null) return null;
  const edges = rootsOf(
    outside,
    [...times, at].sort((a, b) => a - b),
  );
  const low = edges.filter((x) => x <= at).at(-1) ?? -Infinity;
  const high = edges.find((x) => x >= at) ?? Infinity;
  const inside = (x: number): boolean => x >= trend.from && x <= trend.to;
  return { time, low, high, beyondData: !inside(at) || !inside(low) || !inside(high) };
}

/** Where a parabola turns; NaN for a line, which never does. */
function vertex({ degree, coefficients, centre, scale }: FittedTrend): number {
  return degree === 2 ? centre - (scale * coefficients[1]!) / (2 * coefficients[2]!) : NaN;
}

/** Where `f` changes its sign between neighbouring places. */
function rootsOf(f: (x: number) => number, places: readonly number[]): number[] {
  const values = places.map(f);
  return places.slice(1).flatMap((b, i) => {
    if (values[i] === 0) return [places[i]!];
    return values[i]! * values[i + 1]! < 0 ? [root(f, places[i]!, b, values[i]!)] : [];
  });
}

function root(f: (x: number) => number, a: number, b: number, fa: number): number {
  let [low, high] = [a, b];
  for (let i = 0; i < 100 && high - low > 1e-13 * (Math.abs(low) + Math.abs(high)); i++) {
    const middle = (low + high) / 2;
    if (f(middle) * fa > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
