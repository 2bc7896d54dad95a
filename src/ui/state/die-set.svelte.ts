import { NUMBERINGS, type Numbering } from '../../geometry/numbering.ts';
import type { DieKind } from '../../geometry/solid.ts';
import { CHECK_BAR_RANGE, CHECK_BAR_U, defaultJob, parseJob } from '../../measure/job.ts';
import type { Job, MeasureFailure, MeasureResult } from '../../measure/types.ts';
import type { Result } from '../../result.ts';
import { typedNumber } from '../format.ts';
import type { WorkerFailure } from '../worker-client.ts';
import { PhotoEntry } from './photo-entry.svelte.ts';

/** What measuring came to, and for which job. */
export type Outcome =
  | { readonly job: Job; readonly measured: Result<MeasureResult, MeasureFailure> }
  | { readonly job: Job; readonly stopped: WorkerFailure };

/** Everything the person gave for one die, and what came of it. */
export class DieSet {
  kind = $state<DieKind>('d6');
  photos = $state<PhotoEntry[]>([]);
  /** Check bars as typed. */
  barX = $state('');
  barY = $state('');
  /** What is wrong with the job file given, as a sentence. */
  jobFault = $state<string | null>(null);
  outcome = $state.raw<Outcome | null>(null);
  #numbering = $state.raw<Numbering | null>(null);
  #barU = $state(CHECK_BAR_U);
  /** The job file's shots; photos may come before or after it. */
  #said = $state.raw<Job['shots']>([]);

  readonly included = $derived(this.photos.filter((photo) => photo.included));
  /** Photos that are neither left out by the person nor found unusable. */
  readonly usable = $derived(this.included.filter(({ judged }) => judged?.status !== 'left-out'));
  readonly bars = $derived([this.barX, this.barY].map(barLength));
  readonly job: Job = $derived({
    die: this.kind,
    shots: this.included.map(({ name, up, front }) => ({ photo: name, up, front })),
    checkBar: this.bars[0]?.length ?? null,
    checkBarY: this.bars[1]?.length ?? null,
    checkBarU: this.#barU,
    numbering: this.#numbering,
  });

  /** Whether something was changed since the outcome came about. */
  readonly stale = $derived(this.outcome !== null && JSON.stringify(this.outcome.job) !== JSON.stringify(this.job));

  /** The result, also where it is stale; null where there is none. */
  readonly result: MeasureResult | null = $derived(
    this.outcome !== null && 'measured' in this.outcome && this.outcome.measured.ok
      ? this.outcome.measured.value
      : null,
  );

  /** Photos that the job file names and nobody gave. */
  readonly missing = $derived(this.#said.filter((shot) => !this.photos.some(({ name }) => name === shot.photo)).length);

  /** Which numbers surround which on this die. */
  get numbering(): Numbering {
    return this.#numbering ?? NUMBERINGS[this.kind];
  }

  /** Takes photos, in the order of their names. */
  add(files: readonly File[]): void {
    const added = [...files].sort((a, b) => a.name.localeCompare(b.name, 'en', { numeric: true }));
    for (const file of added) this.photos.push(new PhotoEntry(file, this.#freeName(file.name)));
    this.#arrange();
  }

  /** Takes the die, the numbers and the bars from a job file. */
  readJob(json: unknown): void {
    const parsed = parseJob(json);
    if (!parsed.ok) {
      this.jobFault = parsed.error.message;
      return;
    }
    const { die, numbering, shots, checkBar, checkBarY, checkBarU } = parsed.value;
    this.jobFault = null;
    this.kind = die;
    this.#numbering = numbering;
    this.#said = shots;
    this.barX = checkBar === null ? '' : String(checkBar);
    this.barY = checkBarY === null ? '' : String(checkBarY);
    this.#barU = checkBarU;
    for (const photo of this.photos) photo.chosen = false;
    this.#arrange();
  }

  /** Another kind of die has other numbers: what was said about the photos is asked anew. */
  choose(kind: DieKind): void {
    this.kind = kind;
    this.#numbering = null;
    this.#said = [];
    for (const photo of this.photos) photo.chosen = false;
    this.#arrange();
  }

  #freeName(name: string): string {
    const free = (candidate: string): boolean => this.photos.every((photo) => photo.name !== candidate);
    if (free(name)) return name;
    for (let i = 2; ; i++) if (free(`${name} (${i})`)) return `${name} (${i})`;
  }

  /** Puts the photos into the job file's order and gives the numbers that nobody said. */
  #arrange(): void {
    const place = (name: string): number => this.#said.findIndex(({ photo }) => photo === name);
    const rank = ({ name }: PhotoEntry): number => (place(name) < 0 ? this.#said.length : place(name));
    this.photos.sort((a, b) => rank(a) - rank(b));
    const usual = defaultJob(
      this.kind,
      this.photos.map(({ name }) => name),
    ).shots;
    this.photos.forEach((photo, i) => {
      const said = this.#said[place(photo.name)];
      if (said !== undefined && !photo.chosen) photo.say(said.up, said.front);
      if (photo.chosen) return;
      photo.up = usual[i]!.up;
      photo.front = usual[i]!.front;
    });
  }
}

/** A check bar as typed: its length in mm, null where nothing was typed; `wrong` where it cannot be one. */
export interface BarLength {
  readonly length: number | null;
  readonly wrong: boolean;
}

function barLength(text: string): BarLength {
  const typed = typedNumber(text);
  if (typed === null) return { length: null, wrong: false };
  const fits = typed >= CHECK_BAR_RANGE[0] && typed <= CHECK_BAR_RANGE[1];
  return { length: fits ? typed : null, wrong: !fits };
}
