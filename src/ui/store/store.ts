import { failure, success, type Result } from '../../result.ts';
import type { Database, StoreName } from './database.ts';
import type { CardRecord, DieRecord, FoundRecord, PhotoRecord, RoomRecord, ThumbnailRecord } from './records.ts';
import { readCard, readDie, readFound, readRoom, type RecordFault } from './upgrade.ts';

/** Why something was not kept. */
export type KeepFault =
  /** The browser's storage for this page is full. */
  | { readonly code: 'full' }
  /** Another tab wrote this record since it was read here. */
  | { readonly code: 'conflict'; readonly store: StoreName; readonly id: string }
  /** The browser keeps nothing here, or closed its store. */
  | { readonly code: 'closed'; readonly why: ClosedWhy }
  /** It is not of its format, so that it could not be read again: nothing of it is written. */
  | { readonly code: 'unfit'; readonly why: RecordFault }
  /** The browser has not answered for some time: nothing is lost, nothing is kept yet. */
  | { readonly code: 'slow' };

/**
 * Why the browser keeps nothing: a newer page has the store, or wrote it; it was removed elsewhere; the browser closed it; the browser allows
 * none here; a call failed for another reason.
 */
export type ClosedWhy = 'newer-page' | 'removed' | 'lost' | 'forbidden' | 'failed';

/** One thing to write. Records with a revision are written only over the revision that they come from. */
export type Change =
  | { readonly store: 'dice'; readonly put: DieRecord }
  | { readonly store: 'cards'; readonly put: CardRecord }
  | { readonly store: 'rooms'; readonly put: RoomRecord }
  | { readonly store: 'found'; readonly put: FoundRecord }
  | { readonly store: 'photos'; readonly put: PhotoRecord }
  | { readonly store: 'thumbnails'; readonly put: ThumbnailRecord }
  | { readonly store: 'settings'; readonly key: string; readonly put: unknown }
  | { readonly store: StoreName; readonly remove: string };

/** Thrown inside a transaction to end it. */
class Conflict extends Error {
  readonly store: StoreName;
  readonly id: string;

  constructor(store: StoreName, id: string) {
    super('conflict');
    this.store = store;
    this.id = id;
  }
}

/** What the page keeps. Every write is one transaction: all of its changes stand, or none. */
export class Store {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  /** Writes all changes or none. A record's `revision` is that of the record before plus one; the first is 1. */
  async write(changes: readonly Change[]): Promise<Result<void, KeepFault>> {
    if (changes.length === 0) return success(undefined);
    for (const change of changes) {
      const unfit = unfitness(change);
      if (unfit !== null) return failure({ code: 'unfit', why: unfit });
    }
    const names = [...new Set(changes.map(({ store }) => store))];
    try {
      const transaction = this.#db.transaction(names, 'readwrite', { durability: 'strict' });
      // Watched from the start: it also ends by itself, when the store is full.
      const done = transaction.done.then(() => success(undefined));
      done.catch(() => undefined);
      try {
        for (const change of changes) {
          const store = transaction.objectStore(change.store);
          if ('remove' in change) await store.delete(change.remove);
          else if ('key' in change) await store.put(change.put, change.key);
          else {
            if ('revision' in change.put) {
              const before = (await store.get(change.put.id)) as { revision: number } | undefined;
              if ((before?.revision ?? 0) !== change.put.revision - 1) throw new Conflict(change.store, change.put.id);
            }
            await store.put(change.put);
          }
        }
      } catch (thrown) {
        endQuietly(() => transaction.abort());
        throw transaction.error ?? thrown;
      }
      return await done;
    } catch (thrown) {
      return failure(faultOf(thrown));
    }
  }

