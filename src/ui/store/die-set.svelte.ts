import { NUMBERINGS, type Numbering } from '../../geometry/numbering.ts';
import { dieSolid, type DieKind, type DieSolid } from '../../geometry/solid.ts';
import type { Asked } from '../../measure/asked.ts';
import type { SeenDie } from '../../../workers/protocol.ts';
import { CHECK_BAR_U, MOST_SHOTS, parseJob } from '../../formats/job.ts';
import type { JobFault } from '../../formats/job.ts';
import { NO_JUDGED_MARKS, type JudgedMarks } from '../../formats/kept.ts';
import { withJudgedMarks } from '../../judging/judged-marks.ts';
import type { Job, MeasureFailure, MeasureResult, Note } from '../../formats/result.ts';
import type { Result } from '../../result.ts';
import { newId, type DieRecord } from './records.ts';
import { numberSuggestion } from './number-suggestion.ts';
import { photoOrder } from './photo-order.ts';
import type { WorkerFailure } from '../kit/worker-client.ts';
import { BarsEntry } from './bars-entry.svelte.ts';
import type { Card } from './cards.svelte.ts';
import { PhotoEntry } from './photo-entry.svelte.ts';

/** What measuring came to, and for which job. */
export type Outcome =
  | { readonly job: Job; readonly measured: Result<MeasureResult, MeasureFailure> }
  | { readonly job: Job; readonly stopped: WorkerFailure };

/** What the person entered about a die, plain, for keeping and for undoing. */
export type DieEntries = Omit<DieRecord, 'version' | 'revision' | 'changed' | 'removed' | 'measuring'>;

/** Where a photo's file is looked up by its id. */
export type PhotoSource = (id: string) => PhotoEntry | undefined;

/** Everything the person gave for one die, and what came of it. */
export class DieSet {
  /** Under which it is kept. */
  id = $state(newId());
  made = Date.now();
  /** As the person calls it; may be empty. */
  name = $state('');
  kind = $state<DieKind>('d6');
  /** Whether a person, a job file or the photos said so; else it is told from the photos. */
  kindKnown = $state(false);
  /** Whether it was the photos. */
  kindTold = $state(false);
  photos = $state<PhotoEntry[]>([]);
  /** The printed card in use; null where the die has bars of its own, which a job file may give. */
  card = $state.raw<Card | null>(null);
  readonly ownBars = new BarsEntry();
  /** How its faces were finished, and what it does on glass; null where nobody said. */
  finish = $state<DieRecord['finish']>(null);
  handTest = $state<DieRecord['handTest']>(null);
  /** What the person said of the marks that were found. */
  marks = $state.raw<JudgedMarks>(NO_JUDGED_MARKS);
  /** By what photos are put in order that no job file orders; by `photoOrder` at first. */
  order = $state.raw<'names' | 'times'>('names');
  /** Rolls as typed. */
  log = $state('');
  /** What the photos told of their numbers last, and for what was asked. */
  seen = $state.raw<{
    readonly asked: string;
    readonly numbers: SeenDie | null;
    readonly fault: Note | null;
  } | null>(null);
  /** What is wrong with the job file given. */
  jobFault = $state.raw<JobFault | null>(null);
  outcome = $state.raw<Outcome | null>(null);
  #numbering = $state.raw<Numbering | null>(null);
  #apex = $state.raw<number | null>(null);
  /** The job file's shots; photos may come before or after it. */
  #said = $state.raw<Job['shots']>([]);

