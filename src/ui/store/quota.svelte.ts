/** How much the browser lets the page keep, and whether it may clear it by itself. */
class Quota {
  /** Bytes; null where the browser does not say. */
  used = $state<number | null>(null);
  most = $state<number | null>(null);
  /** Whether the browser promised not to clear the store by itself; null where it cannot say. */
  persistent = $state<boolean | null>(null);
  #asked = false;

  /** Reads what the browser says. */
  async look(): Promise<void> {
    const { storage } = navigator as { storage?: StorageManager };
    if (storage === undefined) return;
    try {
      const { usage, quota } = await storage.estimate();
      this.used = usage ?? null;
      this.most = quota ?? null;
      this.persistent = await storage.persisted();
    } catch {
      // Refused in some private windows: nothing is said then.
    }
  }

  /** Asks, once per visit, that the store be kept until the person clears it. A browser may ask the person. */
  async ask(): Promise<void> {
    if (this.#asked) return;
    this.#asked = true;
    const { storage } = navigator as { storage?: StorageManager };
    try {
      this.persistent = (await storage?.persist()) ?? null;
    } catch {
      this.persistent = null;
    }
  }
}

export const quota = new Quota();
