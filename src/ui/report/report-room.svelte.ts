import type { Form } from '../../../workers/report-protocol.ts';
import { READERS, type Reader } from '../../report/content/blocks.ts';
import { PAPERS, type Paper } from '../../report/forms/card-pdf.ts';
import { safeFileName } from '../../report/record/plain-text.ts';
import type { PhotoDigest, ReportRecord } from '../../report/record/record.ts';
import type { KeyFile } from '../../report/record/signing.ts';
import { VERSION } from '../../report/record/version.ts';
import { reportClient } from './report-client.ts';
import { day } from '../kit/format.ts';
import { languageNamed, type Language } from '../../text/language.ts';
import { language } from '../kit/language.svelte.ts';
import { lend } from '../kit/worker-client.ts';
import { pngOf } from './shop-png.ts';
import type { DieSet } from '../store/die-set.svelte.ts';
import { readLog } from '../../bias/log/roll-log.ts';
import { roomOf, type RollsRoom } from '../rolls/rolls-room.svelte.ts';
import { facesPicture, reportPictures } from './report-pictures.ts';
import { checksOf } from '../check/checks-of.ts';
import { ReportEntries } from './report-entries.svelte.ts';

/** Why a report could not be made. */
export type ReportFault =
  | { readonly code: 'stopped'; readonly detail: string }
  | { readonly code: 'insecure' }
  | { readonly code: 'key'; readonly detail: string };

/** Digests of files; a file does not change. */
const digests = new WeakMap<File, PhotoDigest>();

/** Counts of the die's own log, in the order of its numbers; null where it holds none. */
function rolledIn(log: string, { prediction }: RollsRoom): number[] | null {
  if (log.trim() === '' || !prediction.ok) return null;
  const read = readLog(log, prediction.value.names);
  return read.ok ? [...read.value.counts] : null;
}

/** The report of the die in hand: what goes into it, the record made of it, its forms. */
export class ReportRoom {
  readonly entries = new ReportEntries();
  readonly client = reportClient();
  record = $state.raw<ReportRecord | null>(null);
  key = $state.raw<KeyFile | null>(null);
  busy = $state<'record' | Form | 'png' | null>(null);
  fault = $state.raw<ReportFault | null>(null);
  #wanted = 0;
  /** Thrown once; a run that was cancelled is not begun again by itself. */
  #thrownFor: unknown = null;

  get reader(): Reader {
    return READERS.find((r) => r === this.entries.reader) ?? 'buyer';
  }

  get paper(): Paper {
    return this.entries.paper === 'letter' ? 'letter' : 'a4';
  }

  /** That of the page, until another is chosen for reports. */
  get language(): Language {
    return languageNamed(this.entries.language) ?? language.current;
  }

  /** Makes the record anew from what stands here; a later call overtakes an earlier one. */
  async make(set: DieSet): Promise<void> {
    const { result, outcome } = set;
    const { tolerance, decisionRule } = this.entries;
    if (result === null || outcome === null || tolerance === null || decisionRule === null) return;
    const turn = ++this.#wanted;
    const photos: PhotoDigest[] = [];
    for (const { name, file } of set.photos) {
      if (!result.photos.some((p) => p.photo === name)) continue;
      const digest = await this.#digest(name, file);
      if (turn !== this.#wanted) return;
      if (digest) photos.push(digest);
    }
    const about = { ...$state.snapshot(this.entries.about), reportedOn: day(Date.now()) };
    about.die ||= set.name;
    const rolls = roomOf(result);
    const thrown = rolls.recordThrows;
    const input = {
      about,
      result,
      job: outcome.job,
      photos,
      tolerance,
      rule: decisionRule,
      version: VERSION,
      thrown,
      rolled: rolledIn(set.log, rolls),
      checkedAgainst: await checksOf(set.id),
      faces: await facesPicture(set),
    };
    const made = await this.client.call((api) => api.record(input));
    if (turn !== this.#wanted) return;
    if (!made.ok) return this.#failed(made.error);
    this.fault = null;
    this.record = made.value;
    // What the kernel does not serve is thrown meanwhile; the rolls' room shows the same throws.
    if (thrown !== null || !rolls.needsThrows || this.#thrownFor === result) return;
    this.#thrownFor = result;
    if ((await rolls.throwForRecord()) !== null && turn === this.#wanted) await this.make(set);
  }

  async #digest(name: string, file: File): Promise<PhotoDigest | null> {
    const known = digests.get(file);
    if (known) return { ...known, photo: name };
    const bytes = await file.arrayBuffer().catch(() => null);
    if (bytes === null) return null;
    const made = await this.client.call((api) => api.digest(name, lend(bytes, [bytes])));
    if (!made.ok) return null;
    digests.set(file, made.value);
    return made.value;
  }

  #failed(why: { readonly code: string; readonly detail?: string }): void {
    this.fault = { code: 'stopped', detail: why.detail ?? why.code };
  }

  /** The record as a file: signed where a key is at hand. `set`: whose photos a page carries, made small. */
  async file(
    form: Form | 'png',
    set: DieSet | null = null,
  ): Promise<{ readonly name: string; readonly bytes: BlobPart; readonly type: string } | null> {
    if (this.record === null) return null;
    this.busy = form;
    this.fault = null;
    try {
      const record = await this.#signed(this.record);
      if (record === null) return null;
      const pictures =
        form === 'html' && set !== null && set.result !== null ? await reportPictures(set, set.result) : [];
      const made = await this.client.call((api) =>
        api.form(
          $state.snapshot(record) as ReportRecord,
          form === 'png' ? 'svg' : form,
          this.reader,
          this.paper,
          this.language,
          pictures,
        ),
      );
      if (!made.ok) return (this.#failed(made.error), null);
      const name = safeFileName(
        `${record.data.result.die.kind}-${record.number}${form === 'pdf' || form === 'html' ? `-${this.reader}` : ''}`,
      );
      const bytes = form === 'png' ? await pngOf(made.value) : (made.value as BlobPart);
      return { name: `${name}.${form}`, bytes, type: TYPES[form] };
    } catch (thrown) {
      this.#failed({ code: String(thrown) });
      return null;
    } finally {
      this.busy = null;
    }
  }

  async #signed(record: ReportRecord): Promise<ReportRecord | null> {
    const { key } = this;
    if (key === null) return record;
    const made = await this.client.call((api) => api.sign(record, key));
    if (!made.ok) return (this.#failed(made.error), null);
    if (made.value.ok) return made.value.value;
    this.fault = made.value.error;
    return null;
  }

  /** A new pair of keys, taken into use; null where this page may not make any. */
  async newKey(): Promise<KeyFile | null> {
    const made = await this.client.call((api) => api.newKey());
    if (!made.ok) return (this.#failed(made.error), null);
    if (!made.value.ok) return ((this.fault = made.value.error), null);
    return (this.key = made.value.value);
  }
}

const TYPES: Readonly<Record<Form | 'png', string>> = {
  pdf: 'application/pdf',
  html: 'text/html',
  csv: 'text/csv',
  json: 'application/json',
  svg: 'image/svg+xml',
  png: 'image/png',
};

export const PAPER_NAMES = Object.keys(PAPERS) as Paper[];
