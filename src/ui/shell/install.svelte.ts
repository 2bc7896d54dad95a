/** As browsers that let a page offer its own installing send it (not in the DOM's types: no standard). */
interface InstallEvent extends Event {
  prompt(): Promise<unknown>;
}

/** Offers to install the page where the platform has that. */
class Install {
  #event = $state.raw<InstallEvent | null>(null);

  constructor() {
    addEventListener('beforeinstallprompt', (event) => {
      event.preventDefault();
      this.#event = event as InstallEvent;
    });
    addEventListener('appinstalled', () => (this.#event = null));
  }

  get possible(): boolean {
    return this.#event !== null;
  }

  /** Asks the person, in the browser's own words; it can be asked once. */
  async ask(): Promise<void> {
    const event = this.#event;
    this.#event = null;
    await event?.prompt();
  }
}

export const install = new Install();
