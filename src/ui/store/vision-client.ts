import { PROTOCOL, type VisionApi } from '../../../workers/protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The vision worker. OpenCV is fetched and compiled once; a worker started after a cancel gets the compiled module. */
export function visionClient(): WorkerClient<VisionApi> {
  let module: WebAssembly.Module | null = null;
  return new WorkerClient<VisionApi>({
    start: () => new Worker(new URL('../../../workers/vision.worker.ts', import.meta.url), { type: 'module' }),
    protocol: PROTOCOL,
    prepare: async (api) => {
      module = await api.start(module);
    },
  });
}