  /** Every die that can be read, last changed first, and how many cannot. */
  async dice(): Promise<{ readonly dice: readonly DieRecord[]; readonly unreadable: readonly RecordFault[] }> {
    const read = (await this.#db.getAll('dice')).map(readDie);
    const dice = read.flatMap((die) => (die.ok ? [die.value] : []));
    const unreadable = read.flatMap((die) => (die.ok ? [] : [die.error]));
    return { dice: dice.sort((a, b) => b.changed - a.changed), unreadable };
  }

  async die(id: string): Promise<DieRecord | null> {
    const read = readDie(await this.#db.get('dice', id));
    return read.ok ? read.value : null;
  }

  /** What was found about a die; null also where it cannot be read any more: it can be measured anew. */
  async found(id: string): Promise<FoundRecord | null> {
    const read = readFound(await this.#db.get('found', id));
    return read.ok ? read.value : null;
  }

  photos(die: string): Promise<PhotoRecord[]> {
    return this.#db.getAllFromIndex('photos', 'die', die);
  }

  thumbnails(die: string): Promise<ThumbnailRecord[]> {
    return this.#db.getAllFromIndex('thumbnails', 'die', die);
  }

  async cards(): Promise<CardRecord[]> {
    const read = (await this.#db.getAll('cards')).map(readCard);
    return read.flatMap((card) => (card.ok ? [card.value] : [])).sort((a, b) => a.made - b.made);
  }

  /** The records of a room, last changed first. */
  async rooms(room: string): Promise<RoomRecord[]> {
    const read = (await this.#db.getAllFromIndex('rooms', 'room', room)).map(readRoom);
    return read.flatMap((record) => (record.ok ? [record.value] : [])).sort((a, b) => b.changed - a.changed);
  }

  /** The records of all rooms. */
  async allRooms(): Promise<RoomRecord[]> {
    const read = (await this.#db.getAll('rooms')).map(readRoom);
    return read.flatMap((record) => (record.ok ? [record.value] : []));
  }

  /** How many cards and records of rooms cannot be read; what is in the records, each room reads itself. */
  async unreadableOthers(): Promise<number> {
    const [cards, rooms] = await Promise.all([this.#db.getAll('cards'), this.#db.getAll('rooms')]);
    return [...cards.map(readCard), ...rooms.map(readRoom)].filter((read) => !read.ok).length;
  }

  /** All settings by their keys; each reader checks its own. */
  async settings(): Promise<Map<string, unknown>> {
    const transaction = this.#db.transaction('settings');
    const [keys, values] = await Promise.all([transaction.store.getAllKeys(), transaction.store.getAll()]);
    return new Map(keys.map((key, i) => [key, values[i]]));
  }

  /** Removes a die for good, with its photos and all that was found. */
  async erase(id: string): Promise<Result<void, KeepFault>> {
    const photos = await this.#db.getAllKeysFromIndex('photos', 'die', id);
    const small = await this.#db.getAllKeysFromIndex('thumbnails', 'die', id);
    return this.write([
      { store: 'dice', remove: id },
      { store: 'found', remove: id },
      ...photos.map((key): Change => ({ store: 'photos', remove: key })),
      ...small.map((key): Change => ({ store: 'thumbnails', remove: key })),
    ]);
  }

  close(): void {
    this.#db.close();
  }
}

/** Why a record could not be read again; null where it could. Settings, photos and what was found are read each by whoever wants them. */
function unfitness(change: Change): RecordFault | null {
  if (!('put' in change)) return null;
  const read =
    change.store === 'dice'
      ? readDie(change.put)
      : change.store === 'cards'
        ? readCard(change.put)
        : change.store === 'rooms'
          ? readRoom(change.put)
          : success(null);
  return read.ok ? null : read.error;
}

function faultOf(thrown: unknown): KeepFault {
  if (thrown instanceof Conflict) return { code: 'conflict', store: thrown.store, id: thrown.id };
  const name = thrown instanceof DOMException || thrown instanceof Error ? thrown.name : '';
  if (name === 'QuotaExceededError') return { code: 'full' };
  return { code: 'closed', why: 'failed' };
}

/** Why a store could not be opened. Where there is none at all, what is thrown is no fault of a database. */
export function whyClosed(thrown: unknown): ClosedWhy {
  const name = thrown instanceof DOMException ? thrown.name : '';
  if (name === 'VersionError') return 'newer-page';
  return name === '' || name === 'SecurityError' || name === 'InvalidStateError' ? 'forbidden' : 'failed';
}

function endQuietly(abort: () => void): void {
  try {
    abort();
  } catch {
    // It had ended already.
  }
}
