import { deleteDB } from 'idb';
import { openDatabase, type Database } from '../../src/ui/store/database.ts';
import { newId, RECORDS, type CardRecord, type DieRecord } from '../../src/ui/store/records.ts';
import { Store } from '../../src/ui/store/store.ts';

export const NOWHERE = { onOutdated: () => undefined, onLost: () => undefined };

/** A store of its own for one test, removed afterwards by `drop`. */
export async function freshStore(): Promise<{ store: Store; db: Database; name: string; drop(): Promise<void> }> {
  const name = `kept-${newId()}`;
  const db = await openDatabase(NOWHERE, name);
  return {
    store: new Store(db),
    db,
    name,
    async drop() {
      db.close();
      await deleteDB(name);
    },
  };
}

/** A die with so many photos, none of them chosen or judged. */
export function someDie(photos = 0, more: Partial<DieRecord> = {}): DieRecord {
  return {
    version: RECORDS,
    id: newId(),
    revision: 1,
    name: 'brass weight',
    kind: 'd6',
    numbering: null,
    apex: null,
    finish: null,
    handTest: null,
    marks: { rejected: [], added: [] },
    shots: Array.from({ length: photos }, (_, i) => ({
      photo: newId(),
      name: `0${i + 1}.jpg`,
      up: '1',
      front: '2',
      chosen: false,
      included: true,
    })),
    said: [],
    card: null,
    bars: { x: '', y: '', u: '0.05' },
    log: '',
    measuring: false,
    made: 1,
    changed: 2,
    removed: null,
    ...more,
  };
}

export const someCard = (more: Partial<CardRecord> = {}): CardRecord => ({
  version: RECORDS,
  id: newId(),
  revision: 1,
  name: 'card on the green board',
  bars: { x: '100.2', y: '99,8', u: '0.05' },
  made: 1,
  ...more,
});
