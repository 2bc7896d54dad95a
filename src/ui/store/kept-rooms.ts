import type * as v from 'valibot';
import { read as readAs } from '../../formats/read.ts';
import { newId, RECORDS, type RoomRecord } from './records.ts';
import type { Store } from './store.ts';
import type { Writer } from './writer.svelte.ts';

/** Something a room keeps, as the room reads it. */
export interface KeptThing<T> {
  readonly id: string;
  /** Milliseconds since 1970. */
  readonly changed: number;
  readonly data: T;
}

/** What a room keeps. */
export interface RoomShelf<T> {
  /** All that can be read, last changed first; empty where the browser keeps nothing. */
  all(): Promise<readonly KeptThing<T>[]>;
  /** Keeps `data` (plain, no Svelte proxy) from now on under `id`. Writing is not waited for: the page tells where it fails. */
  keep(id: string, data: T): void;
  remove(id: string): void;
  /** `told` hears of each thing that another tab was first to change: under which id this tab's own goes on. */
  onSecond(told: (id: string, second: string) => void): void;
}

export interface RoomKeeping {
  readonly writer: Writer;
  /** Who hears of second things, by room. */
  readonly seconds: Map<string, (id: string, second: string) => void>;
  /** Hears how many things of a room cannot be read by this version. */
  readonly unread: (room: string, count: number) => void;
  /** Settles when the page knows whether there is a store. */
  readonly store: () => Promise<Store | null>;
}

/** The shelf of one room. A thing that another tab changed meanwhile is not written over: it is kept as a second one. */
export function roomShelf<S extends v.GenericSchema>(
  keeping: RoomKeeping,
  room: string,
  schema: S,
): RoomShelf<v.InferOutput<S>> {
  const { writer, seconds } = keeping;
  return {
    async all() {
      const store = await keeping.store();
      const unread = (): readonly RoomRecord[] => {
        writer.close('failed');
        return [];
      };
      const records = store === null ? [] : await store.rooms(room).catch(unread);
      const things = records.flatMap(({ id, changed, revision, data }): KeptThing<v.InferOutput<S>>[] => {
        const read = readAs(schema, data);
        if (!read.ok) return [];
        writer.know(id, revision);
        return [{ id, changed, data: read.value }];
      });
      keeping.unread(room, records.length - things.length);
      return things;
    },
    keep(id, data) {
      const changed = Date.now();
      writer.mark(`rooms:${id}`, id, (revision) => {
        const read = readAs(schema, data);
        if (!read.ok) return { code: 'unfit', why: { ...read.error, place: `${room}: ${read.error.place}` } };
        const put: RoomRecord = { version: RECORDS, id, revision, room, changed, data };
        return { store: 'rooms', put };
      });
    },
    remove(id) {
      writer.mark(`rooms:${id}`, null, () => {
        writer.know(id, 0);
        return { store: 'rooms', remove: id };
      });
    },
    onSecond: (told) => void seconds.set(room, told),
  };
}

/** What becomes of a room's thing that another tab was first to change: a record of its own, whose id is returned. */
export function keptAsSecond(writer: Writer, { room, data, changed }: RoomRecord): string {
  const id = newId();
  writer.mark(`rooms:${id}`, id, (revision) => ({
    store: 'rooms',
    put: { version: RECORDS, id, revision, room, changed, data },
  }));
  return id;
}
