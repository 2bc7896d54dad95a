import { BANK_PROTOCOL, type BankApi } from '../../../workers/bank-protocol.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that measures a bank card on the printed card. */
export function bankClient(): WorkerClient<BankApi> {
  return new WorkerClient<BankApi>({
    start: () => new Worker(new URL('../../../workers/bank.worker.ts', import.meta.url), { type: 'module' }),
    protocol: BANK_PROTOCOL,
  });
}
