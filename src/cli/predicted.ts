import type { TableChoice } from '../bias/kernel/kernel.ts';
import { faultText } from '../bias/messages.ts';
import { kernelPrediction, throwsPrediction, type Prediction } from '../bias/meaning/prediction.ts';
import { readShape, type ReadShape } from '../bias/meaning/shape-record.ts';
import { MOST_AGAIN, RECORD_PLAN, thrownRolls, toThrow, type ThrownRolls } from '../bias/meaning/thrown-rolls.ts';
import type { Tally } from '../bias/throws/throw-blocks.ts';
import { throwBody } from '../bias/throws/throw-body.ts';
import { runThrows, tumbling, type ThrowPlan, type Tumbling } from '../bias/throw-run.ts';
import { sharpened } from '../bias/meaning/what-if.ts';
import { fileJson } from './files.ts';
import { throwPool } from './throw-pool.ts';

/** Most throws where a precision alone was asked for. */
const MOST_THROWS = 50_000_000;
/** Throws of the die and of a sharp one of its size for the comparison of how they tumble. */
const TUMBLE_THROWS = 40_000;

/** The shape in a file, or what is wrong with it. */
export async function shapeFrom(file: string): Promise<ReadShape | string> {
  const json = await fileJson(file, true);
  if (!json.ok) return json.error;
  const shape = readShape(json.value);
  return shape.ok ? shape.value : faultText(shape.error);
}

/** What a die's rolls will be, with what its throws showed beside their counts. */
export interface Predicted {
  readonly prediction: Prediction;
  /** The die and a sharp one of its size; null without throws. */
  readonly tumbling: readonly [Tumbling, Tumbling] | null;
}

/** What to ask of the kernel or of throws. */
export interface Asked {
  readonly table: TableChoice;
  /** Null: the kernel, and throws only where it does not serve. */
  readonly throws: number | null;
  /** Share of each chance to be known to; null: never sooner than all throws. */
  readonly precision: number | null;
  readonly seed: number;
}

/** The kernel's prediction, or that of throws where they are asked for or the kernel does not serve. */
export async function predicted(shape: ReadShape, { table, throws, precision, seed }: Asked): Promise<Predicted> {
  const kernel = checked(kernelPrediction(shape, table));
  if (throws === null && precision === null && kernel.beyond.length === 0)
    return { prediction: kernel, tumbling: null };
  const plan: ThrowPlan = {
    table,
    seed,
    throws: throws ?? (precision === null ? RECORD_PLAN.throws : MOST_THROWS),
    precision,
  };
  const pool = throwPool();
  try {
    const thrown = async (s: ReadShape['shape'], other: Partial<ThrowPlan> = {}): Promise<Tally> =>
      checked(await runThrows(checked(throwBody(s)), { ...plan, ...other }, pool.throwers));
    const tally = await thrown(shape.shape);
    const sharp = await thrown(sharpened(shape.shape), {
      throws: Math.min(tally.throws, TUMBLE_THROWS),
      precision: null,
    });
    return { prediction: checked(throwsPrediction(shape, table, tally)), tumbling: [tumbling(tally), tumbling(sharp)] };
  } finally {
    await pool.close();
  }
}

/** The throws that a record of this result needs; null where the kernel serves it or it has no shape, or more are asked for than is reasonable. */
export async function thrownFor(
  result: unknown,
  { seed, throws }: Pick<ThrownRolls, 'seed' | 'throws'> = RECORD_PLAN,
): Promise<ThrownRolls | null> {
  const shape = readShape(result);
  const body = shape.ok ? toThrow(shape.value) : shape;
  if (!body.ok || !shape.ok || body.value === null || throws > MOST_AGAIN) return null;
  const pool = throwPool();
  try {
    const tally = checked(await runThrows(body.value, { ...RECORD_PLAN, seed, throws }, pool.throwers));
    return thrownRolls(shape.value, tally, seed);
  } finally {
    await pool.close();
  }
}

/** The value of something that was checked before; its failure is a bug. */
function checked<T>(
  result: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly error: { readonly code: string } },
): T {
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
}
