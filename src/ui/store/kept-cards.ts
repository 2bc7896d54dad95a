import type { Store } from './store.ts';
import { cardShelf } from './cards.svelte.ts';
import { newId, RECORDS } from './records.ts';
import type { Writer } from './writer.svelte.ts';

/** Keeps the shelf's cards as they are entered, and takes over what another tab kept. */
export class KeptCards {
  readonly #writer: Writer;
  /** Each card as last written, to tell whether there is anything new. */
  readonly #written = new Map<string, string>();
  #ids: readonly string[] = [];

  constructor(writer: Writer) {
    this.#writer = writer;
  }

  /** Writes what changed since it last ran; reading the shelf, it is to run again with every change of it. */
  follow(): void {
    const entries = cardShelf.entries;
    for (const card of entries) {
      const text = JSON.stringify(card);
      if (this.#written.get(card.id) === text) continue;
      this.#written.set(card.id, text);
      this.#writer.mark(`cards:${card.id}`, card.id, (revision) => {
        return { store: 'cards', put: { ...card, version: RECORDS, revision } };
      });
    }
    for (const id of this.#ids) {
      if (entries.some((card) => card.id === id)) continue;
      this.#written.delete(id);
      this.#writer.mark(`cards:${id}`, null, () => {
        this.#writer.know(id, 0);
        return { store: 'cards', remove: id };
      });
    }
    this.#ids = entries.map(({ id }) => id);
  }

  /** Takes over the cards as kept, but for those whose change here still waits. */
  async refresh(store: Store): Promise<void> {
    const kept = await store.cards();
    // What was typed a moment ago may not have been followed yet.
    this.follow();
    const waiting = cardShelf.entries.filter(({ id }) => this.#writer.waits(`cards:${id}`));
    const others = kept.filter(({ id }) => !waiting.some((card) => card.id === id));
    for (const { id, revision, name, bars, made } of others) {
      this.#writer.know(id, revision);
      this.#written.set(id, JSON.stringify({ id, name, bars, made }));
    }
    const all = [...others.map(({ id, name, bars, made }) => ({ id, name, bars, made })), ...waiting];
    this.#ids = all.map(({ id }) => id);
    cardShelf.restore(all.sort((a, b) => a.made - b.made));
  }

  /** Another tab changed this card first: what stands here becomes a card of its own. */
  asSecond(id: string): void {
    const card = cardShelf.find(id);
    if (card === null) return;
    card.id = newId();
    // The record under the old name is the other tab's now: not to be removed.
    this.#ids = this.#ids.filter((each) => each !== id);
    this.follow();
  }
}
