import { parseJson } from '../../formats/json-text.ts';
import { failure } from '../../result.ts';
import type { FileFault } from '../../text/format-faults.ts';
import type { DieKind } from '../../geometry/solid.ts';
import { readReference, typed } from '../../formats/bin.ts';
import type { BinDie, BinJob, BinLimits, BinPhoto, BinReference, BinResult, Verdict } from '../../bin/types.ts';
import { applied, sortedDie, suggestLimits, type Suggestion } from '../../bin/learn-limits.ts';
import { binClient } from './bin-client.ts';
import { typedNumber } from '../kit/format.ts';
import { CHECK_BAR_U } from '../../formats/job.ts';
import { CHECK_BAR_RANGE } from '../../formats/bounds.ts';
import type { RoomShelf } from '../store/kept-rooms.ts';
import { newId } from '../store/records.ts';
import { lend } from '../kit/worker-client.ts';
import { MOST_PHOTOS, type KeptBin } from '../../formats/kept.ts';

/**
 * A photo of the bin: its file, where it is shown from, and its verdicts; null while it waits. Of what was judged before the page was
 * opened anew the verdicts alone are left.
 */
export interface BinEntry {
  readonly name: string;
  readonly file: File | null;
  readonly url: string;
  readonly judged: BinPhoto | null;
}

/** Lengths that a field takes, mm. */
const LONGEST = 60;

/** The bin's room: photos and verdicts, what a person made of them, undo, limits and what is learnt of them. */
export class BinRoom {
  kind = $state<DieKind>('d20');
  size = $state('');
  radius = $state('');
  limitTexts = $state({ size: '', radius: '', departure: '' });
  /** Measured lengths of the card's check bars, mm. */
  barTexts = $state({ x: '', y: '' });
  sounds = $state(false);
  entries = $state.raw<readonly BinEntry[]>([]);
  result = $state.raw<BinResult | null>(null);
  /** A measured die or file that stands for the nominal values. */
  reference = $state.raw<BinReference | null>(null);
  referenceFault = $state.raw<FileFault | null>(null);
  stopped = $state(false);
  waiting = $state(0);
  /** Photos given last that were not taken: the page holds {@link MOST_PHOTOS}. */
  passedOver = $state(0);
  selected = $state(0);
  die = $state(0);
  /** A person's verdicts, oldest first: of which die, what, and what it was before. */
  #steps = $state.raw<readonly { readonly key: string; readonly verdict: Verdict }[]>([]);
  readonly #client = binClient();
  #run = 0;
  #opened = '';
  #shelf: RoomShelf<KeptBin> | null = null;
  #id = newId();

  readonly limits: Partial<BinLimits> = $derived.by(() => {
    const out: { -readonly [K in keyof BinLimits]?: number } = {};
    for (const name of ['size', 'radius', 'departure'] as const) {
      const value = lengthOf(this.limitTexts[name]);
      if (value !== null && !Number.isNaN(value)) out[name] = value;
    }
    return out;
  });

  readonly job: BinJob = $derived.by(() => {
    const size = lengthOf(this.size);
    const radius = lengthOf(this.radius);
    const nominal: BinReference | null =
      size !== null && !Number.isNaN(size)
        ? { size: typed(size), radius: typed(Number.isNaN(radius) ? null : radius), source: 'typed' }
        : null;
    return {
      die: this.kind,
      checkBar: barOf(this.barTexts.x) || null,
      checkBarY: barOf(this.barTexts.y) || null,
      checkBarU: CHECK_BAR_U,
      reference: this.reference ?? nominal,
      limits: this.limits,
      sameDice: false,
    };
  });

