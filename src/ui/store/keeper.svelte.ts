import { untrack } from 'svelte';
import type { GenericSchema, InferOutput } from 'valibot';
import { openDatabase } from './database.ts';
import { KeptCards } from './kept-cards.ts';
import { KeptPhotos } from './kept-photos.ts';
import { keptAsSecond, roomShelf, type RoomShelf } from './kept-rooms.ts';
import { keptSettings } from '../kit/kept-settings.svelte.ts';
import { quota } from './quota.svelte.ts';
import { ASIDE, newId, RECORDS, type DieRecord, type FoundRecord } from './records.ts';
import { Store, whyClosed, type Change } from './store.ts';
import { Tabs, type Written } from './tabs.ts';
import type { RecordFault } from './upgrade.ts';
import { idOf, LATE, Writer } from './writer.svelte.ts';
import type { Bench } from './bench.svelte.ts';
import { cardShelf } from './cards.svelte.ts';
import type { DieSet } from './die-set.svelte.ts';
import { History, type Desk } from './history.svelte.ts';
import { laidOut } from './laid-out.ts';
import { lastDie, rememberDie } from './tab-die.ts';

/** Removed dice can be had back for this long, ms. */
export const REMOVED_FOR = 24 * 3600 * 1000;
/** Stands for the die of a bench that was cleared. */
const NO_DIE = '';

/** Keeps whatever is entered as soon as it is, brings it back when the page opens, and undoes it. */
export class Keeper {
  /** Everything kept, last changed first, without removed ones. */
  shelf = $state.raw<readonly DieRecord[]>([]);
  /** Kept records that cannot be read, for whoever wants to know. */
  unreadable = $state.raw<readonly RecordFault[]>([]);
  /** How many cards, and things that rooms keep, cannot be read by this version; they are left as they are. */
  unreadableOthers = $state(0);
  readonly #unread = new Map<string, number>();
  /** Whether a measurement goes on that a closed page had begun. */
  resumed = $state(false);
  /** A die that could not be opened, being open in another tab. */
  elsewhere = $state.raw<string | null>(null);
  /** Dice that were read and could not be laid on the bench. */
  readonly #unlaid: RecordFault[] = [];
  readonly #seconds = new Map<string, (id: string, second: string) => void>();
  readonly history = new History();
  readonly writer: Writer;
  readonly #bench: Bench;
  readonly #tabs = new Tabs();
  readonly #opened: Promise<Store | null>;
  #settleOpened: (store: Store | null) => void = () => undefined;
  #store: Store | null = null;
  readonly #cards: KeptCards;
  readonly #photos: KeptPhotos;
  /** Each die as last written, to tell whether there is anything new. */
  readonly #written = new Map<string, string>();
  #restoring = false;

