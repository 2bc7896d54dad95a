import { LOG_PROTOCOL, type LogApi } from '../../../workers/log-protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that reads roll logs; started at its first call. */
export const logClient = (): WorkerClient<LogApi> =>
  new WorkerClient<LogApi>({
    start: () => new Worker(new URL('../../../workers/log.worker.ts', import.meta.url), { type: 'module' }),
    protocol: LOG_PROTOCOL,
  });
