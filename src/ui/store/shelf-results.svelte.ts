import type { MeasureResult } from '../../formats/result.ts';
import type { DieRecord } from './records.ts';
import { keeper } from './the-bench.ts';

/** Results of kept dice, read as they are asked for. */
class ShelfResults {
  #found = $state.raw<ReadonlyMap<string, MeasureResult | null>>(new Map());
  /** When a die was last changed as it was read. */
  readonly #read = new Map<string, number>();

  /** A kept die's result; null where it was not measured, undefined as long as that is not known. */
  of(id: string): MeasureResult | null | undefined {
    return this.#found.get(id);
  }

  /** Reads what is not known yet, and what was changed since. */
  async follow(dice: readonly DieRecord[]): Promise<void> {
    const due = dice.filter(({ id, changed }) => this.#read.get(id) !== changed);
    for (const { id, changed } of due) this.#read.set(id, changed);
    const store = await keeper.store;
    if (store === null) return;
    for (const { id } of due) {
      const found = await store.found(id).catch(() => null);
      this.#found = new Map(this.#found).set(id, found?.outcome?.result ?? null);
    }
  }
}

export const shelfResults = new ShelfResults();
