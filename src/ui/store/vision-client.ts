import { compileCv } from '../../../workers/opencv-module.ts';
import { PROTOCOL, type VisionApi } from '../../../workers/protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The vision worker. OpenCV is fetched and compiled once, while the worker's own script comes; a worker started after a cancel gets the compiled module. */
export function visionClient(): WorkerClient<VisionApi> {
  let module: Promise<WebAssembly.Module> | null = null;
  const compiled = (): Promise<WebAssembly.Module> => {
    module ??= compileCv();
    // Told where it is waited for; the next worker tries again.
    module.catch(() => (module = null));
    return module;
  };
  return new WorkerClient<VisionApi>({
    start() {
      void compiled();
      return new Worker(new URL('../../../workers/vision.worker.ts', import.meta.url), { type: 'module' });
    },
    protocol: PROTOCOL,
    prepare: async (api) => api.start(await compiled()),
  });
}
