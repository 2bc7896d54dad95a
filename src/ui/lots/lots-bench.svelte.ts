import * as v from 'valibot';
import { acceptanceOf } from '../../lots/acceptance.ts';
import { analyseLot } from '../../lots/analysis.ts';
import { conformity } from '../../lots/conformity.ts';
import { demoLot } from '../../lots/demo-lot.ts';
import { dieFromResult, type RecordFault } from '../../lots/die-record.ts';
import { findings } from '../../lots/findings.ts';
import { BOUNDS, NO_LIMITS, type Limited, type Lot, type LotDie } from '../../lots/lot.ts';
import { quantities } from '../../lots/quantities.ts';
import { addDie, freeLabel, type AddFault } from '../../lots/lot-edit.ts';
import { lotText, parsed, readLot, type LotFault } from '../../lots/read-lot.ts';
import type { KeptThing, RoomShelf } from '../store/kept-rooms.ts';
import { newId } from '../store/records.ts';

/** Why a file did not come in; the lot stays as it was. */
export type FileFault = { readonly file: string; readonly why: LotFault | RecordFault | AddFault };

/** What is kept of the room: the lot as its file's text, which the reader checks, and what was chosen beside it. */
export const KEPT_LOT = v.object({
  lot: v.pipe(v.string(), v.maxLength(BOUNDS.bytes)),
  leftOut: v.pipe(v.array(v.pipe(v.string(), v.maxLength(80))), v.maxLength(BOUNDS.dice)),
  aql: v.pipe(v.string(), v.maxLength(8)),
  level: v.pipe(v.string(), v.maxLength(4)),
});
export type KeptLot = v.InferOutput<typeof KEPT_LOT>;

const EMPTY: Lot = { name: '', note: '', kind: 'd20', timeUnit: 'h', size: null, limits: NO_LIMITS, dice: [] };
const MOST_STEPS = 100;
/** Letters typed within this are one step, ms. */
const TYPING_PAUSE = 1500;

/** A lot that is kept and does not lie here now. */
export interface OtherLot {
  readonly id: string;
  readonly name: string;
  readonly kind: Lot['kind'];
  readonly dice: number;
  /** Milliseconds since 1970. */
  readonly changed: number;
}

interface Step {
  /** Of its record: each lot has one of its own. */
  readonly id: string;
  readonly lot: Lot;
  readonly leftOut: readonly string[];
}

/** The lot of a kept record; null where its text is none. */
function lotIn(data: KeptLot): Lot | null {
  const json = parsed(data.lot);
  const lot = json.ok ? readLot(json.value) : json;
  return lot.ok ? lot.value : null;
}

/** The lots' room: one lot, what is chosen about it, undo; kept as soon as it changes. */
export class LotBench {
  #step = $state.raw<Step>({ id: newId(), lot: EMPTY, leftOut: [] });
  #before = $state.raw<readonly Step[]>([]);
  #after = $state.raw<readonly Step[]>([]);
  aql = $state('1');
  level = $state('II');
  faults = $state.raw<readonly FileFault[]>([]);
  /** Dice taken by the last reading of files. */
  taken = $state(0);
  #shelf: RoomShelf<KeptLot> | null = null;
  #typing: { readonly field: string | null; readonly at: number } = { field: null, at: 0 };
  /** All other lots that are kept, last changed first. */
  others = $state.raw<readonly OtherLot[]>([]);

  /** The lot without the dice left out: what is judged. */
  readonly judged: Lot = $derived({
    ...this.lot,
    dice: this.lot.dice.filter((d) => !this.leftOut.includes(d.label)),
  });
  readonly analysis = $derived(analyseLot(this.judged));
  readonly findings = $derived(findings(this.judged, this.analysis));
  /** Of all dice: a sample is judged as it was drawn, whatever is left out of the rest. */
  readonly wholeConformity = $derived(conformity(this.lot, quantities(this.lot)));
  readonly sampling = $derived(
    this.lot.size === null
      ? null
      : acceptanceOf({ lotSize: this.lot.size, aql: Number(this.aql), level: this.level }, this.wholeConformity),
  );

