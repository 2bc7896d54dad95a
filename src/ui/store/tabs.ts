import type { StoreName } from './database.ts';

/** Told to the other tabs: a record was written or removed. */
export interface Written {
  readonly store: StoreName;
  readonly id: string;
}

/** What other tabs of the page do, and what they have open. Where the browser offers neither, every tab is alone. */
export class Tabs {
  readonly #channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel('evencast-kept');
  readonly #held = new Map<string, () => void>();

  /** Calls `onWritten` for whatever another tab wrote. */
  listen(onWritten: (written: Written) => void): void {
    this.#channel?.addEventListener('message', ({ data }: MessageEvent<Written>) => onWritten(data));
  }

  tell(written: Written): void {
    this.#channel?.postMessage(written);
  }

  /** Takes a die for this tab. @returns False where another tab has it. */
  hold(die: string): Promise<boolean> {
    // Locks exist on secure origins alone; without them the revisions of records still guard each write.
    const locks = (navigator as { locks?: LockManager }).locks;
    if (locks === undefined || this.#held.has(die)) return Promise.resolve(true);
    return new Promise((resolve) => {
      const asked = locks.request(`evencast-die-${die}`, { ifAvailable: true }, (lock) => {
        resolve(lock !== null);
        if (lock === null) return undefined;
        return new Promise<void>((release) => this.#held.set(die, release));
      });
      // Refused where storage is refused as a whole.
      asked.catch(() => resolve(true));
    });
  }

  release(die: string): void {
    this.#held.get(die)?.();
    this.#held.delete(die);
  }

  close(): void {
    for (const die of [...this.#held.keys()]) this.release(die);
    this.#channel?.close();
  }
}