  constructor(bench: Bench) {
    this.#bench = bench;
    this.#opened = new Promise((resolve) => (this.#settleOpened = resolve));
    this.writer = new Writer({ onWritten: (c) => this.#told(c), onConflict: (c) => this.#conflict(c) });
    this.#cards = new KeptCards(this.writer);
    this.#photos = new KeptPhotos(this.writer);
  }

  /** What a room keeps, each thing checked by `schema` when it is read. */
  room<S extends GenericSchema>(name: string, schema: S): RoomShelf<InferOutput<S>> {
    return roomShelf(
      {
        writer: this.writer,
        seconds: this.#seconds,
        unread: (room, n) => this.#cannotRead(room, n),
        store: () => this.#opened,
      },
      name,
      schema,
    );
  }

  #cannotRead(what: string, count: number): void {
    this.#unread.set(what, count);
    this.unreadableOthers = [...this.#unread.values()].reduce((sum, n) => sum + n, 0);
  }

  /** Opens the store and brings back what this tab, or the last one, had on its bench. Settles also where nothing is kept. */
  async start(name?: string): Promise<void> {
    const late = setTimeout(() => this.writer.late(), LATE);
    try {
      const db = await openDatabase(
        {
          onOutdated: (why) => this.writer.close(why),
          onLost: () => this.writer.close('lost'),
        },
        name,
      );
      this.#store = new Store(db);
      await this.#bringBack(this.#store);
      this.writer.open(this.#store);
    } catch (thrown) {
      // What was opened and cannot be read is as good as none.
      this.#store?.close();
      this.#store = null;
      this.writer.close(whyClosed(thrown));
    }
    clearTimeout(late);
    this.#settleOpened(this.#store);
    this.#tabs.listen((written) => this.#alone(this.#heard(written)));
    $effect.root(() => {
      $effect(() => this.#follow());
      $effect(() => this.#cards.follow());
      $effect(() => this.#followFound());
      $effect(() => {
        if (!this.#bench.wanted) this.resumed = false;
      });
    });
    void quota.look();
  }

  /** What a room kept is no longer opened by it: it stays in the store, and in files of everything, under a name of its own. */
  async setAside(room: string): Promise<void> {
    const store = await this.#opened;
    for (const record of (await store?.rooms(room)) ?? []) {
      this.writer.know(record.id, record.revision);
      this.writer.mark(`rooms:${record.id}`, record.id, (revision) => ({
        store: 'rooms',
        put: { ...record, revision, room: `${room}${ASIDE}` },
      }));
    }
    await this.writer.retry();
  }

  /** Opens a kept die in the place of the one on the bench. */
  async open(id: string): Promise<boolean> {
    const store = this.#store;
    if (store === null || id === this.#bench.set.id) return store !== null;
    this.elsewhere = null;
    if (!(await this.#tabs.hold(id))) {
      this.elsewhere = id;
      return false;
    }
    await this.writer.retry();
    const die = await store.die(id).catch(() => null);
    if (die === null) {
      this.#tabs.release(id);
      return false;
    }
    try {
      this.#lay(await this.#read(store, die));
    } catch (thrown) {
      this.#tabs.release(id);
      this.#unlaid.push(unlaid(die, thrown));
      this.unreadable = [...this.unreadable, this.#unlaid.at(-1)!];
      return false;
    }
    return true;
  }

  /** Takes a die off the shelf; until tomorrow it can be put back. */
  remove(id: string): void {
    this.#alone(this.#markRemoved(id, Date.now()));
  }

  putBack(id: string): void {
    this.#alone(this.#markRemoved(id, null));
  }

  undo(): void {
    this.#bring(this.history.undo());
  }

  redo(): void {
    this.#bring(this.history.redo());
  }

  /** Writes brought-in records, all or none, and shows them on the shelf. */
  async bringIn(changes: readonly Change[]): ReturnType<Store['write']> {
    const store = await this.#opened;
    if (store === null) return { ok: false, error: { code: 'closed', why: 'failed' } };
    const written = await store.write(changes);
    if (written.ok) {
      for (const change of changes) this.#told(change);
      await this.#refreshCards();
    }
    return written;
  }

  /** The open store, for export; null where nothing is kept. */
  get store(): Promise<Store | null> {
    return this.#opened;
  }

  close(): void {
    this.#tabs.close();
    this.#store?.close();
  }

  /** Work that nobody waits for: where the store fails it, that is told as any fault of the store. */
  #alone(work: Promise<unknown>): void {
    work.catch(() => this.writer.close('failed'));
  }

  /** What the desk holds now; reading it follows every change. */
  get #desk(): Desk {
    return { set: this.#bench.set, entries: this.#bench.set.entries, cards: cardShelf.entries };
  }

  async #bringBack(store: Store): Promise<void> {
    keptSettings.open(await store.settings(), (key, change) => this.writer.mark(`settings:${key}`, null, () => change));
    await this.#refreshCards();
    await this.#refreshShelf();
    // Told when it is known: no room waits for all records to be read.
    store.unreadableOthers().then(
      (count) => this.#cannotRead('cards and records', count),
      () => undefined,
    );
    await this.#eraseOld(store);
    const last = lastDie();
    const die = this.shelf.find(({ id }) => id === last);
    if (die === undefined || !this.#bench.set.empty || !(await this.#tabs.hold(die.id))) return;
    try {
      this.#lay(await this.#read(store, die));
    } catch (thrown) {
      // One die that cannot be laid out must not take the keeping of all others with it.
      this.#tabs.release(die.id);
      this.#unlaid.push(unlaid(die, thrown));
      this.unreadable = [...this.unreadable, this.#unlaid.at(-1)!];
      return;
    }
    this.history.restart(this.#desk);
    if (!die.measuring || this.#bench.set.photos.length === 0) return;
    this.resumed = true;
    void this.#bench.measure();
  }

  async #read(store: Store, die: DieRecord): Promise<DieSet> {
    const [found, photos, small] = await Promise.all([
      store.found(die.id),
      store.photos(die.id),
      store.thumbnails(die.id),
    ]);
    this.writer.know(die.id, die.revision);
    const set = await laidOut(die, found, photos, small, cardShelf.find(die.card));
    this.#written.set(die.id, written(set, die.measuring));
    this.#photos.laid(set, photos, small);
    return set;
  }

  #lay(set: DieSet): void {
    this.resumed = false;
    this.#bench.lay(set);
  }

  /** Runs again with every change of what is entered. */
  #follow(): void {
    const desk = this.#desk;
    const { set, entries } = desk;
    for (const photo of set.photos) this.#photos.follow(set, photo);
    if (!this.#restoring) untrack(() => this.history.see(desk, Date.now()));
    const measuring = this.#bench.wanted && !this.resumed;
    if (set.empty && this.writer.known(set.id) === 0) return this.#letGo();
    this.#hold(set.id);
    const text = written(set, measuring);
    if (this.#written.get(set.id) === text) return;
    this.#written.set(set.id, text);
    this.#markDie({ ...entries, version: RECORDS, revision: 0, changed: Date.now(), measuring, removed: null });
  }

  /** The die on the bench is this tab's; another one is nobody's any more. */
  #hold(id: string): void {
    if (this.#held === id) return;
    if (this.#held !== null) this.#tabs.release(this.#held);
    this.#held = id;
    void this.#tabs.hold(id);
    rememberDie(id);
  }

  /** The bench was cleared: an empty one comes back then, not the die that lay there before. */
  #letGo(): void {
    if (this.#held === null) return;
    this.#tabs.release(this.#held);
    this.#held = null;
    rememberDie(NO_DIE);
  }

  #held: string | null = null;

  #markDie(record: DieRecord): void {
    this.writer.mark(`dice:${record.id}`, record.id, (revision) => ({ store: 'dice', put: { ...record, revision } }));
  }

  #followFound(): void {
    const { set } = this.#bench;
    const judged = Object.fromEntries(
      set.photos.flatMap(({ id, judged: found }) => (found === null ? [] : [[id, found]])),
    );
    const { result, outcome } = set;
    const found = { judged, outcome: result === null ? null : { job: outcome!.job, result } };
    if (result === null && Object.keys(judged).length === 0) return;
    const put: FoundRecord = { ...found, version: RECORDS, id: set.id };
    this.writer.mark(`found:${set.id}`, null, () => ({ store: 'found', put }));
  }

  #bring(desk: Desk | null): void {
    if (desk === null) return;
    this.#restoring = true;
    cardShelf.restore(desk.cards);
    desk.set.restore(desk.entries, (id) => this.#photos.find(id), cardShelf.find(desk.entries.card));
    if (desk.set !== this.#bench.set) this.#bench.lay(desk.set);
    else void this.#bench.goOn();
    // Effects run later than this turn: until then no step is seen.
    queueMicrotask(() => {
      this.#restoring = false;
      this.history.restart(this.#desk);
    });
  }

  async #markRemoved(id: string, removed: number | null): Promise<void> {
    const die = await this.#store?.die(id);
    if (die === undefined || die === null) return;
    this.writer.know(id, die.revision);
    // Should it come back to the bench by undoing, it is written anew, and is on the shelf again.
    this.#written.delete(id);
    this.#markDie({ ...die, removed });
    if (removed !== null && id === this.#bench.set.id) this.#bench.startAgain();
  }

  /** Removed dice whose time has come go for good, with their photos. */
  async #eraseOld(store: Store): Promise<void> {
    const { dice } = await store.dice();
    const due = Date.now() - REMOVED_FOR;
    for (const { id, removed } of dice) if (removed !== null && removed < due) await store.erase(id);
  }

  #told(change: Change): void {
    this.#tabs.tell({ store: change.store, id: idOf(change) });
    if (change.store === 'dice') this.#alone(this.#refreshShelf());
    if (change.store === 'photos') void quota.look();
  }

  /** Another tab wrote something. */
  async #heard({ store, id }: Written): Promise<void> {
    if (store === 'dice') await this.#refreshShelf();
    if (store === 'cards') await this.#refreshCards();
    if (store === 'settings' && this.#store !== null && id !== 'last-die')
      keptSettings.told(id, (await this.#store.settings()).get(id));
  }

  /** Another tab was first: what stands here goes into a record of its own. */
  #conflict(change: Change): void {
    if (!('put' in change)) return;
    if (change.store === 'rooms') {
      const second = keptAsSecond(this.writer, change.put);
      this.#seconds.get(change.put.room)?.(change.put.id, second);
    }
    if (change.store === 'cards') {
      this.#cards.asSecond(change.put.id);
      this.#alone(this.#refreshCards());
    }
    if (change.store === 'dice' && change.put.id === this.#bench.set.id) this.#becomeSecond(this.#bench.set);
    if (change.store === 'dice') this.#alone(this.#refreshShelf());
  }

  #becomeSecond(set: DieSet): void {
    set.id = newId();
    set.name = `${set.name} (2)`.trim();
    for (const photo of set.photos) photo.id = newId();
  }

  async #refreshShelf(): Promise<void> {
    if (this.#store === null) return;
    const { dice, unreadable } = await this.#store.dice();
    this.shelf = dice.filter(({ removed }) => removed === null);
    this.unreadable = [...unreadable, ...this.#unlaid];
  }

  async #refreshCards(): Promise<void> {
    if (this.#store !== null) await this.#cards.refresh(this.#store);
  }
}

const unlaid = ({ id, name }: DieRecord, thrown: unknown): RecordFault => ({
  code: 'broken',
  place: name || id,
  detail: (thrown instanceof Error ? thrown.message : String(thrown)).slice(0, 120),
});

const written = (set: DieSet, measuring: boolean): string => JSON.stringify([set.entries, measuring]);
