import type { BlockThrower } from '../../bias/throw-run.ts';
import { ROLLS_PROTOCOL, type RollsApi } from '../../../workers/rolls-protocol.ts';
import { WorkerClient, type WorkerFailure } from '../kit/worker-client.ts';

/** Throwing workers, one per core. */
export interface RollsPool {
  readonly throwers: readonly BlockThrower<WorkerFailure>[];
  /** Ends the workers; blocks under way end as cancelled. The next block starts new ones. */
  dispose(): void;
}

/**
 * @param signal  Aborting it ends every worker and call at once.
 */
export function rollsPool(signal?: AbortSignal, size: number = navigator.hardwareConcurrency || 2): RollsPool {
  const clients = Array.from(
    { length: size },
    () =>
      new WorkerClient<RollsApi>({
        start: () => new Worker(new URL('../../../workers/rolls.worker.ts', import.meta.url), { type: 'module' }),
        protocol: ROLLS_PROTOCOL,
      }),
  );
  return {
    throwers: clients.map(
      (client): BlockThrower<WorkerFailure> =>
        (body, table, seed, index) =>
          client.call((api) => api.throwBlock(body, table, seed, index), signal),
    ),
    dispose: () => clients.forEach((client) => client.dispose()),
  };
}
