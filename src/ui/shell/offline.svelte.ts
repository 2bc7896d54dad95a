import { OFFLINE_SCRIPT } from './offline-script.ts';

/** How the page stands with working without a network, and whether a newer version of it waits. */
class Offline {
  /** Whether everything is stored that it needs to work without a network. */
  ready = $state(false);
  /** A newer version that waits to be used. */
  newer = $state.raw<ServiceWorker | null>(null);
  /** The page could not be stored; it is tried again at the next visit. */
  failed = $state(false);
  #asked = false;

  /** Stores the page, once it has nothing better to do. Does nothing where the browser or the origin does not allow it. */
  async start(): Promise<void> {
    const { serviceWorker } = navigator as { serviceWorker?: ServiceWorkerContainer };
    if (serviceWorker === undefined) return;
    serviceWorker.addEventListener('controllerchange', () => {
      if (this.#asked) location.reload();
    });
    try {
      const registration = await serviceWorker.register(new URL(OFFLINE_SCRIPT, document.baseURI));
      this.#watch(registration, serviceWorker);
      this.ready = (await serviceWorker.ready).active !== null;
    } catch {
      // Not a secure origin, or storage is refused: it goes on as an ordinary page.
    }
  }

  /** Changes to the newer version: the page loads again, and what was kept comes back. */
  change(): void {
    this.#asked = true;
    this.newer?.postMessage('change-now');
  }

  /** A file of the page did not serve: if it is stored otherwise than it should be, it is fetched anew, and the page loads again. */
  mend(): void {
    const { serviceWorker } = navigator as { serviceWorker?: ServiceWorkerContainer };
    if (!serviceWorker?.controller) return;
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      if (typeof data === 'number' && data > 0) location.reload();
    };
    serviceWorker.controller.postMessage('mend', [port2]);
  }

  #watch(registration: ServiceWorkerRegistration, container: ServiceWorkerContainer): void {
    const noticed = (worker: ServiceWorker | null): void => {
      if (worker === null) return;
      const tell = (): void => {
        // The first one takes over at once: there is nothing older to change from.
        if (worker.state === 'installed' && container.controller !== null) this.newer = worker;
        if (worker.state === 'activated' || worker.state === 'redundant') this.newer = null;
        // Given up before it was ever in use: a file did not arrive whole, or there is no room for it.
        if (worker.state === 'redundant' && worker !== container.controller && !this.ready) this.failed = true;
        if (worker.state === 'activated') this.failed = false;
      };
      worker.addEventListener('statechange', tell);
      tell();
    };
    noticed(registration.waiting);
    noticed(registration.installing);
    registration.addEventListener('updatefound', () => noticed(registration.installing));
  }
}

export const offline = new Offline();
