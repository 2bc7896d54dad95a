import { parseJson } from '../../formats/json-text.ts';
import type { JobFault } from '../../formats/job.ts';
import type { MeasureFailure, MeasureResult, Progress, SoFar } from '../../formats/result.ts';
import type { DieKind } from '../../geometry/solid.ts';
import type { Asked } from '../../measure/asked.ts';
import { failure, type Result } from '../../result.ts';
import type { WorkerFailure } from '../kit/worker-client.ts';
import type { ToldProgress } from '../../../workers/protocol.ts';
import { photosAtOnce } from '../../../workers/pool-size.ts';
import { MeasuringSession } from './measuring-session.ts';
import { savesData } from './saves-data.ts';
import { timesTaken } from './exif-time.ts';
import { keepForeseen } from './foreseen.ts';
import { visionClient } from './vision-client.ts';
import { sampleJob, samplePhotos, type Sample } from './samples.ts';
import { DieSet } from './die-set.svelte.ts';
import type { PhotoEntry } from './photo-entry.svelte.ts';

/** What the worker is busy with. */
export interface Work {
  /** `measuring` ends in a result; `judging` in verdicts on photos. */
  readonly kind: 'judging' | 'measuring';
  readonly stage: Progress['stage'] | 'start';
  readonly photo: string | null;
  /** Of all the work, 0 to 1. */
  readonly fraction: number;
  /** Seconds left by the pace so far; null as long as that says little. */
  readonly left: number | null;
}

/** How much of the work is done when all photos have been judged (measured with the samples). */
const JUDGING_SHARE = 0.5;
/** Photos handed over at once: one for each of the vision worker's, and one that is read meanwhile. */
const AT_ONCE = photosAtOnce() + 1;
/** The page is told no more often than this: each telling is laid out and painted on cores that measure, s. */
const TELL_EVERY = 0.3;
/** Pace is told from here on. */
const FIRST_GUESS = { fraction: 0.1, seconds: 1 } as const;

/** The measuring page's state: one set at a time, one vision worker, which has others for the photos. */
export class Bench {
  set = $state.raw(new DieSet());
  work = $state.raw<Work | null>(null);
  /** What is known of the die on the bench while its photos come and are measured; null where that is nothing, or the result is there. */
  soFar = $state.raw<SoFar | null>(null);
  /** What was asked when it was last looked for. */
  #soFarOf: string | null = null;
  /** Why a sample did not come. */
  sampleFault = $state<string | null>(null);
  /** Raised whenever a measurement has come to a result. */
  finished = $state(0);
  readonly #vision = visionClient();
  readonly #session = new MeasuringSession(this.#vision);
  #running: AbortController | null = null;
  /** Whether a result is wanted and not there yet. */
  wanted = $state(false);
  /** Whether photos are likely to come, or have: rooms and image processing are readied. */
  expecting = $state(false);
  #given = false;
  /** Photos passed over when last some were given: files of other kinds, or more than a set takes. */
  passedOver = $state(0);
  #since = 0;
  #told = 0;

  /** Photos are about to be given, by what somebody points at or drags. */
  expect(): void {
    if (this.expecting || savesData()) return;
    this.expecting = true;
    this.#session.ready();
  }

