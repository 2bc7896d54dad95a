import { PROTOCOL, type VisionApi } from '../../../workers/protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The vision worker. */
export const visionClient = (): WorkerClient<VisionApi> =>
  new WorkerClient<VisionApi>({
    start: () => new Worker(new URL('../../../workers/vision.worker.ts', import.meta.url), { type: 'module' }),
    protocol: PROTOCOL,
  });
