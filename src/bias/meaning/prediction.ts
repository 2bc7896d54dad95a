import { failure, success, type Result } from '../../result.ts';
import { rolledFace, solidFor, type DieShape } from '../die/die-shape.ts';
import {
  kernelReading,
  KERNELS,
  type Beyond,
  type Cause,
  type KernelReading,
  type TableChoice,
} from '../kernel/kernel.ts';
import { shapeFault, type ShapeFault } from '../die/shape-check.ts';
import type { Tally } from '../throws/throw-blocks.ts';

/** What is known of a die's rolls. Everything per number rolled, in the order of `names`. */
export interface Prediction {
  readonly method: 'kernel' | 'throws';
  readonly table: TableChoice;
  /** The numbers, ascending. */
  readonly names: readonly string[];
  readonly p: Float64Array;
  /** Covariance of ln p, row-major: the sum of the five below. */
  readonly covariance: Float64Array;
  /** From the measured shape's own covariance. */
  readonly measured: Float64Array;
  /** From what the model may miss, {@link MODEL_DOUBT}. */
  readonly model: Float64Array;
  /** From how far the tables differ, where none is named. */
  readonly tables: Float64Array;
  /** From the kernel's own error against throws on dice that it was not fitted to; 0 for throws. */
  readonly kernel: Float64Array;
  /** From the number of throws; 0 for the kernel. */
  readonly sampling: Float64Array;
  /** Change of ln p by each cause alone. */
  readonly effects: Readonly<Record<Cause, Float64Array>>;
  /** Why the kernel alone should not be used; empty where it may. */
  readonly beyond: readonly Beyond[];
  /** Throws behind it; 0 for the kernel. */
  readonly throws: number;
}

/** A shape and how well it is known. */
export interface KnownShape {
  readonly shape: DieShape;
  /** Covariance of face distances, then corner radii, mm^2, row-major; null where nothing is known of it. */
  readonly covariance: Float64Array | null;
}

/**
 * How the mean of the tables meets the only published throws of bodies of known shape, 15 square bars (Budden 1980), nothing fitted: `npm run bench -- rolls --long
 * --part bars`. Scatter: of single bars about the model, as a share of the effect, binomial chance taken out; of all, and of those from 0.7 to 1.5. Slope: the best for them.
 */
export const MISFIT = { bars: 15, deviance: 104, scatter: 0.27, scatterNear: 0.33, slope: 1.16 } as const;

/**
 * Standard deviation of what the model may miss, as a share of each cause's effect, and a floor for ln p.
 *
 * That of faces from {@link MISFIT}, a little above the bars' own near the cube. The others are a judgement from the spread of the effects over tables, hands and
 * restitution laws in throws (see README.md); no published throws of such dice were found.
 */
export const MODEL_DOUBT: Readonly<Record<Cause, number>> & { readonly floor: number } = {
  faces: 0.35,
  rounding: 0.6,
  mass: 0.35,
  mark: 0.6,
  crown: 0.6,
  trim: 0.5,
  floor: 0.001,
};

/** Half the width of a 95 % interval of a normal distribution in standard deviations (NIST/SEMATECH e-Handbook, 1.3.6.7.1); U95 of lengths is 2 u instead. */
export const NORMAL_95 = 1.959964;

/** What the kernel says at once, or what is impossible about the shape. */
export function kernelPrediction(
  { shape, covariance }: KnownShape,
  table: TableChoice,
): Result<Prediction, ShapeFault> {
  const fault = shapeFault(shape);
  if (fault) return failure(fault);
  return success(assembled(shape, covariance, table, kernelReading(shape, table), null));
}

/** What throws say: their counts, with the same doubts of shape and model. `tally` per face that lay down, from that very shape. */
export function throwsPrediction(
  { shape, covariance }: KnownShape,
  table: TableChoice,
  tally: Pick<Tally, 'counts' | 'throws'>,
): Result<Prediction, ShapeFault> {
  const fault = shapeFault(shape);
  if (fault) return failure(fault);
  return success(assembled(shape, covariance, table, kernelReading(shape, table), tally));
}

function assembled(
  shape: DieShape,
  covariance: Float64Array | null,
  table: TableChoice,
  reading: KernelReading,
  tally: Pick<Tally, 'counts' | 'throws'> | null,
): Prediction {
  const order = rollOrder(shape);
  const k = order.length;
  const p = Float64Array.from(order, (f) =>
    tally ? (tally.counts[f] + 0.5) / (tally.throws + 0.5 * k) : reading.p[f],
  );
  const effects = Object.fromEntries(
    Object.entries(reading.effects).map(([cause, e]) => [cause, Float64Array.from(order, (f) => e[f])]),
  ) as Record<Cause, Float64Array>;
  const measured = covariance ? propagated(reading.gradient, order, covariance) : new Float64Array(k * k);
  const model = modelCovariance(effects, p, tally !== null && reading.beyond.length > 0);
  const tables = betweenTables(reading, order);
  const kernel = tally ? new Float64Array(k * k) : kernelError(shape, p);
  const sampling = new Float64Array(k * k);
  if (tally)
    for (let i = 0; i < k * k; i++) sampling[i] = ((i % (k + 1) === 0 ? 1 / p[i / (k + 1)] : 0) - 1) / tally.throws;
  return {
    method: tally ? 'throws' : 'kernel',
    table,
    names: order.map((f) => shape.labels[rolledFace(solidFor(shape), f)]),
    p,
    covariance: measured.map((m, i) => m + model[i] + tables[i] + kernel[i] + sampling[i]),
    measured,
    model,
    tables,
    kernel,
    sampling,
    effects,
    beyond: reading.beyond,
    throws: tally?.throws ?? 0,
  };
}