  readonly verdicts: ReadonlyMap<string, Verdict> = $derived(new Map(this.#steps.map((s) => [s.key, s.verdict])));
  readonly shown: BinPhoto | null = $derived(this.entries[this.selected]?.judged ?? null);
  readonly undoable = $derived(this.#steps.length > 0);

  readonly tally: Readonly<Record<Verdict, number>> = $derived.by(() => {
    const out = { keep: 0, 'look-again': 0, reject: 0 };
    for (const { judged } of this.entries) judged?.dice.forEach((d, i) => out[this.verdictOf(judged.photo, i, d)]++);
    return out;
  });

  /** Dice that the person sorted, and what limits they suggest. */
  readonly suggestion: ReturnType<typeof suggestLimits> = $derived.by(() => {
    const size = this.result?.reference.size?.value ?? null;
    const sorted = this.entries.flatMap(({ judged }) =>
      (judged?.dice ?? []).flatMap((d, i) => {
        const verdict = this.verdicts.get(keyOf(judged!.photo, i));
        const one = verdict === undefined || verdict === 'look-again' ? null : sortedDie(d, verdict === 'keep', size);
        return one ? [one] : [];
      }),
    );
    return suggestLimits(sorted);
  });

  verdictOf(photo: string, index: number, die: BinDie): Verdict {
    return this.verdicts.get(keyOf(photo, index)) ?? die.verdict;
  }

  isOverruled(photo: string, index: number): boolean {
    return this.verdicts.has(keyOf(photo, index));
  }

  /** The person's verdict on the die in hand; the next die comes into hand. */
  overrule(verdict: Verdict): void {
    const photo = this.shown;
    if (!photo || !photo.dice[this.die]) return;
    this.#steps = [...this.#steps, { key: keyOf(photo.photo, this.die), verdict }];
    this.go(1);
  }

  undo(): void {
    const last = this.#steps.at(-1);
    if (!last) return;
    this.#steps = this.#steps.slice(0, -1);
    const [photo, index] = JSON.parse(last.key) as [string, number];
    const at = this.entries.findIndex((e) => e.name === photo);
    if (at >= 0) [this.selected, this.die] = [at, index];
  }

  /** To the next die or the one before, over the photos' ends. */
  go(by: 1 | -1): void {
    let [photo, die] = [this.selected, this.die + by];
    const count = (i: number): number => this.entries[i]?.judged?.dice.length ?? 0;
    while (die >= count(photo) && photo + 1 < this.entries.length) [photo, die] = [photo + 1, 0];
    while (die < 0 && photo > 0) [photo, die] = [photo - 1, count(photo - 1) - 1];
    if (die >= 0 && die < count(photo)) [this.selected, this.die] = [photo, die];
  }

  show(photo: number, die = 0): void {
    [this.selected, this.die] = [photo, die];
  }

  /** Takes photos, or a reference's file. */
  async take(files: readonly File[]): Promise<void> {
    for (const file of files.filter((f) => /json/i.test(f.type) || /\.json$/i.test(f.name)))
      await this.takeReference(file);
    const photos = files.filter((f) => !/\.json$/i.test(f.name) && !/json/i.test(f.type));
    // A photo chosen again takes the place of what was kept of it.
    const names = new Set(photos.map((file) => file.name));
    this.entries = this.entries.filter((e) => e.file !== null || !names.has(e.name));
    const room = Math.max(0, MOST_PHOTOS - this.entries.length);
    this.passedOver = Math.max(0, photos.length - room);
    const added = photos.slice(0, room).map((file): BinEntry => ({
      name: this.#freeName(file.name),
      file,
      url: URL.createObjectURL(file),
      judged: null,
    }));
    this.entries = [...this.entries, ...added];
    await this.judge();
  }

  async takeReference(file: File): Promise<void> {
    const json = parseJson(await file.text().catch(() => ''));
    const read = json.ok ? readReference(json.value) : failure({ code: 'no-json', why: json.error } as const);
    if (!read.ok) {
      this.referenceFault = read.error;
      return;
    }
    this.referenceFault = null;
    this.kind = read.value.kind;
    this.reference = read.value.reference;
    for (const name of ['size', 'radius', 'departure'] as const)
      if (read.value.limits[name] !== undefined) this.limitTexts[name] = shortText(read.value.limits[name]);
    await this.judge();
  }

  /** Judges what waits; all anew where what they are held against has changed. */
  async judge(): Promise<void> {
    const run = ++this.#run;
    this.stopped = false;
    const job = $state.snapshot(this.job) as BinJob;
    const key = JSON.stringify(job);
    if (this.#opened !== key) {
      const open = await this.#client.call((api) => api.open(job));
      if (!open.ok || run !== this.#run) return this.#stop(run, open.ok);
      this.#opened = key;
      this.entries = this.entries.map((e) => (e.file ? { ...e, judged: null } : e));
    }
    for (;;) {
      const at = this.entries.findIndex((e) => e.judged === null);
      this.waiting = this.entries.filter((e) => e.judged === null).length;
      if (at < 0) break;
      const { name, file } = this.entries[at]!;
      const bytes = await file!.arrayBuffer().catch(() => new ArrayBuffer(0));
      const judged = await this.#client.call((api) => api.add(lend({ name, bytes }, [bytes])));
      if (!judged.ok || run !== this.#run) return this.#stop(run, judged.ok);
      this.entries = this.entries.map((e) => (e.name === name ? { ...e, judged: judged.value } : e));
    }
    if (this.entries.every((e) => e.file === null)) return;
    const done = await this.#client.call((api) => api.finish());
    if (!done.ok || run !== this.#run) return this.#stop(run, done.ok);
    this.result = done.value;
    this.entries = this.entries.map((e) => ({
      ...e,
      judged: done.value.photos.find((p) => p.photo === e.name) ?? e.judged,
    }));
  }

  /** What a live frame shows; null where the worker was lost. Takes the frame. */
  async look(frame: ImageBitmap): Promise<BinPhoto | null> {
    if (this.#opened === '') await this.judge();
    const seen = await this.#client.call((api) => api.look(lend(frame, [frame])));
    return seen.ok ? seen.value : null;
  }

  #stop(run: number, superseded: boolean): void {
    if (run !== this.#run || superseded) return;
    this.stopped = true;
    this.waiting = 0;
    this.#opened = '';
  }

  clear(): void {
    this.#run++;
    for (const { url } of this.entries) URL.revokeObjectURL(url);
    this.entries = [];
    this.result = null;
    this.#steps = [];
    this.#opened = '';
    this.waiting = 0;
    this.show(0);
  }

  takeLimits(suggestion: Suggestion): void {
    for (const [name, value] of Object.entries(applied({}, suggestion)))
      this.limitTexts[name as keyof BinLimits] = shortText(value);
    void this.judge();
  }

  /** Brings back what was typed and judged before and keeps it from now on. */
  async keepOn(shelf: RoomShelf<KeptBin>): Promise<void> {
    const [last] = await shelf.all();
    if (last) {
      this.#id = last.id;
      const { kind, size, radius, limits, bars, sounds } = last.data;
      [this.kind, this.size, this.radius, this.limitTexts, this.sounds] = [kind, size, radius, limits, sounds];
      this.barTexts = bars;
      if (this.entries.length === 0) {
        this.entries = last.data.photos.map((judged) => ({ name: judged.photo, file: null, url: '', judged }));
        this.#steps = last.data.steps;
      }
    }
    this.#shelf = shelf;
  }

  keep(): void {
    const { kind, size, radius, sounds } = this;
    const photos = this.entries.flatMap(({ judged }) => (judged ? [judged] : []));
    const data = {
      kind,
      size,
      radius,
      limits: { ...this.limitTexts },
      bars: { ...this.barTexts },
      sounds,
      photos,
      steps: [...this.#steps],
    };
    this.#shelf?.keep(this.#id, data);
  }

  #freeName(name: string): string {
    const free = (n: string): boolean => this.entries.every((e) => e.name !== n);
    if (free(name)) return name;
    for (let i = 2; ; i++) if (free(`${name} (${i})`)) return `${name} (${i})`;
  }
}

const keyOf = (photo: string, index: number): string => JSON.stringify([photo, index]);

/** A number as a field holds it: to a nanometre, which is more than anything here is known to. */
const shortText = (value: number): string => String(Number(value.toFixed(6)));

/** A length as typed; null for nothing, NaN for what is none. */
export function lengthOf(text: string): number | null {
  const value = typedNumber(text);
  return value === null ? null : value > 0 && value <= LONGEST ? value : NaN;
}

/** A check bar's length as typed; null for nothing, NaN for what no print has. */
export function barOf(text: string): number | null {
  const value = typedNumber(text);
  const [least, most] = CHECK_BAR_RANGE;
  return value === null ? null : value >= least && value <= most ? value : NaN;
}