  #begin(): void {
    this.expecting = true;
    this.#given = true;
    this.#session.begin();
  }

  /** Whether no photos were given or fetched since the page was opened, and nobody works on kept ones. */
  get isUntouched(): boolean {
    return !this.#given && this.work === null && !this.#session.isOpen;
  }

  /** What the photos of a sample come to, measured beside the set on the bench, which does not change; null where something else was asked for meanwhile. */
  async sampleUnasked(sample: Sample): Promise<Result<MeasureResult, MeasureFailure> | null> {
    const set = new DieSet();
    set.add(await samplePhotos(sample, 'low'));
    set.readJob(sampleJob(sample));
    return this.isUntouched ? this.#session.unasked(set.asked, set.included) : null;
  }

  /** Takes photos and perhaps a job file, and judges what is new. `passedOver`: files that came with them and are neither. */
  async take(files: readonly File[], passedOver = 0): Promise<void> {
    const set = this.set;
    const [jobs, photos] = [files.filter(isJobFile), files.filter((file) => !isJobFile(file))];
    if (photos.length > 0) this.#begin();
    // Read first, so that photos and numbers come in one change: one step to undo.
    const [times, job] = await Promise.all([timesTaken(photos), jobs.length > 0 ? readJson(jobs.at(-1)!) : null]);
    this.passedOver = set.add(photos, times) + passedOver;
    if (job?.ok) set.readJob(job.value);
    else if (job) set.jobFault = job.error;
    await this.#run();
  }

  /** Puts another photo in the place of one, and judges it. */
  async replace(photo: PhotoEntry, file: File): Promise<void> {
    this.set.replace(photo, file);
    await this.#run();
  }

  /** Fetches a sample's photos and puts them on the bench. @returns Whether they came; else `sampleFault` says why not. */
  async layOutSample(sample: Sample): Promise<boolean> {
    this.sampleFault = null;
    // First, so that they are not behind the megabytes of image processing.
    const photos = samplePhotos(sample);
    this.#begin();
    const set = new DieSet();
    try {
      set.add(await photos);
    } catch (thrown) {
      this.sampleFault = String(thrown);
      return false;
    }
    set.readJob(sampleJob(sample));
    this.lay(set);
    return true;
  }

  async measure(): Promise<void> {
    this.wanted = true;
    this.#begin();
    this.#since = performance.now() / 1000;
    this.set.outcome = null;
    await this.#run();
  }

  /** Takes other numbers for a photo, and judges it anew. */
  async say(photo: PhotoEntry, up: string, front: string): Promise<void> {
    photo.say(up, front);
    await this.#run();
  }

  /** Takes what the faces show in place of what was said. */
  async takeRead(photo: PhotoEntry): Promise<void> {
    photo.unsay();
    await this.#run();
  }

  /** Another kind of die: what was said about its photos is asked anew, and they are read again. */
  async choose(kind: DieKind): Promise<void> {
    this.set.choose(kind);
    await this.#run();
  }

  /** Takes all numbers that the fit speaks for, as one step, and measures again. */
  async takeSuggestions(): Promise<void> {
    for (const { photo, up, front } of [...this.set.suggestions]) {
      photo.say(up, front);
    }
    await this.measure();
  }

  /** Judges what nobody judged yet. */
  goOn(): Promise<void> {
    return this.#run();
  }

  /** Ends the work under way; what was judged and entered stays. */
  cancel(): void {
    this.#running?.abort();
  }

  /** Clears the bench for another die. The card in use is likely the same. */
  startAgain(): void {
    const set = new DieSet();
    set.card = this.set.card;
    this.lay(set);
  }

  /** Lays another die on the bench; work on the one before ends, and photos that nobody judged yet are judged. */
  lay(set: DieSet): void {
    this.cancel();
    this.wanted = false;
    this.#session.forget();
    this.#forgetSoFar();
    this.set = set;
    void this.goOn();
  }

  /** One thing after another until nothing is left to do. What the person changes meanwhile is seen at the next step. */
  async #run(): Promise<void> {
    if (this.#running !== null) return;
    for (let more = true; more;) {
      this.#running = new AbortController();
      more = await this.#step(this.#running.signal);
    }
    this.#running = null;
    this.work = null;
  }

  /** @returns Whether there may be more to do. */
  async #step(signal: AbortSignal): Promise<boolean> {
    const { set } = this;
    const { asked, included } = set;
    const unjudged = included.some(({ judged }) => judged === null);
    // A kept set is not decoded anew for its pictures alone.
    const reading = set.unread && (this.wanted || unjudged || this.#session.isOpen);
    const waits = ({ name, judged, judging }: PhotoEntry): boolean =>
      !judging && (judged === null || ((this.wanted || reading) && !this.#session.holds(name)));
    if (included.some(waits)) return this.#judgeAll(set, waits, signal);
    if (included.length === 0) {
      this.#forgetSoFar();
      return false;
    }
    if (reading) return this.#read(set, asked, signal);
    return this.wanted ? this.#finish(set, asked, signal) : this.#lookAhead(set, asked, signal);
  }

  /** Judges photos side by side until none waits. */
  async #judgeAll(set: DieSet, waits: (photo: PhotoEntry) => boolean, signal: AbortSignal): Promise<boolean> {
    const oneByOne = async (): Promise<boolean> => {
      for (let next = set.included.find(waits); next !== undefined; next = set.included.find(waits))
        if (signal.aborted || set !== this.set || !(await this.#judge(set, next, signal))) return set !== this.set;
      return true;
    };
    const all = await Promise.all(Array.from({ length: AT_ONCE }, oneByOne));
    return all.every(Boolean);
  }

  async #judge(set: DieSet, photo: PhotoEntry, signal: AbortSignal): Promise<boolean> {
    const { asked, included } = set;
    const done = included.filter(({ name }) => this.#session.holds(name)).length;
    const share = this.wanted ? JUDGING_SHARE : 1;
    this.#tell(done === 0 ? 'start' : 'card', photo.name, (share * done) / included.length);
    photo.judging = true;
    const added = await this.#session.add(asked, photo, signal);
    photo.judging = false;
    if (!added.ok) return this.#stopped(set, added.error);
    photo.judged = added.value.judged;
    photo.thumbnail = added.value.thumbnail ?? photo.thumbnail;
    return true;
  }

  /** Reads the numbers of all photos of the set; they take part in what is measured. */
  async #read(set: DieSet, asked: Asked, signal: AbortSignal): Promise<boolean> {
    this.#tell('coarse', null, this.wanted ? JUDGING_SHARE : 1);
    const read = await this.#session.numbers(asked, signal);
    if (!read.ok) return this.#stopped(set, read.error);
    if (read.value.ok) set.take(read.value.value, null);
    else set.take(null, read.value.error);
    return true;
  }

  /** Looks once at what the photos so far tell, as long as nobody waits for more. */
  async #lookAhead(set: DieSet, asked: Asked, signal: AbortSignal): Promise<boolean> {
    const of = JSON.stringify(asked);
    if (this.#soFarOf === of) return false;
    this.#forgetSoFar();
    const told = set.result !== null && !set.stale;
    if (told || !this.#session.isOpen || set.seen?.numbers === null) return false;
    const found = await this.#session.soFar(asked, signal);
    // Nobody asked for it: where it does not come nothing is said.
    if (!found.ok || set !== this.set) return set !== this.set;
    [this.soFar, this.#soFarOf] = [found.value, of];
    return true;
  }

  #forgetSoFar(): void {
    [this.soFar, this.#soFarOf] = [null, null];
  }

  async #finish(set: DieSet, asked: Asked, signal: AbortSignal): Promise<boolean> {
    const onProgress = ({ stage, photo, fraction, soFar }: ToldProgress): void => {
      if (signal.aborted) return;
      if (soFar) this.soFar = soFar;
      const name = photo === null ? null : (asked.shots[photo]?.photo ?? null);
      this.#tell(stage, name, JUDGING_SHARE + (1 - JUDGING_SHARE) * fraction);
    };
    const finished = await this.#session.finish(asked, onProgress, signal);
    if (finished.ok && finished.value.ok) {
      const result = finished.value.value;
      const foreseen = await this.#session.foresee(result, signal);
      // Without it the page works it out itself.
      if (foreseen.ok) keepForeseen(result, foreseen.value);
    }
    this.wanted = false;
    if (!finished.ok) return this.#stopped(set, finished.error);
    const photos = finished.value.ok ? finished.value.value.photos : finished.value.error.photos;
    for (const judged of photos) {
      const entry = set.photos.find(({ name }) => name === judged.photo);
      if (entry !== undefined) entry.judged = judged;
    }
    this.#forgetSoFar();
    // With the numbers that were told on the way.
    set.outcome = { job: set.job, measured: finished.value };
    if (finished.value.ok) this.finished++;
    return true;
  }

  /** A call that came to nothing: cancelled work just ends, the rest is told. */
  #stopped(set: DieSet, why: WorkerFailure): boolean {
    // Cancelled because another set took its place: go on with that one.
    if (set !== this.set) return true;
    this.wanted = false;
    if (why.code !== 'cancelled') set.outcome = { job: set.job, stopped: why };
    return false;
  }

  #tell(stage: Work['stage'], photo: string | null, fraction: number): void {
    const now = performance.now() / 1000;
    const kind = this.wanted ? 'measuring' : 'judging';
    if (this.work?.kind === kind && now - this.#told < TELL_EVERY) return;
    this.#told = now;
    const spent = now - this.#since;
    const known = this.wanted && fraction >= FIRST_GUESS.fraction && spent >= FIRST_GUESS.seconds;
    const left = known ? (spent * (1 - fraction)) / fraction : null;
    this.work = { kind, stage, photo, fraction, left };
  }
}

const isJobFile = (file: File): boolean => /\.json$/i.test(file.name);

/** What a file says as JSON. */
async function readJson(file: File): Promise<Result<unknown, JobFault>> {
  const json = parseJson(await file.text().catch(() => ''));
  return json.ok ? json : failure({ code: 'job-json', seen: file.name });
}
