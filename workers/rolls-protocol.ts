import type { TableName } from '../src/bias/throws/tables.ts';
import type { Tally } from '../src/bias/throws/throw-blocks.ts';
import type { ThrowBody } from '../src/bias/throws/throw-body.ts';
import type { WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the throwing worker or of what a block means. */
export const ROLLS_PROTOCOL = 1;

export interface RollsApi extends WorkerApi {
  /** Throws block `index` of the run with this seed. The body is copied; the reply owns its counts. */
  throwBlock(body: ThrowBody, table: TableName, seed: number, index: number): Promise<Tally>;
}
