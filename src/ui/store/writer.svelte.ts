import type { Change, ClosedWhy, KeepFault, Store } from './store.ts';

/** Makes the change to write, with the revision that it shall have; null where there is nothing to write any more, a fault where it could not be read again. */
export type MakeChange = (revision: number) => Change | null | Unfit;
type Unfit = Extract<KeepFault, { readonly code: 'unfit' }>;
const isUnfit = (made: Change | null | Unfit): made is Unfit => made !== null && 'code' in made;

/** A write that takes longer is told of, ms. */
export const LATE = 8000;

interface Waiting {
  readonly make: MakeChange;
  /** The record's id, where it has revisions. */
  readonly id: string | null;
  /** Large things are tried last, so that a full store still takes the small ones. */
  readonly large: boolean;
}

/** Who hears what became of a change. */
export interface WriterEvents {
  readonly onWritten: (change: Change) => void;
  /** Another tab was first; the change is dropped: what stands here must go to a record of its own. */
  readonly onConflict: (change: Change) => void;
}

/**
 * Writes what was marked as changed, at once and in order: all that waits in one transaction. What cannot be written stays marked
 * and is tried again with the next change or by `retry`.
 */
export class Writer {
  /** Why something is not kept; null while all is well. */
  fault = $state.raw<KeepFault | null>(null);
  /** Whether everything entered has been kept; without a store, and before there is one, nothing is said to be. */
  settled = $state(false);
  /** How many files wait that could not be written. */
  largeWaiting = $state(0);
  readonly #waiting = new Map<string, Waiting>();
  readonly #revisions = new Map<string, number>();
  readonly #events: WriterEvents;
  #store: Store | null = null;
  #running: Promise<void> | null = null;

  constructor(events: WriterEvents) {
    this.#events = events;
  }

  /** From here on there is a store; what was marked before is written now. */
  open(store: Store): void {
    this.#store = store;
    void this.retry();
  }

  /** Without a store nothing is kept. */
  close(why: ClosedWhy): void {
    this.#store = null;
    this.settled = false;
    this.fault = { code: 'closed', why };
  }

  /** The store does not answer: told until it does. */
  late(): void {
    this.fault ??= { code: 'slow' };
  }

  /** The revision of a record as it was read or written last. */
  know(id: string, revision: number): void {
    this.#revisions.set(id, revision);
  }

  known(id: string): number {
    return this.#revisions.get(id) ?? 0;
  }

  /** Whether something under this key has not been written yet. */
  waits(key: string): boolean {
    return this.#waiting.has(key);
  }

  /**
   * Something changed: it is written as it stands when its turn comes.
   *
   * @param key  What it is, "dice:ID": a later mark takes the place of one that still waits.
   */
  mark(key: string, id: string | null, make: MakeChange, large = false): void {
    this.#waiting.set(key, { make, id, large });
    this.settled = false;
    if (this.#store !== null) void this.retry();
  }

  /** Writes what waits. @returns When nothing more can be written. */
  retry(): Promise<void> {
    if (this.#running === null) {
      const watch = setTimeout(() => this.late(), LATE);
      this.#running = this.#run().finally(() => clearTimeout(watch));
    }
    return this.#running;
  }

  async #run(): Promise<void> {
    // What was marked in the same turn belongs together.
    await Promise.resolve();
    let fault: KeepFault | null = null;
    const failed = new Set<string>();
    for (;;) {
      const keys = [...this.#waiting.keys()].filter((key) => !failed.has(key));
      if (keys.length === 0 || this.#store === null) break;
      const whole = await this.#write(keys);
      if (whole === null) continue;
      if (whole.code === 'conflict') continue;
      fault = whole;
      // One by one, small things first: what fits is kept.
      const large = (key: string): number => Number(this.#waiting.get(key)?.large ?? false);
      if (keys.length === 1 || whole.code === 'closed') keys.forEach((key) => failed.add(key));
      else
        for (const key of keys.sort((a, b) => large(a) - large(b))) {
          const alone = this.#waiting.has(key) ? await this.#write([key]) : null;
          if (alone !== null && alone.code !== 'conflict') failed.add(key);
        }
    }
    // In the same turn as the last look at what waits: a mark from here on starts a run of its own.
    this.#running = null;
    if (this.#store === null) return;
    this.fault = this.#waiting.size === 0 ? null : fault;
    this.settled = this.#waiting.size === 0;
    this.largeWaiting = [...this.#waiting.keys()].filter((key) => key.startsWith('photos:')).length;
  }

  /** Writes these in one transaction. @returns Null where that went well. */
  async #write(keys: readonly string[]): Promise<KeepFault | null> {
    const taken = keys.map((key) => [key, this.#waiting.get(key)!] as const);
    const made = taken.map(([, { make, id }]) => make(id === null ? 0 : this.known(id) + 1));
    const unfit = made.find(isUnfit);
    if (unfit !== undefined) return unfit;
    const changes = made.filter((each): each is Change | null => !isUnfit(each));
    const real = changes.filter((change) => change !== null);
    const written = await this.#store!.write(real);
    if (written.ok) {
      taken.forEach(([key, waiting], i) => {
        // Marked again meanwhile: that is for the next turn.
        if (this.#waiting.get(key) === waiting) this.#waiting.delete(key);
        if (waiting.id !== null && changes[i] !== null) this.know(waiting.id, this.known(waiting.id) + 1);
      });
      real.forEach(this.#events.onWritten);
      return null;
    }
    const { error } = written;
    if (error.code === 'conflict') {
      const i = changes.findIndex((c) => c !== null && 'put' in c && c.store === error.store && idOf(c) === error.id);
      this.#waiting.delete(keys[i]!);
      this.#events.onConflict(changes[i]!);
    }
    return error;
  }
}

export const idOf = (change: Change): string => {
  if ('remove' in change) return change.remove;
  if ('key' in change) return change.key;
  return change.put.id;
};