  readonly included = $derived(this.photos.filter((photo) => photo.included));
  /** Photos that are neither left out by the person nor found unusable. */
  readonly usable = $derived(this.included.filter(({ judged }) => judged?.status !== 'left-out'));
  /** Bars of the card in use. */
  readonly bars = $derived(this.card?.bars ?? this.ownBars);
  readonly job: Job = $derived({
    die: this.kind,
    // Photos whose numbers are not known take no part.
    shots: this.included.filter(({ front }) => front !== '').map(({ name, up, front }) => ({ photo: name, up, front })),
    checkBar: this.bars.lengths[0].length,
    checkBarY: this.bars.lengths[1].length,
    checkBarU: this.bars.doubt.length ?? CHECK_BAR_U,
    numbering: this.#numbering ?? this.seen?.numbers?.numbering ?? null,
    ...(this.#apex === null ? {} : { apex: this.#apex }),
    ...(this.finish === null ? {} : { finish: this.finish }),
    ...(this.handTest === null ? {} : { handTest: this.handTest }),
  });

  /** What is to be measured as far as somebody said it: the rest is read from the photos. */
  readonly asked: Asked = $derived({
    ...this.job,
    die: this.kindKnown ? this.kind : null,
    numbering: this.#numbering,
    shots: this.included.map(({ name, chosen, up, front, planned }) => {
      const meant = planned === null || chosen ? {} : { planned };
      // A number up alone, its front not chosen yet, is not given yet.
      const given = chosen && front !== '';
      return { photo: name, up: given ? up : null, front: given ? front : null, ...meant };
    }),
  });

  /** As much of it as reading numbers hangs on. */
  readonly #toRead = $derived(JSON.stringify({ ...this.asked, finish: undefined, handTest: undefined }));
  /** Whether the numbers were not read yet for what is asked now. */
  readonly unread = $derived(this.included.length > 0 && this.seen?.asked !== this.#toRead);

  /** The die with its numbers as far as they are known. */
  readonly solid: DieSolid = $derived(dieSolid(this.kind, this.numbering, this.#apex ?? undefined));

  /** Photos in use whose numbers are not known. */
  readonly unknown = $derived(
    this.included.filter((p) => p.front === '' && !p.frontOpen && p.judged?.status !== 'left-out'),
  );
  /** Photos in use whose number up was read and nothing tells the front. */
  readonly frontsOpen = $derived(this.usable.filter((p) => p.frontOpen));
  /** Photos in use whose numbers were given and are contradicted by the faces. */
  readonly contradicted = $derived(
    this.included.filter(({ chosen, seen }) => chosen && (seen?.contradicted ?? null) !== null),
  );

  /** Whether something was changed since the outcome came about. */
  readonly stale = $derived(this.outcome !== null && JSON.stringify(this.outcome.job) !== JSON.stringify(this.job));

  /** The result as measured, also where it is stale; null where there is none. */
  readonly found: MeasureResult | null = $derived(
    this.outcome !== null && 'measured' in this.outcome && this.outcome.measured.ok
      ? this.outcome.measured.value
      : null,
  );
  /** The same with the marks as the person sees them. */
  readonly result: MeasureResult | null = $derived(this.found && withJudgedMarks(this.found, this.marks));

  /** Photos that the job file names and nobody gave. */
  readonly missing = $derived(this.#said.filter((shot) => !this.photos.some(({ name }) => name === shot.photo)).length);

  /** Other numbers that the fit speaks for. */
  readonly suggestions = $derived(
    this.photos.map((photo) => numberSuggestion(photo, this.numbering)).filter((found) => found !== null),
  );

  /** Whether all photos say when they were taken, no two alike: only then is there an order of time. */
  readonly timed = $derived(
    this.photos.length > 1 &&
      this.photos.every(({ taken }) => taken !== null) &&
      new Set(this.photos.map(({ taken }) => taken)).size === this.photos.length,
  );

  /** Whether nothing was entered yet. */
  readonly empty = $derived(this.photos.length === 0 && this.name === '' && this.log === '');

  readonly entries: DieEntries = $derived({
    id: this.id,
    name: this.name,
    kind: this.kind,
    numbering: this.#numbering as DieEntries['numbering'],
    apex: this.#apex,
    finish: this.finish,
    handTest: this.handTest,
    marks: this.marks as DieEntries['marks'],
    // Numbers that were read are no entries: they come back by themselves.
    shots: this.photos.map(({ id, name, up, front, chosen, included }) => {
      return { photo: id, name, up: chosen ? up : '', front: chosen ? front : '', chosen, included };
    }),
    said: this.#said.map((shot) => ({ ...shot })),
    card: this.card?.id ?? null,
    bars: this.ownBars.texts,
    log: this.log,
    made: this.made,
  });

  /** Which numbers surround which on this die. */
  get numbering(): Numbering {
    const read = this.seen?.numbers;
    return this.#numbering ?? (read?.kind === this.kind ? read.numbering : null) ?? NUMBERINGS[this.kind];
  }

  /**
   * Takes photos, in the order that their names tell, or else the times they were taken.
   *
   * @param times  When each was taken, where known.
   * @returns How many were passed over, the set being full.
   */
  add(files: readonly File[], times: readonly (number | null)[] = []): number {
    const room = Math.max(0, MOST_SHOTS - this.photos.length);
    for (const i of photoOrder(
      files.map(({ name }) => name),
      times,
    ).slice(0, room))
      this.photos.push(new PhotoEntry(files[i]!, this.#freeName(files[i]!.name), times[i] ?? null));
    this.#arrange();
    return Math.max(0, files.length - room);
  }

  /** Puts the photos in the order of their names or times; numbers that nobody said follow. */
  orderBy(order: 'names' | 'times'): void {
    this.order = order;
    const by = (a: PhotoEntry, b: PhotoEntry): number =>
      order === 'times' ? a.taken! - b.taken! : a.name.localeCompare(b.name, 'en', { numeric: true });
    if (order === 'names' || this.timed) this.photos.sort(by);
    this.#arrange();
  }

  /** Puts another photo of the same view in the place of one. */
  replace(photo: PhotoEntry, file: File): void {
    const other = new PhotoEntry(file, this.#freeName(file.name));
    if (photo.chosen) other.say(photo.up, photo.front);
    this.photos = this.photos.map((each) => (each === photo ? other : each));
  }

  /** Takes the die, the numbers and the bars from a job file. */
  readJob(json: unknown): void {
    const parsed = parseJob(json);
    if (!parsed.ok) {
      this.jobFault = parsed.error;
      return;
    }
    const { die, numbering, shots, checkBar, checkBarY, checkBarU, apex, finish, handTest } = parsed.value;
    const text = (length: number | null): string => (length === null ? '' : String(length));
    this.jobFault = null;
    this.kind = die;
    this.kindKnown = true;
    this.kindTold = false;
    this.#numbering = numbering;
    this.#apex = apex ?? null;
    this.finish = finish ?? null;
    this.handTest = handTest ?? null;
    this.#said = shots;
    this.ownBars.texts = { x: text(checkBar), y: text(checkBarY), u: String(checkBarU) };
    if (this.ownBars.known > 0) this.card = null;
    for (const photo of this.photos) photo.unsay();
    this.#arrange();
  }

  /** Another kind of die has other numbers: what was said about the photos is asked anew. */
  choose(kind: DieKind): void {
    this.kind = kind;
    this.kindKnown = true;
    this.kindTold = false;
    this.#numbering = null;
    this.#apex = null;
    this.#said = [];
    for (const photo of this.photos) photo.unsay();
    this.#arrange();
  }

  /** Takes what the photos told: pictures, numbers that nobody said, and the kind where nobody named it; or why they told nothing. */
  take(numbers: SeenDie | null, fault: Note | null): void {
    if (numbers !== null && !this.kindKnown) {
      this.kind = numbers.kind;
      this.kindKnown = this.kindTold = true;
    }
    for (const photo of this.photos) photo.seen = numbers?.photos.find((p) => p.photo === photo.name) ?? null;
    this.seen = { asked: this.#toRead, numbers, fault };
  }

  /** Brings the set to what was entered before; verdicts and outcome stay with the photos. */
  restore(entries: DieEntries, photo: PhotoSource, card: Card | null): void {
    this.id = entries.id;
    this.made = entries.made;
    this.name = entries.name;
    this.kind = entries.kind;
    this.kindKnown = entries.shots.length > 0;
    this.#numbering = entries.numbering;
    this.#apex = entries.apex;
    this.finish = entries.finish;
    this.handTest = entries.handTest;
    this.marks = entries.marks;
    this.#said = entries.said;
    this.card = card;
    this.ownBars.texts = entries.bars;
    this.log = entries.log;
    this.photos = entries.shots.map((shot) => {
      const entry = photo(shot.photo) ?? new PhotoEntry(new File([], shot.name), shot.name, null, shot.photo);
      if (shot.chosen) entry.say(shot.up, shot.front);
      else entry.unsay();
      entry.included = shot.included;
      return entry;
    });
  }

  #freeName(name: string): string {
    const free = (candidate: string): boolean => this.photos.every((photo) => photo.name !== candidate);
    if (free(name)) return name;
    for (let i = 2; ; i++) if (free(`${name} (${i})`)) return `${name} (${i})`;
  }

  /** Puts the photos into the job file's order and gives the numbers that it says. */
  #arrange(): void {
    const place = (name: string): number => this.#said.findIndex(({ photo }) => photo === name);
    const rank = ({ name }: PhotoEntry): number => (place(name) < 0 ? this.#said.length : place(name));
    this.photos.sort((a, b) => rank(a) - rank(b));
    for (const photo of this.photos) {
      const said = this.#said[place(photo.name)];
      if (said !== undefined && !photo.chosen) photo.say(said.up, said.front);
    }
  }
}
