import type { Prediction } from '../../bias/prediction.ts';
import type { LogFault } from '../../bias/roll-log.ts';
import type { Result } from '../../result.ts';
import type { ReadLog } from '../../../workers/log-protocol.ts';
import { logClient } from '../log-client.ts';
import type { WorkerFailure } from '../worker-client.ts';

/** Typing is waited for this long, ms. */
const PAUSE = 250;
/** For the drawn logs of the exact test. */
const SEED = 1;

/** A roll log as typed, and what it tells; reading is a worker's work, so that long logs block nothing. */
export class LogEntry {
  text = $state.raw('');
  cleared = $state.raw<string | null>(null);
  read = $state.raw<Result<ReadLog, LogFault> | null>(null);
  busy = $state(false);
  stopped = $state.raw<WorkerFailure | null>(null);
  readonly #client = logClient();

  add(name: string): void {
    this.text = this.text === '' || /\s$/.test(this.text) ? `${this.text}${name}` : `${this.text} ${name}`;
  }

  removeLast(): void {
    this.text = this.text.trimEnd().replace(/\S+$/, '').trimEnd();
  }

  clear(): void {
    this.cleared = this.text;
    this.text = '';
  }

  restore(): void {
    this.text = this.cleared ?? '';
    this.cleared = null;
  }

  /** Reads what stands there after a pause. @returns Ends the reading. */
  follow(text: string, prediction: Prediction): () => void {
    const controller = new AbortController();
    if (text.trim() === '') {
      this.read = null;
      this.busy = false;
      return () => undefined;
    }
    const timer = setTimeout(() => void this.#analyse(text, prediction, controller.signal), PAUSE);
    return () => {
      clearTimeout(timer);
      controller.abort();
    };
  }

  async #analyse(text: string, prediction: Prediction, signal: AbortSignal): Promise<void> {
    this.busy = true;
    const answer = await this.#client.call((api) => api.analyse(text, prediction, SEED), signal);
    if (signal.aborted) return;
    this.busy = false;
    this.stopped = answer.ok ? null : answer.error;
    if (answer.ok) this.read = answer.value;
  }
}
