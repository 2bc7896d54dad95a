import { SIGHT_PROTOCOL, type SightApi } from '../../../workers/sight-protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that looks at a live camera's frames. */
export function sightClient(): WorkerClient<SightApi> {
  return new WorkerClient<SightApi>({
    start: () => new Worker(new URL('../../../workers/sight.worker.ts', import.meta.url), { type: 'module' }),
    protocol: SIGHT_PROTOCOL,
  });
}
