import { SIGHT_PROTOCOL, type SightApi } from '../../../workers/sight-protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that looks at a live camera's frames; a later one gets the compiled OpenCV of the one before. */
export function sightClient(): WorkerClient<SightApi> {
  let module: WebAssembly.Module | null = null;
  return new WorkerClient<SightApi>({
    start: () => new Worker(new URL('../../../workers/sight.worker.ts', import.meta.url), { type: 'module' }),
    protocol: SIGHT_PROTOCOL,
    prepare: async (api) => {
      module = await api.start(module);
    },
  });
}
