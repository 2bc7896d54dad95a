import * as v from 'valibot';
import { cornerName } from '../../bias/die/shape-check.ts';
import type { DieShape } from '../../bias/die/die-shape.ts';
import { newId } from '../store/records.ts';
import type { RoomShelf } from '../store/kept-rooms.ts';
import type { RollsRoom } from './rolls-room.svelte.ts';

const SHORT = v.pipe(v.string(), v.maxLength(40));

/** What is kept of one shape's room: the shape it belongs to, and every text as typed. */
export const KEPT_ROLLS = v.object({
  shape: v.pipe(v.string(), v.maxLength(4000)),
  texts: v.record(SHORT, SHORT),
});
export type KeptRolls = v.InferOutput<typeof KEPT_ROLLS>;

/** Tells shapes apart: kind, numbers and lengths to 0.1 um. */
export const shapeKey = (shape: DieShape): string =>
  [
    shape.kind,
    ...shape.labels.map((name, f) => `${name}:${shape.distances[f]!.toFixed(4)}`),
    ...shape.radii.map((radius, c) => `${cornerName(shape, c)}:${radius.toFixed(4)}`),
  ].join(' ');

/** Keeps what is typed in the rolls' room, a record for each shape; follows the room until the returned function is called. */
export class RollsKeeping {
  readonly #shelf: RoomShelf<KeptRolls>;
  readonly #ids = new Map<string, string>();
  readonly #kept: Promise<ReadonlyMap<string, Readonly<Record<string, string>>>>;
  readonly #written = new Map<string, string>();

  constructor(shelf: RoomShelf<KeptRolls>) {
    this.#shelf = shelf;
    this.#kept = shelf.all().then((all) => {
      // Last changed first: the newest of a shape's records counts.
      for (const { id, data } of [...all].reverse()) this.#ids.set(data.shape, id);
      return new Map([...all].reverse().map(({ data }) => [data.shape, data.texts] as const));
    });
  }

  /** Brings back what was typed about this shape, unless something was typed meanwhile; keeps from then on. To be called in an effect. */
  follow(room: RollsRoom): () => void {
    if (!room.read.ok) return () => undefined;
    const key = shapeKey(room.read.value.shape);
    const untouched = JSON.stringify(room.texts);
    let stop = (): void => undefined;
    let left = false;
    void this.#kept.then((kept) => {
      if (left) return;
      const texts = kept.get(key);
      const typed = JSON.stringify(room.texts);
      if (texts !== undefined && typed === untouched && !this.#written.has(key)) room.restore(texts);
      if (!this.#written.has(key)) this.#written.set(key, texts === undefined ? untouched : JSON.stringify(room.texts));
      stop = $effect.root(() => {
        $effect(() => this.#keep(key, room.texts));
      });
    });
    return () => {
      left = true;
      stop();
    };
  }

  #keep(key: string, texts: Readonly<Record<string, string>>): void {
    const text = JSON.stringify(texts);
    if (this.#written.get(key) === text) return;
    this.#written.set(key, text);
    const id = this.#ids.get(key) ?? newId();
    this.#ids.set(key, id);
    this.#shelf.keep(id, { shape: key, texts });
  }
}
