import { parentPort } from 'node:worker_threads';
import type { TableName } from '../bias/throws/tables.ts';
import { throwBlock } from '../bias/throws/throw-blocks.ts';
import type { ThrowBody } from '../bias/throws/throw-body.ts';

/** What a throwing thread is asked: a block of a run. */
export interface BlockRequest {
  readonly body: ThrowBody;
  readonly table: TableName;
  readonly seed: number;
  readonly index: number;
}

parentPort?.on('message', ({ body, table, seed, index }: BlockRequest) => {
  parentPort!.postMessage(throwBlock(body, table, seed, index));
});
