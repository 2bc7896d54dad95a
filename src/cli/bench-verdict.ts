import type { DieShape } from '../bias/die/die-shape.ts';
import type { TableName } from '../bias/throws/tables.ts';
import type { Tally } from '../bias/throws/throw-blocks.ts';
import { throwBody, type ThrowBody } from '../bias/throws/throw-body.ts';
import { runThrows, THROW_PLAN } from '../bias/throw-run.ts';
import type { ThrowPool } from './throw-pool.ts';

/** A bar that the model is held to, and whether it was met. */
export interface Verdict {
  readonly bar: string;
  readonly met: boolean;
}

export const say = (text: string): void => void process.stdout.write(`${text}\n`);
export const percent = (x: number): string => `${(100 * x).toFixed(2)} %`;

/** A bench's own shapes can be thrown: one that cannot is a fault of the bench, hence thrown. */
export function bodyOf(shape: DieShape): ThrowBody {
  const body = throwBody(shape);
  if (!body.ok) throw new Error(JSON.stringify(body.error));
  return body.value;
}

export async function counted(
  pool: ThrowPool,
  shape: DieShape,
  table: TableName,
  throws: number,
  seed: number,
): Promise<Tally> {
  const run = await runThrows(bodyOf(shape), { ...THROW_PLAN, table, throws, seed }, pool.throwers);
  if (!run.ok) throw new Error(run.error.detail);
  return run.value;
}
