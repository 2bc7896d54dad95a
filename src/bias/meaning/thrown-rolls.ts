import { failure, type Result } from '../../result.ts';
import { THROW_PLAN, type ThrowPlan } from '../throw-run.ts';
import { throwBody, type ThrowBody } from '../throws/throw-body.ts';
import type { Tally } from '../throws/throw-blocks.ts';
import type { ShapeFault } from '../die/shape-check.ts';
import { kernelPrediction, rollOrder, throwsPrediction, type KnownShape, type Prediction } from './prediction.ts';

/** Throws of a measured shape, on all tables in turn, as records keep them: thrown again with this seed they give the same counts. */
export interface ThrownRolls {
  readonly seed: number;
  readonly throws: number;
  /** Per number, in the order of a prediction's names. */
  readonly counts: readonly number[];
}

/** What is thrown where the kernel does not serve a shape: one plan for command line, page and report, so that all state the same. */
export const RECORD_PLAN: ThrowPlan = { ...THROW_PLAN, table: 'unknown', throws: 400_000, precision: null };

/** What is to be thrown before a record states this die's rolls; null where the kernel serves it. */
export function toThrow(known: KnownShape): Result<ThrowBody | null, ShapeFault> {
  const kernel = kernelPrediction(known, 'unknown');
  if (!kernel.ok) return kernel;
  return kernel.value.beyond.length > 0 ? throwBody(known.shape) : { ok: true, value: null };
}

/** Most throws that a reader of a record throws again, a minute or two of one core. */
export const MOST_AGAIN = 3_000_000;

/** A finished run on all tables in turn as a record keeps it. */
export const thrownRolls = ({ shape }: KnownShape, { counts, throws }: Tally, seed: number): ThrownRolls => ({
  seed,
  throws,
  counts: rollOrder(shape).map((f) => counts[f]),
});

/** Whether two runs are one. */
export const sameThrows = (a: ThrownRolls, b: ThrownRolls): boolean =>
  a.seed === b.seed && a.throws === b.throws && a.counts.join() === b.counts.join();

/**
 * The prediction that records state: of throws where there are any, of the kernel otherwise, whose interval then says how little it knows.
 *
 * @param thrown  Of an untrusted file: counts that are none give a failure.
 */
export function recordPrediction(
  known: KnownShape,
  thrown: ThrownRolls | null,
): Result<Prediction, ShapeFault | { readonly code: 'thrown-impossible' }> {
  if (thrown === null) return kernelPrediction(known, 'unknown');
  const order = rollOrder(known.shape);
  const sum = thrown.counts.reduce((s, c) => s + c, 0);
  const sound = thrown.counts.length === order.length && thrown.counts.every((c) => Number.isInteger(c) && c >= 0);
  if (!sound || sum !== thrown.throws || sum === 0) return failure({ code: 'thrown-impossible' });
  const counts = new Float64Array(order.length);
  order.forEach((f, i) => (counts[f] = thrown.counts[i]));
  return throwsPrediction(known, 'unknown', { counts, throws: sum });
}
