import { openDB, type DBSchema, type IDBPDatabase, type IDBPTransaction } from 'idb';
import type { CardRecord, DieRecord, FoundRecord, PhotoRecord, RoomRecord, ThumbnailRecord } from './records.ts';

/** Layout of the stores; raised with every change of them. */
export const LAYOUT = 2;
export const DATABASE = 'evencast';

/** What lies in which store. Photos lie apart from their dice: a die's record is written at each change, its photos once. */
export interface Stores extends DBSchema {
  dice: { key: string; value: DieRecord };
  found: { key: string; value: FoundRecord };
  photos: { key: string; value: PhotoRecord; indexes: { die: string } };
  thumbnails: { key: string; value: ThumbnailRecord; indexes: { die: string } };
  cards: { key: string; value: CardRecord };
  rooms: { key: string; value: RoomRecord; indexes: { room: string } };
  settings: { key: string; value: unknown };
}
export type StoreName = 'dice' | 'found' | 'photos' | 'thumbnails' | 'cards' | 'rooms' | 'settings';
export type Database = IDBPDatabase<Stores>;

type Upgrade = IDBPTransaction<Stores, StoreName[], 'versionchange'>;

/** From a layout to the next; the key is the layout it starts from, 0 being none. Records are upgraded when they are read. */
const STEPS: Readonly<Record<number, (db: Database, transaction: Upgrade) => void>> = {
  0: (db) => {
    db.createObjectStore('dice', { keyPath: 'id' });
    db.createObjectStore('found', { keyPath: 'id' });
    db.createObjectStore('photos', { keyPath: 'id' }).createIndex('die', 'die');
    db.createObjectStore('cards', { keyPath: 'id' });
    db.createObjectStore('settings');
  },
  1: (db) => {
    db.createObjectStore('thumbnails', { keyPath: 'id' }).createIndex('die', 'die');
    db.createObjectStore('rooms', { keyPath: 'id' }).createIndex('room', 'room');
  },
};

/** What ends a database while the page stands; it can be kept in no longer then. */
export interface DatabaseEvents {
  /** Another tab has a newer page and waits, or removes the database: this one lets go of it and keeps nothing any more. */
  readonly onOutdated: (why: 'newer-page' | 'removed') => void;
  /** The browser closed the database by itself. */
  readonly onLost: () => void;
}

/** Opens the database, made or brought up to date as needed. Rejects where the browser keeps nothing. */
export async function openDatabase(events: DatabaseEvents, name = DATABASE): Promise<Database> {
  const db = await openDB<Stores>(name, LAYOUT, {
    upgrade(opened, from, _to, transaction) {
      for (let layout = from; layout < LAYOUT; layout++) STEPS[layout]!(opened, transaction as Upgrade);
    },
    blocking(_from, to) {
      events.onOutdated(to === null ? 'removed' : 'newer-page');
      db.close();
    },
    terminated: events.onLost,
  });
  return db;
}
