import { newId } from './records.ts';
import { BarsEntry, type BarTexts } from './bars-entry.svelte.ts';

/** What is kept of a card. */
export interface CardEntries {
  readonly id: string;
  readonly name: string;
  readonly bars: BarTexts;
  readonly made: number;
}

/** A printed card as the person measured and named it. */
export class Card {
  id = $state(newId());
  made = 0;
  name = $state('');
  readonly bars = new BarsEntry();

  /** Plain, for keeping. */
  get entries(): CardEntries {
    return { id: this.id, name: this.name, bars: this.bars.texts, made: this.made };
  }
}

/** The printed cards that the person has. */
class CardShelf {
  cards = $state.raw<readonly Card[]>([]);

  find(id: string | null): Card | null {
    return this.cards.find((card) => card.id === id) ?? null;
  }

  add(name: string): Card {
    const card = new Card();
    card.name = name;
    card.made = Date.now();
    this.cards = [...this.cards, card];
    return card;
  }

  remove(card: Card): void {
    this.cards = this.cards.filter((other) => other !== card);
  }

  get entries(): readonly CardEntries[] {
    return this.cards.map((card) => card.entries);
  }

  /** Brings the shelf to what was kept; cards that stay are the same objects. */
  restore(entries: readonly CardEntries[]): void {
    this.cards = entries.map(({ id, name, bars, made }) => {
      const card = this.find(id) ?? new Card();
      card.id = id;
      card.made = made;
      card.name = name;
      card.bars.texts = bars;
      return card;
    });
  }
}

export const cardShelf = new CardShelf();
