import { BIN_PROTOCOL, type BinApi } from '../../../workers/bin-protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that sorts a bin; a later one gets the compiled OpenCV of the one before. */
export function binClient(): WorkerClient<BinApi> {
  let module: WebAssembly.Module | null = null;
  return new WorkerClient<BinApi>({
    start: () => new Worker(new URL('../../../workers/bin.worker.ts', import.meta.url), { type: 'module' }),
    protocol: BIN_PROTOCOL,
    prepare: async (api) => {
      module = await api.start(module);
    },
  });
}
