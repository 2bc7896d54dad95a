import { releaseProxy, wrap, type Remote } from 'comlink';
import { failure, success, type Result } from '../../result.ts';
import type { WorkerApi } from '../../../workers/protocol.ts';

/** For callers: `lend(message, buffers)` hands buffers over with a message; `callback(f)` lets the worker call `f`. */
export { proxy as callback, transfer as lend } from 'comlink';

/** Why a call did not return what its worker computes. */
export type WorkerFailure =
  | { readonly code: 'cancelled' }
  /** The worker speaks another protocol: an old one from a cache. Reloading the page mends it. */
  | { readonly code: 'worker-outdated'; readonly seen: unknown; readonly needed: number }
  /** The browser starts no workers here: none are known, or they are forbidden. */
  | { readonly code: 'no-workers' }
  /** A bug or lack of memory: the worker was ended, the next call starts another. `detail` is the engine's word, for whoever debugs: nobody is told it. */
  | { readonly code: 'worker-stopped'; readonly detail: string };

/** How a worker is had: it is started at its first call, for a page that never measures need not fetch it. */
export interface WorkerClientOptions<Api extends WorkerApi> {
  /** Starts a worker; called lazily, again after each loss. */
  readonly start: () => Worker;
  readonly protocol: number;
  /** Runs once per worker before its first call, e.g. to hand over compiled WASM. */
  readonly prepare?: (api: Remote<Api>) => Promise<void>;
}

/**
 * Calls into a worker that always settle and never reject.
 *
 * A call ends with the worker's answer, or as soon as its signal aborts or the worker is lost (an uncaught error, an unreadable
 * message, a rejected promise). Each of those ends the worker and every call that still waits for it; the next call starts
 * another. Cancelling is ending: WASM cannot be interrupted otherwise.
 */
export class WorkerClient<Api extends WorkerApi> {
  readonly #options: WorkerClientOptions<Api>;
  #connection: Connection<Api> | undefined;

  constructor(options: WorkerClientOptions<Api>) {
    this.#options = options;
  }

  /**
   * @param use     One call of the worker; may run later, when the worker is ready.
   * @param signal  Aborting it ends the call at once, with code 'cancelled'.
   */
  async call<P extends Promise<unknown>>(
    use: (api: Remote<Api>) => P,
    signal?: AbortSignal,
  ): Promise<Result<Awaited<P>, WorkerFailure>> {
    if (signal?.aborted) return failure({ code: 'cancelled' });
    const connection = this.#connected();
    if (connection === null) return failure({ code: 'no-workers' });
    const cancel = (): void => connection.lose({ code: 'cancelled' });
    signal?.addEventListener('abort', cancel);
    try {
      return await Promise.race([connection.lost, connection.answer(use)]);
    } finally {
      signal?.removeEventListener('abort', cancel);
    }
  }

  #connected(): Connection<Api> | null {
    if (this.#connection !== undefined && !this.#connection.gone) return this.#connection;
    try {
      return (this.#connection = new Connection(this.#options));
    } catch {
      return null;
    }
  }

  /** Ends the worker and with it all its memory. Calls under way end as cancelled. */
  dispose(): void {
    this.#connection?.lose({ code: 'cancelled' });
  }
}

/** One worker, from start to loss. */
class Connection<Api extends WorkerApi> {
  /** Settles, once, when this worker is gone; never rejects. */
  readonly lost: Promise<Result<never, WorkerFailure>>;
  readonly #settleLost: (gone: Result<never, WorkerFailure>) => void;
  readonly #worker: Worker;
  readonly #api: Remote<Api>;
  readonly #ready: Promise<void>;
  #gone = false;

  get gone(): boolean {
    return this.#gone;
  }

  constructor({ start, protocol, prepare }: WorkerClientOptions<Api>) {
    let settle: (gone: Result<never, WorkerFailure>) => void = () => undefined;
    this.lost = new Promise((resolve) => (settle = resolve));
    this.#settleLost = settle;
    this.#worker = start();
    this.#worker.addEventListener('error', (event) => {
      event.preventDefault();
      this.#stop(event.message || 'it could not be loaded');
    });
    this.#worker.addEventListener('messageerror', () => this.#stop('its answer could not be read'));
    this.#api = wrap<Api>(this.#worker);
    this.#ready = this.#greet(protocol, prepare);
  }

  /** The answer; a rejection, being a bug, loses the worker. Stays pending once the worker is gone: race it with `lost`. */
  async answer<P extends Promise<unknown>>(use: (api: Remote<Api>) => P): Promise<Result<Awaited<P>, WorkerFailure>> {
    try {
      await this.#ready;
      if (this.#gone) return await this.lost;
      return success(await use(this.#api));
    } catch (thrown) {
      this.#stop(thrown instanceof Error ? thrown.message : String(thrown));
      return this.lost;
    }
  }

  lose(why: WorkerFailure): void {
    if (this.#gone) return;
    this.#gone = true;
    // Release first: a proxy whose worker ended before leaks (comlink issue 655).
    this.#api[releaseProxy]();
    this.#worker.terminate();
    this.#settleLost(failure(why));
  }

  #stop(detail: string): void {
    this.lose({ code: 'worker-stopped', detail });
  }

  async #greet(needed: number, prepare?: (api: Remote<Api>) => Promise<void>): Promise<void> {
    const seen: unknown = await this.#api.protocol;
    if (seen !== needed) this.lose({ code: 'worker-outdated', seen, needed });
    else await prepare?.(this.#api);
  }
}