  get lot(): Lot {
    return this.#step.lot;
  }
  get leftOut(): readonly string[] {
    return this.#step.leftOut;
  }
  get undoable(): boolean {
    return this.#before.length > 0;
  }
  get redoable(): boolean {
    return this.#after.length > 0;
  }

  /** Brings back what was kept, unless something was entered meanwhile; keeps from now on. */
  async keepOn(shelf: RoomShelf<KeptLot>): Promise<void> {
    if (this.#shelf !== null) return;
    this.#shelf = shelf;
    // Another tab changed the same lot: what stands here goes on under an id of its own.
    shelf.onSecond((id, second) => {
      if (this.#step.id === id) this.#step = { ...this.#step, id: second };
      void this.look();
    });
    const [last] = await shelf.all();
    if (last !== undefined && this.lot === EMPTY) this.#lay(last);
    await this.look();
  }

  /** Looks anew which other lots are kept. */
  async look(): Promise<void> {
    const all = (await this.#shelf?.all()) ?? [];
    this.others = all.flatMap(({ id, changed, data }) => {
      const lot = id === this.#step.id ? null : lotIn(data);
      return lot === null ? [] : [{ id, changed, name: lot.name, kind: lot.kind, dice: lot.dice.length }];
    });
  }

  /** Opens another kept lot in the place of this one, which stays kept. */
  async open(id: string): Promise<void> {
    const found = (await this.#shelf?.all())?.find((thing) => thing.id === id);
    if (found !== undefined && this.#lay(found)) [this.#before, this.#after] = [[], []];
    await this.look();
  }

  #lay({ id, data }: KeptThing<KeptLot>): boolean {
    const lot = lotIn(data);
    if (lot === null) return false;
    this.#step = { id, lot, leftOut: data.leftOut };
    this.aql = data.aql;
    this.level = data.level;
    return true;
  }

  /** Writes what stands here; called whenever the plan's choices change, too. */
  keep(): void {
    if (this.lot === EMPTY) return;
    const { aql, level } = this;
    this.#shelf?.keep(this.#step.id, { lot: lotText(this.lot), leftOut: [...this.leftOut], aql, level });
  }

  undo(): void {
    const step = this.#before.at(-1);
    if (step === undefined) return;
    this.#before = this.#before.slice(0, -1);
    this.#after = [...this.#after, this.#step];
    this.#step = step;
    this.keep();
  }

  redo(): void {
    const step = this.#after.at(-1);
    if (step === undefined) return;
    this.#after = this.#after.slice(0, -1);
    this.#before = [...this.#before, this.#step];
    this.#step = step;
    this.keep();
  }

  /** @param typing  The field that is being typed in: letters of one field, each soon after the other, are one step of undoing. */
  change(lot: Lot, leftOut: readonly string[] = this.leftOut, typing: string | null = null): void {
    const now = Date.now();
    const goesOn = typing !== null && typing === this.#typing.field && now - this.#typing.at < TYPING_PAUSE;
    this.#typing = { field: typing, at: now };
    if (!goesOn) this.#before = [...this.#before.slice(1 - MOST_STEPS), this.#step];
    this.#after = [];
    this.#step = { id: this.#step.id, lot, leftOut: leftOut.filter((l) => lot.dice.some((d) => d.label === l)) };
    this.keep();
  }

  showDemo(): void {
    this.faults = [];
    this.change(demoLot(), []);
  }

  startAgain(): void {
    this.faults = [];
    // The lot before stays kept under its own id, and undoing goes back to it.
    this.#before = [...this.#before.slice(1 - MOST_STEPS), this.#step];
    this.#after = [];
    this.#step = { id: newId(), lot: EMPTY, leftOut: [] };
    void this.look();
  }

  /** Takes results, which join the lot in the order given, or a lot file, which takes its place. */
  async take(files: readonly File[]): Promise<void> {
    const faults: FileFault[] = [];
    let lot = this.lot;
    let leftOut = this.leftOut;
    let taken = 0;
    for (const file of files) {
      const read = await this.#read(lot, file);
      if ('why' in read) faults.push(read);
      else {
        // A lot file brings its own dice; those left out before are not among them.
        if (read.whole) leftOut = [];
        taken += read.whole ? read.lot.dice.length : 1;
        lot = read.lot;
      }
    }
    this.faults = faults;
    this.taken = taken;
    if (lot !== this.lot) this.change(lot, leftOut);
  }

  async #read(lot: Lot, file: File): Promise<FileFault | { readonly lot: Lot; readonly whole: boolean }> {
    if (file.size > BOUNDS.bytes) return { file: file.name, why: { code: 'too-large', seen: file.size } };
    // A file that is gone meanwhile has no text.
    const json = parsed(await file.text().catch(() => ''));
    if (!json.ok) return { file: file.name, why: json.error };
    if ((json.value as { format?: unknown } | null)?.format !== 'evencast-lot/1')
      return this.#joined(lot, json.value, file.name);
    const whole = readLot(json.value);
    return whole.ok ? { lot: whole.value, whole: true } : { file: file.name, why: whole.error };
  }

  #joined(
    lot: Lot,
    result: unknown,
    name: string,
    card: string | null = null,
  ): FileFault | { readonly lot: Lot; readonly whole: boolean } {
    const die = dieFromResult(result, name.replace(/\.json$/i, ''));
    if (!die.ok) return { file: name, why: die.error };
    const added = addDie(lot, die.value.kind, { ...die.value.die, card });
    return added.ok ? { lot: added.value, whole: false } : { file: name, why: added.error };
  }

  /** Puts the die in hand into the lot. @param card  Name of the printed card it was measured with; null where it was not measured itself. */
  addMeasured(result: unknown, name: string, card: string | null): void {
    const joined = this.#joined(this.lot, result, name, card);
    this.faults = 'why' in joined ? [joined] : [];
    if ('lot' in joined) this.change(joined.lot);
  }

  edit(index: number, change: Partial<Pick<LotDie, 'label' | 'cavity' | 'time' | 'card'>>): void {
    const { lot } = this;
    const die = lot.dice[index]!;
    const others = { ...lot, dice: lot.dice.filter((_, i) => i !== index) };
    const label = change.label === undefined ? die.label : freeLabel(others, change.label.slice(0, 80));
    const dice = lot.dice.with(index, { ...die, ...change, label });
    this.change(
      { ...lot, dice },
      this.leftOut.map((l) => (l === die.label ? label : l)),
    );
  }

  remove(index: number): void {
    this.change({ ...this.lot, dice: this.lot.dice.filter((_, i) => i !== index) });
  }

  /** One place earlier or later: the order in which the dice were made. */
  move(index: number, by: 1 | -1): void {
    const dice = [...this.lot.dice];
    const [die] = dice.splice(index, 1);
    dice.splice(index + by, 0, die!);
    this.change({ ...this.lot, dice });
  }

  leave(label: string, out: boolean): void {
    const rest = this.leftOut.filter((l) => l !== label);
    this.change(this.lot, out ? [...rest, label] : rest);
  }

  leaveAll(labels: readonly string[]): void {
    this.change(this.lot, [...new Set([...this.leftOut, ...labels])]);
  }

  limit(of: Limited, side: 'lower' | 'upper', value: number | null): void {
    const { limits } = this.lot;
    this.change(
      { ...this.lot, limits: { ...limits, [of]: { ...limits[of], [side]: value } } },
      this.leftOut,
      `${of}-${side}`,
    );
  }
}
