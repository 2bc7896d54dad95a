import { SHOTS_PROTOCOL, type ShotsApi } from '../../../workers/shots-protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that plans shots and weighs photos; started at its first call. */
export const shotsClient = (): WorkerClient<ShotsApi> =>
  new WorkerClient<ShotsApi>({
    start: () => new Worker(new URL('../../../workers/shots.worker.ts', import.meta.url), { type: 'module' }),
    protocol: SHOTS_PROTOCOL,
  });
