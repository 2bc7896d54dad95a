import { openDB } from 'idb';
import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openDatabase } from '../src/ui/store/database.ts';
import { LONGEST_LOG, NO_JUDGED_MARKS } from '../src/formats/kept.ts';
import { roomShelf } from '../src/ui/store/kept-rooms.ts';
import { newId, RECORDS, type RoomRecord } from '../src/ui/store/records.ts';
import { Store, type Change } from '../src/ui/store/store.ts';
import { readDie } from '../src/ui/store/upgrade.ts';
import { Writer } from '../src/ui/store/writer.svelte.ts';
import { freshStore, NOWHERE, someCard, someDie } from './support/kept.ts';
import versionOne from './fixtures/kept-version-1.json' with { type: 'json' };

let kept: Awaited<ReturnType<typeof freshStore>>;
beforeEach(async () => {
  kept = await freshStore();
});
afterEach(() => kept.drop());

/** Lets the store refuse the write number `n` (from 0) as a full disk does, and all after it for `times`. */
function refuse(n: number, times = 1): () => void {
  const { put } = IDBObjectStore.prototype;
  let count = 0;
  IDBObjectStore.prototype.put = function (...args: Parameters<typeof put>) {
    const i = count++;
    if (i >= n && i < n + times) throw new DOMException('full', 'QuotaExceededError');
    return put.apply(this, args);
  };
  return () => (IDBObjectStore.prototype.put = put);
}

const photoOf = (die: string, id: string): Change => ({
  store: 'photos',
  put: { id, die, name: 'a.jpg', file: new Blob(['photo']) },
});

describe('a write', () => {
  test('stands as a whole or not at all, wherever the store is full', async () => {
    const die = someDie(2);
    const changes: Change[] = [
      { store: 'dice', put: die },
      ...die.shots.map(({ photo }) => photoOf(die.id, photo)),
      { store: 'cards', put: someCard() },
      { store: 'settings', key: 'paper', put: 'a4' },
    ];
    for (let n = 0; n < changes.length; n++) {
      const restore = refuse(n);
      expect(await kept.store.write(changes)).toEqual({ ok: false, error: { code: 'full' } });
      restore();
      expect(await kept.store.die(die.id)).toBeNull();
      expect(await kept.store.photos(die.id)).toEqual([]);
      expect(await kept.store.cards()).toEqual([]);
      expect([...(await kept.store.settings()).keys()]).toEqual([]);
    }
    expect(await kept.store.write(changes)).toEqual({ ok: true, value: undefined });
    expect(await kept.store.die(die.id)).toEqual(die);
    expect(await Promise.all((await kept.store.photos(die.id)).map(({ file }) => file.text()))).toEqual([
      'photo',
      'photo',
    ]);
  });

  test('over a record that another tab wrote since is refused, and changes nothing', async () => {
    const die = someDie();
    await kept.store.write([{ store: 'dice', put: die }]);
    await kept.store.write([{ store: 'dice', put: { ...die, revision: 2, name: 'theirs' } }]);
    const mine = await kept.store.write([
      { store: 'settings', key: 'paper', put: 'letter' },
      { store: 'dice', put: { ...die, revision: 2, name: 'mine' } },
    ]);
    expect(mine).toEqual({ ok: false, error: { code: 'conflict', store: 'dice', id: die.id } });
    expect((await kept.store.die(die.id))!.name).toBe('theirs');
    expect((await kept.store.settings()).has('paper')).toBe(false);
  });

  test('into a closed store is a fault, not an exception', async () => {
    kept.store.close();
    expect(await kept.store.write([{ store: 'dice', put: someDie() }])).toMatchObject({
      ok: false,
      error: { code: 'closed' },
    });
  });
});

