import type { AxisResult } from '../../formats/result.ts';
import { agreement, type Agreement } from '../../judging/agreement.ts';
import { decimal, typedNumber } from '../kit/format.ts';
import { keptText, keptTextsOf } from '../kit/kept-settings.svelte.ts';
import type { KeptThing, RoomShelf } from '../store/kept-rooms.ts';
import { newId } from '../store/records.ts';
import type { KeptCheck } from './kept-check.ts';

/** Lengths that a die can have, mm. */
const LENGTHS = { least: 1, most: 200 } as const;
/** What a caliper's readings are good for where nobody says (common practice, no published source), mm. */
export const CALIPER_U95 = 0.03;

/** Longest name of an instrument. */
export const INSTRUMENT = 200;

/** One reading as it is typed, and what it comes to. */
export interface ReadAxis {
  readonly axis: AxisResult;
  readonly reading: number | null;
  readonly wrong: boolean;
  readonly found: Agreement | null;
}

/** Readings of the die in hand by another instrument, and all that were kept. */
export class CheckRoom {
  readonly #instrument = keptText('check-instrument');
  readonly #u95 = keptTextsOf('check-u95');
  /** As typed, by the die's id and the axis's name. */
  readonly #texts = keptTextsOf('check-readings');
  kept = $state.raw<readonly KeptThing<KeptCheck>[]>([]);
  readonly #shelf: RoomShelf<KeptCheck>;

  constructor(shelf: RoomShelf<KeptCheck>) {
    this.#shelf = shelf;
    void shelf.all().then((all) => (this.kept = all));
  }

  get instrument(): string {
    return this.#instrument.current.slice(0, INSTRUMENT);
  }

  set instrument(text: string) {
    this.#instrument.current = text;
  }

  get typedU95(): string {
    return this.#u95.get('caliper') ?? decimal(CALIPER_U95, 2);
  }

  set typedU95(text: string) {
    this.#u95.set('caliper', text);
  }

  /** What is typed of an axis of a die. */
  text(die: string, axis: string): string {
    return this.#texts.get(`${die} ${axis}`) ?? '';
  }

  type(die: string, axis: string, text: string): void {
    this.#texts.set(`${die} ${axis}`, text === '' ? null : text);
  }

  readonly U95 = $derived.by(() => {
    const n = typedNumber(this.typedU95);
    return n === null ? CALIPER_U95 : n > 0 && n < 10 ? n : NaN;
  });

  /** What the readings typed so far say. */
  read(die: string, axes: readonly AxisResult[]): ReadAxis[] {
    return axes.map((axis) => {
      const n = typedNumber(this.text(die, axis.name));
      const wrong = n !== null && !(n >= LENGTHS.least && n <= LENGTHS.most);
      const reading = wrong ? null : n;
      const judged = reading !== null && Number.isFinite(this.U95);
      return { axis, reading, wrong, found: judged ? agreement(axis.length, axis.u, reading, this.U95 / 2) : null };
    });
  }

  /** Keeps what was typed, of the die with this id and name. */
  keep(die: string, name: string, axes: readonly AxisResult[], now: number): void {
    const readings = this.read(die, axes).flatMap(({ axis, reading }) =>
      reading === null ? [] : [{ axis: axis.name, reading, length: axis.length, u: axis.u }],
    );
    if (readings.length === 0 || !Number.isFinite(this.U95)) return;
    const data: KeptCheck = { version: 1, die, name, instrument: this.instrument, U95: this.U95, at: now, readings };
    const id = newId();
    this.#shelf.keep(id, data);
    this.kept = [{ id, changed: now, data }, ...this.kept];
    for (const { name } of axes) this.type(die, name, '');
  }

  remove(id: string): void {
    this.#shelf.remove(id);
    this.kept = this.kept.filter((each) => each.id !== id);
  }
}

/** What each kept reading came to, the oldest first. */
export function scores(
  kept: readonly KeptThing<KeptCheck>[],
): { readonly at: number; readonly label: string; readonly en: number }[] {
  return [...kept]
    .sort((a, b) => a.data.at - b.data.at)
    .flatMap(({ data }) =>
      data.readings.map(({ axis, reading, length, u }) => ({
        at: data.at,
        label: `${data.name} ${axis}`,
        en: agreement(length, u, reading, data.U95 / 2).en,
      })),
    );
}
