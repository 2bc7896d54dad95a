import type { AddedPhoto, SeenDie, ToldProgress, VisionApi } from '../../../workers/protocol.ts';
import type { Foreseen } from '../../report/record/foreseen.ts';
import type { MeasureFailure, MeasureResult, SoFar } from '../../formats/result.ts';
import type { Asked } from '../../measure/asked.ts';
import { failure, success, type Result } from '../../result.ts';
import { callback, lend, type WorkerClient, type WorkerFailure } from '../kit/worker-client.ts';

/** A photo's file with the name that the job knows it by. */
export interface NamedFile {
  readonly name: string;
  readonly file: Blob;
}

/**
 * What the worker holds of a set. Photos may be added side by side; other calls must not overlap.
 *
 * Each call says what is asked: photos that stay in the set are kept, whatever else changes. A photo whose file cannot be read any more
 * (moved, or its card taken out) is handed over empty, and judged as such.
 */
export class MeasuringSession {
  readonly #vision: WorkerClient<VisionApi>;
  #asked: string | null = null;
  readonly #added = new Set<string>();
  /** Whether something is measured that nobody asked for. */
  #unasked = false;
  /** How often photos came, or a set was opened. */
  #begun = 0;
  /** Ends when the opening under way does. */
  #opening: Promise<unknown> = Promise.resolve();

  constructor(vision: WorkerClient<VisionApi>) {
    this.#vision = vision;
  }

  /** Whether the worker holds any set. */
  get isOpen(): boolean {
    return this.#asked !== null;
  }

  /** Whether a photo is in the worker's set. */
  holds(name: string): boolean {
    return this.#added.has(name);
  }

  /** Starts image processing, so that it is ready when the photos are: they are fetched, or read, meanwhile. */
  ready(): void {
    void this.#vision.call((api) => api.ready());
  }

  /** The same where photos come for sure: what is measured unasked ends. */
  begin(): void {
    this.#begun++;
    if (this.#unasked) void this.#vision.call((api) => api.makeWay());
    this.ready();
  }

  /** Measures photos that nobody asked about; null where that was given up for something else, or the worker was lost. */
  async unasked(asked: Asked, photos: readonly NamedFile[]): Promise<Result<MeasureResult, MeasureFailure> | null> {
    const begun = this.#begun;
    const files = await Promise.all(photos.map(async ({ name, file }) => ({ name, bytes: await file.arrayBuffer() })));
    if (this.isOpen || this.#begun > begun) return null;
    this.#unasked = true;
    const bytes = files.map((file) => file.bytes);
    const measured = await this.#vision.call((api) => api.unasked(asked, lend(files, bytes)));
    this.#unasked = false;
    return measured.ok ? measured.value : null;
  }

  /** Forgets all photos: another set takes their place. */
  forget(): void {
    this.#asked = null;
    this.#added.clear();
  }

  async add(asked: Asked, { name, file }: NamedFile, signal: AbortSignal): Promise<Result<AddedPhoto, WorkerFailure>> {
    const bytes = await file.arrayBuffer().catch(() => new ArrayBuffer(0));
    const opened = await this.#open(asked, signal);
    if (!opened.ok) return opened;
    const added = await this.#vision.call((api) => api.add(lend({ name, bytes }, [bytes])), signal);
    return this.#kept(added, () => this.#added.add(name));
  }

  /** What the faces tell of the numbers. Every photo of what is asked must have been added. */
  async numbers(asked: Asked, signal: AbortSignal): Promise<Result<Result<SeenDie, MeasureFailure>, WorkerFailure>> {
    const opened = await this.#open(asked, signal);
    return opened.ok ? this.#kept(await this.#vision.call((api) => api.numbers(), signal)) : opened;
  }

  /** What is known of the die so far. Every photo of what is asked must have been added. */
  async soFar(asked: Asked, signal: AbortSignal): Promise<Result<SoFar | null, WorkerFailure>> {
    const opened = await this.#open(asked, signal);
    return opened.ok ? this.#kept(await this.#vision.call((api) => api.soFar(), signal)) : opened;
  }

  /** Every photo of what is asked must have been added. */
  async finish(
    asked: Asked,
    onProgress: (progress: ToldProgress) => void,
    signal: AbortSignal,
  ): Promise<Result<Result<MeasureResult, MeasureFailure>, WorkerFailure>> {
    const opened = await this.#open(asked, signal);
    return opened.ok ? this.#kept(await this.#vision.call((api) => api.finish(callback(onProgress)), signal)) : opened;
  }

  /** What is to be said of a result, worked out beside the page. */
  async foresee(result: MeasureResult, signal: AbortSignal): Promise<Result<Foreseen, WorkerFailure>> {
    return this.#kept(await this.#vision.call((api) => api.foresee(result), signal));
  }

  /** One opening after another: the first of several photos begins the set, the others join it. */
  #open(asked: Asked, signal: AbortSignal): Promise<Result<void, WorkerFailure>> {
    const opened = this.#opening.then(() => this.#openNow(asked, signal));
    this.#opening = opened;
    return opened;
  }

  async #openNow(asked: Asked, signal: AbortSignal): Promise<Result<void, WorkerFailure>> {
    const wanted = JSON.stringify(asked);
    if (this.#asked === wanted) return success(undefined);
    const again = this.#asked !== null;
    this.#begun++;
    const opened = await this.#vision.call((api) => api.open(asked, again), signal);
    return this.#kept(opened, () => {
      this.#asked = wanted;
      for (const name of this.#added) if (!asked.shots.some(({ photo }) => photo === name)) this.#added.delete(name);
    });
  }

  /** A lost worker takes its set with it. */
  #kept<T>(answer: Result<T, WorkerFailure>, note?: () => void): Result<T, WorkerFailure> {
    if (answer.ok) {
      note?.();
      return answer;
    }
    this.forget();
    return failure(answer.error);
  }
}