describe('what was marked', () => {
  const die = someDie(3);
  const marks = (writer: Writer): void => {
    writer.mark(`dice:${die.id}`, die.id, (revision) => ({ store: 'dice', put: { ...die, revision } }));
    for (const { photo } of die.shots) writer.mark(`photos:${photo}`, null, () => photoOf(die.id, photo), true);
  };
  const idle = (writer: Writer): Promise<void> => writer.retry();

  test('before the store is open, is written when it opens', async () => {
    const writer = new Writer({ onWritten: () => undefined, onConflict: () => undefined });
    marks(writer);
    await Promise.resolve();
    expect(writer.settled).toBe(false);
    writer.open(kept.store);
    await idle(writer);
    expect(writer.settled).toBe(true);
    expect((await kept.store.photos(die.id)).length).toBe(3);
  });

  test.each([0, 1, 2, 3])('and found the store full at write %i, is told, and kept on the next try', async (n) => {
    const written: string[] = [];
    const writer = new Writer({ onWritten: (change) => written.push(change.store), onConflict: () => undefined });
    const restore = refuse(n, 100);
    writer.open(kept.store);
    await idle(writer);
    marks(writer);
    await idle(writer);
    expect(writer.fault).toEqual({ code: 'full' });
    expect(writer.settled).toBe(false);
    restore();
    await writer.retry();
    expect(writer.fault).toBeNull();
    expect(writer.settled).toBe(true);
    expect(await kept.store.die(die.id)).toEqual(die);
    expect((await kept.store.photos(die.id)).length).toBe(3);
    expect(written.sort()).toEqual(['dice', 'photos', 'photos', 'photos']);
  });

  test('of what could not be read again is not called kept, and the rest is written', async () => {
    const writer = new Writer({ onWritten: () => undefined, onConflict: () => undefined });
    writer.open(kept.store);
    await idle(writer);
    const rolls = (log: string): void =>
      writer.mark(`dice:${die.id}`, die.id, (revision) => ({ store: 'dice', put: { ...die, revision, log } }));
    marks(writer);
    rolls('1 '.repeat(LONGEST_LOG / 2 + 1));
    await idle(writer);
    expect(writer.fault).toMatchObject({ code: 'unfit', why: { place: 'log', need: 'longest', limit: LONGEST_LOG } });
    expect(writer.settled).toBe(false);
    expect((await kept.store.photos(die.id)).length).toBe(3);
    expect((await kept.store.dice()).unreadable).toEqual([]);
    rolls('1 2 3');
    await idle(writer);
    expect([writer.fault, writer.settled]).toEqual([null, true]);
    expect((await kept.store.die(die.id))!.log).toBe('1 2 3');
  });

  test('of a room whose data its own format does not take is told with the room', async () => {
    const writer = new Writer({ onWritten: () => undefined, onConflict: () => undefined });
    writer.open(kept.store);
    const keeping = {
      writer,
      seconds: new Map<string, () => void>(),
      unread: () => undefined,
      store: () => Promise.resolve(kept.store),
    };
    const shelf = roomShelf(keeping, 'bin', v.object({ size: v.pipe(v.string(), v.maxLength(12)) }));
    shelf.keep(newId(), { size: '16.0000000000001' });
    await idle(writer);
    expect(writer.fault).toMatchObject({ code: 'unfit', why: { place: 'bin: size', need: 'longest' } });
    expect(writer.settled).toBe(false);
    expect(await shelf.all()).toEqual([]);
  });

  test('what a room kept and cannot read is counted and stays; records that are none likewise', async () => {
    const data = { size: 16, of: 'a later version' };
    const record: RoomRecord = { version: RECORDS, id: newId(), revision: 1, room: 'bin', changed: 1, data };
    await kept.store.write([{ store: 'rooms', put: record }]);
    await kept.db.put('cards', { ...someCard(), version: 99 as typeof RECORDS });
    const heard: (string | number)[] = [];
    const unread = (...told: [string, number]): void => void heard.push(...told);
    const writer = new Writer({ onWritten: () => undefined, onConflict: () => undefined });
    const keeping = {
      writer,
      seconds: new Map<string, () => void>(),
      unread,
      store: () => Promise.resolve(kept.store),
    };
    expect(await roomShelf(keeping, 'bin', v.object({ size: v.string() })).all()).toEqual([]);
    expect(heard).toEqual(['bin', 1]);
    expect(await kept.store.unreadableOthers()).toBe(1);
    expect(await kept.store.allRooms()).toEqual([record]);
  });

  test('small enough for what is left is kept though the photos are not', async () => {
    const writer = new Writer({ onWritten: () => undefined, onConflict: () => undefined });
    writer.open(kept.store);
    await idle(writer);
    const { put } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.put = function (...args: Parameters<typeof put>) {
      if (this.name === 'photos') throw new DOMException('full', 'QuotaExceededError');
      return put.apply(this, args);
    };
    marks(writer);
    await idle(writer);
    IDBObjectStore.prototype.put = put;
    expect(await kept.store.die(die.id)).toEqual(die);
    expect([writer.fault, writer.largeWaiting]).toEqual([{ code: 'full' }, 3]);
  });

  test('again while it was being written, is written again as it then stands', async () => {
    const writer = new Writer({ onWritten: () => undefined, onConflict: () => undefined });
    writer.open(kept.store);
    let name = '';
    const mark = (): void =>
      writer.mark(`dice:${die.id}`, die.id, (revision) => ({ store: 'dice', put: { ...die, revision, name } }));
    for (const next of ['a', 'b', 'c', 'd', 'e', 'f']) {
      name = next;
      mark();
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
    await idle(writer);
    expect((await kept.store.die(die.id))!.name).toBe('f');
    expect(writer.settled).toBe(true);
  });

  test('against another tab goes to whoever asked, and the rest is written', async () => {
    await kept.store.write([{ store: 'dice', put: { ...die, name: 'theirs' } }]);
    const conflicts: Change[] = [];
    const writer = new Writer({ onWritten: () => undefined, onConflict: (change) => conflicts.push(change) });
    writer.open(kept.store);
    marks(writer);
    await idle(writer);
    expect(conflicts).toMatchObject([{ store: 'dice', put: { id: die.id } }]);
    expect((await kept.store.die(die.id))!.name).toBe('theirs');
    expect((await kept.store.photos(die.id)).length).toBe(3);
    expect(writer.settled).toBe(true);
  });
});

describe('older stores', () => {
  test('of layout 1 with records of version 1 are brought up to date, and nothing in them is lost', async () => {
    const name = `kept-${newId()}`;
    const old = await openDB(name, 1, {
      upgrade(db) {
        db.createObjectStore('dice', { keyPath: 'id' });
        db.createObjectStore('found', { keyPath: 'id' });
        db.createObjectStore('photos', { keyPath: 'id' }).createIndex('die', 'die');
        db.createObjectStore('cards', { keyPath: 'id' });
        db.createObjectStore('settings');
      },
    });
    const { die, card } = versionOne;
    await old.put('dice', die);
    await old.put('cards', card);
    await old.put('settings', 'letter', 'paper');
    await old.put('photos', { id: 'aaaaaaaa', die: die.id, name: 'a.jpg', file: new Blob(['photo']) });
    old.close();
    const db = await openDatabase(NOWHERE, name);
    const store = new Store(db);
    const { dice, unreadable } = await store.dice();
    expect(unreadable).toEqual([]);
    expect(dice).toEqual([
      { ...die, version: RECORDS, log: '', removed: null, finish: null, handTest: null, marks: NO_JUDGED_MARKS },
    ]);
    expect(await store.cards()).toEqual([{ ...card, version: RECORDS }]);
    expect(await (await store.photos(die.id))[0]!.file.text()).toBe('photo');
    expect((await store.settings()).get('paper')).toBe('letter');
    expect(await store.rooms('bin')).toEqual([]);
    // It can be written as any other.
    const put = { ...dice[0]!, revision: die.revision + 1, name: 'renamed' };
    expect((await store.write([{ store: 'dice', put }])).ok).toBe(true);
    db.close();
    indexedDB.deleteDatabase(name);
  });

  test('a record of a later version, or a broken one, is told and left as it is', async () => {
    const [good, later, broken] = [someDie(), { ...someDie(), version: RECORDS + 1 }, { ...someDie(), kind: 'd7' }];
    for (const die of [good, later, broken]) await kept.db.put('dice', die as never);
    const { dice, unreadable } = await kept.store.dice();
    expect(dice).toEqual([good]);
    expect(unreadable.map(({ code, place }) => `${code} ${place}`).sort()).toEqual(['newer version', 'wrong kind']);
    expect(await kept.db.count('dice')).toBe(3);
    expect(readDie(null)).toMatchObject({ ok: false });
    expect(readDie({ version: 'two' })).toMatchObject({ ok: false, error: { place: 'version' } });
  });

  test('an older tab lets go of the store when a newer one asks', async () => {
    const name = `kept-${newId()}`;
    let outdated = 0;
    await openDatabase({ onOutdated: () => outdated++, onLost: () => undefined }, name);
    const newer = await openDB(name, 99);
    expect(outdated).toBe(1);
    newer.close();
    indexedDB.deleteDatabase(name);
  });
});

test('a die erased for good takes its photos along, and no others', async () => {
  const [gone, stays] = [someDie(1), someDie(1)];
  for (const die of [gone, stays])
    await kept.store.write([{ store: 'dice', put: die }, photoOf(die.id, die.shots[0]!.photo)]);
  expect((await kept.store.erase(gone.id)).ok).toBe(true);
  expect((await kept.store.dice()).dice).toEqual([stays]);
  expect(await kept.store.photos(gone.id)).toEqual([]);
  expect(await kept.store.photos(stays.id)).toHaveLength(1);
});
