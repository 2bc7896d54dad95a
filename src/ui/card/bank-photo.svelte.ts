import type { BankCardBars } from '../../bank-card/bars.ts';
import type { BankFault } from '../../bank-card/messages.ts';
import { bankClient } from './bank-client.ts';
import { lend, type WorkerFailure } from '../kit/worker-client.ts';

/** A photo of a bank card on the printed card, and what it says of the print. Nothing of it outlives the open page. */
export class BankPhoto {
  busy = $state(false);
  found = $state.raw<BankCardBars | null>(null);
  fault = $state.raw<BankFault | null>(null);
  /** Trouble of the worker, not of the photo. */
  trouble = $state.raw<Exclude<WorkerFailure, { code: 'cancelled' }> | null>(null);
  /** Address of the photo for the page, or null. */
  url = $state<string | null>(null);
  #stop: AbortController | null = null;

  async measure(file: File): Promise<void> {
    this.clear();
    const stop = new AbortController();
    this.#stop = stop;
    this.busy = true;
    const bytes = await file.arrayBuffer().catch(() => new ArrayBuffer(0));
    const worker = bankClient();
    const outcome = await worker.call((api) => api.bars(lend({ name: file.name, bytes }, [bytes])), stop.signal);
    worker.dispose();
    if (this.#stop !== stop) return;
    this.busy = false;
    if (!outcome.ok) this.trouble = outcome.error.code === 'cancelled' ? null : outcome.error;
    else if (!outcome.value.ok) this.fault = outcome.value.error;
    else {
      this.found = outcome.value.value;
      this.url = URL.createObjectURL(file);
    }
  }

  /** Stops what runs and forgets the photo. */
  clear(): void {
    this.#stop?.abort();
    this.#stop = null;
    if (this.url !== null) URL.revokeObjectURL(this.url);
    this.busy = false;
    [this.found, this.fault, this.trouble, this.url] = [null, null, null, null];
  }
}