/** How ln p differs between the tables, where nobody says on which one the die is thrown: the tables' own covariance, their mean being the prediction. */
function betweenTables({ onTables }: KernelReading, order: readonly number[]): Float64Array {
  const [k, n] = [order.length, onTables.length];
  const out = new Float64Array(k * k);
  if (n < 2) return out;
  const mean = order.map((f) => onTables.reduce((s, t) => s + t[f], 0) / n);
  for (const t of onTables) {
    const off = order.map((f, i) => t[f] - mean[i]);
    for (let i = 0; i < k; i++) for (let j = 0; j < k; j++) out[i * k + j] += (off[i] * off[j]) / (n - 1);
  }
  return out;
}

/**
 * The kernel's error on dice that it was not fitted to, at its upper bound, each face for itself. It was found for dice of a known unevenness; on a face that strays
 * farther it grows in proportion.
 */
function kernelError({ kind }: DieShape, p: Float64Array): Float64Array {
  const k = p.length;
  const { atMost, unevenness } = KERNELS.kinds[kind]!.heldOut;
  const out = new Float64Array(k * k);
  p.forEach((x, i) => (out[i * (k + 1)] = (atMost * Math.max(1, Math.abs(Math.log(x * k)) / unevenness)) ** 2));
  return out;
}

/** Faces that lie down, in the order of the numbers they roll. */
export function rollOrder(shape: DieShape): number[] {
  const solid = solidFor(shape);
  const name = (down: number): string => shape.labels[rolledFace(solid, down)];
  return shape.labels.map((_, f) => f).sort((a, b) => compareNames(name(a), name(b)));
}

/** Numbers by value, other names after them by letter. */
export function compareNames(a: string, b: string): number {
  const [x, y] = [Number(a), Number(b)];
  if (Number.isNaN(x) || Number.isNaN(y))
    return Number.isNaN(x) === Number.isNaN(y) ? (a < b ? -1 : 1) : Number.isNaN(x) ? 1 : -1;
  return x - y;
}

/** J covariance J', rows in `order`. */
function propagated(gradient: Float64Array, order: readonly number[], covariance: Float64Array): Float64Array {
  const params = gradient.length / order.length;
  const rows = order.map((f) => gradient.subarray(f * params, (f + 1) * params));
  const spread = rows.map((row) =>
    Float64Array.from({ length: params }, (_, j) => row.reduce((s, g, i) => s + g * covariance[i * params + j], 0)),
  );
  return Float64Array.from(rows.flatMap((row) => spread.map((other) => row.reduce((s, g, i) => s + g * other[i], 0))));
}

/** Each cause's doubt moves its effect on all faces together, the sum of chances kept; the floor moves each face alone. */
function modelCovariance(
  effects: Readonly<Record<Cause, Float64Array>>,
  p: Float64Array,
  beyond: boolean,
): Float64Array {
  const k = p.length;
  const out = new Float64Array(k * k);
  const causes = Object.keys(effects) as Cause[];
  const parts = beyond
    ? [[mixedDoubt(effects), p.map((x) => Math.log(x * k))] as const]
    : causes.map((cause) => [MODEL_DOUBT[cause], effects[cause]] as const);
  for (const [share, effect] of parts) {
    const mean = effect.reduce((s, x, i) => s + p[i] * x, 0);
    const e = effect.map((x) => share * (x - mean));
    for (let i = 0; i < k; i++) for (let j = 0; j < k; j++) out[i * k + j] += e[i] * e[j];
  }
  for (let i = 0; i < k; i++) out[i * (k + 1)] += MODEL_DOUBT.floor ** 2;
  return out;
}

/** Beyond the kernel only the mixture of causes is taken from it: their doubts weighted by their effects. */
function mixedDoubt(effects: Readonly<Record<Cause, Float64Array>>): number {
  let [doubts, sizes] = [0, 0];
  for (const cause of Object.keys(effects) as Cause[]) {
    const size = effects[cause].reduce((s, e) => s + e * e, 0);
    doubts += MODEL_DOUBT[cause] ** 2 * size;
    sizes += size;
  }
  return sizes > 0 ? Math.sqrt(doubts / sizes) : MODEL_DOUBT.mass;
}

/** A value with the ends of its 95 % interval. */
export interface Interval {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** Chance of each number, in the order of `names`; the interval is even in the logarithm. */
export function chances({ p, covariance }: Prediction): Interval[] {
  return Array.from(p, (value, i) => {
    const reach = Math.exp(NORMAL_95 * Math.sqrt(covariance[i * (p.length + 1)]));
    return { value, low: value / reach, high: Math.min(1, value * reach) };
  });
}

/** Whether no number's interval leaves out an equal chance: nothing uneven has been shown. */
export const looksEven = (prediction: Prediction): boolean =>
  chances(prediction).every(({ low, high }) => low <= 1 / prediction.p.length && high >= 1 / prediction.p.length);

/** Sum over faces of `weight` times chance, e.g. the mean roll, with its interval. */
export function weighted({ p, covariance }: Prediction, weight: ArrayLike<number>): Interval {
  const k = p.length;
  let value = 0;
  for (let i = 0; i < k; i++) value += weight[i] * p[i];
  // d value / d ln p_i, with the sum of chances kept at 1.
  const slope = Float64Array.from(p, (x, i) => x * (weight[i] - value));
  let variance = 0;
  for (let i = 0; i < k; i++) for (let j = 0; j < k; j++) variance += slope[i] * slope[j] * covariance[i * k + j];
  const reach = NORMAL_95 * Math.sqrt(variance);
  return { value, low: value - reach, high: value + reach };
}
