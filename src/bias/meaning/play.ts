import { faceValues } from './meaning.ts';
import { NORMAL_95, type Interval, type Prediction } from './prediction.ts';

/** How a roll is read at the table: one die, the better or the worse of two rolls of it. */
export const ROLL_KINDS = ['plain', 'best', 'worst'] as const;
export type RollKind = (typeof ROLL_KINDS)[number];

/** A chance with its 95 % interval, and that of an even die. */
export type Against = Interval & { readonly even: number };

export interface PlayTable {
  /** For each value of the die, ascending: the chance to reach it, per way of rolling. */
  readonly targets: readonly ({ readonly target: number } & Readonly<Record<RollKind, Against>>)[];
  /** The highest value, and the lowest: criticals and fumbles, per way of rolling. */
  readonly highest: { readonly value: number } & Readonly<Record<RollKind, Against>>;
  readonly lowest: { readonly value: number } & Readonly<Record<RollKind, Against>>;
  /** Dice of a pool that reach the target of each row in the mean, and the chance that at least one does. */
  readonly pool: { readonly dice: number; readonly target: number; readonly hits: Against; readonly any: Against };
}

/** Dice of a pool, each like this one, and the share of an even die's rolls that count as hits there: about a third (common practice). */
export const POOL = { dice: 10, share: 1 / 3 } as const;

/**
 * What a die's unevenness does at the table. Rolls do not depend on each other, so that all follow from the chance q of one roll to do it: the better of two
 * 1 - (1 - q)^2, the worse q^2, ten of them 10 q and 1 - (1 - q)^10.
 *
 * @returns Null where a name is no number.
 */
export function playTable(prediction: Prediction): PlayTable | null {
  const values = faceValues(prediction.names);
  if (!values) return null;
  const reach = (target: number): number[] => values.map((v) => (v >= target ? 1 : 0));
  const rows = (hits: readonly number[]): Readonly<Record<RollKind, Against>> => ({
    plain: against(
      prediction,
      hits,
      (q) => q,
      () => 1,
    ),
    best: against(
      prediction,
      hits,
      (q) => 1 - (1 - q) ** 2,
      (q) => 2 * (1 - q),
    ),
    worst: against(
      prediction,
      hits,
      (q) => q * q,
      (q) => 2 * q,
    ),
  });
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const target = poolTarget(values);
  const n = POOL.dice;
  // The lowest comes up with the better of two only where both show it.
  const fumble = rows(values.map((v) => (v > low ? 1 : 0)));
  const turned = ({ value, low: l, high: h, even }: Against): Against => ({
    value: 1 - value,
    low: 1 - h,
    high: 1 - l,
    even: 1 - even,
  });
  return {
    targets: values.map((v) => ({ target: v, ...rows(reach(v)) })),
    highest: { value: high, ...rows(reach(high)) },
    lowest: { value: low, plain: turned(fumble.plain), best: turned(fumble.best), worst: turned(fumble.worst) },
    pool: {
      dice: n,
      target,
      hits: against(
        prediction,
        reach(target),
        (q) => n * q,
        () => n,
      ),
      any: against(
        prediction,
        reach(target),
        (q) => 1 - (1 - q) ** n,
        (q) => n * (1 - q) ** (n - 1),
      ),
    },
  };
}

/** The value whose share of an even die is nearest to a pool's. */
function poolTarget(values: readonly number[]): number {
  const off = (i: number): number => Math.abs((values.length - i) / values.length - POOL.share);
  return values[values.map((_, i) => i).reduce((a, b) => (off(b) < off(a) ? b : a))];
}

/** f of the chance of one roll to hit, its interval by the slope of f, within what a chance can be where f is one. */
function against(
  { p, covariance }: Prediction,
  hits: readonly number[],
  f: (q: number) => number,
  slope: (q: number) => number,
): Against {
  const k = p.length;
  const q = hits.reduce((s, h, i) => s + h * p[i], 0);
  const d = p.map((x, i) => x * (hits[i] - q));
  let variance = 0;
  for (let i = 0; i < k; i++) for (let j = 0; j < k; j++) variance += d[i] * d[j] * covariance[i * k + j];
  const reach = NORMAL_95 * slope(q) * Math.sqrt(Math.max(0, variance));
  const [least, most] = [f(0), f(1)];
  const value = f(q);
  const even = f(hits.reduce((s, h) => s + h, 0) / k);
  return { value, low: Math.max(least, value - reach), high: Math.min(most, value + reach), even };
}

/** In what a person at the table would notice first: the way of rolling and target whose chance is farthest from an even die's, in points of the chance. */
export function farthest(table: PlayTable): {
  readonly kind: RollKind;
  readonly target: number;
  readonly chance: Against;
} {
  return table.targets
    .flatMap((row) => ROLL_KINDS.map((kind) => ({ kind, target: row.target, chance: row[kind] })))
    .reduce((a, b) => (Math.abs(b.chance.value - b.chance.even) > Math.abs(a.chance.value - a.chance.even) ? b : a));
}
