import type { AddedPhoto, VisionApi } from '../../../workers/protocol.ts';
import type { Job, MeasureFailure, MeasureResult, Progress } from '../../formats/result.ts';
import { failure, success, type Result } from '../../result.ts';
import { callback, lend, type WorkerClient, type WorkerFailure } from '../kit/worker-client.ts';

export interface NamedFile {
  readonly name: string;
  readonly file: Blob;
}

/**
 * What the worker holds of a set. Calls must not overlap.
 *
 * Each call says the job it is for: where that is not the job of the set in the worker, the set is begun anew. A photo whose file
 * cannot be read any more (moved, or its card taken out) is handed over empty, and judged as such.
 */
export class MeasuringSession {
  readonly #vision: WorkerClient<VisionApi>;
  #job: string | null = null;
  readonly #added = new Set<string>();

  constructor(vision: WorkerClient<VisionApi>) {
    this.#vision = vision;
  }

  /** Whether a photo is in the worker's set for this job. */
  holds(job: Job, name: string): boolean {
    return this.#job === JSON.stringify(job) && this.#added.has(name);
  }

  async add(job: Job, { name, file }: NamedFile, signal: AbortSignal): Promise<Result<AddedPhoto, WorkerFailure>> {
    const bytes = await file.arrayBuffer().catch(() => new ArrayBuffer(0));
    const opened = await this.#open(job, signal);
    if (!opened.ok) return opened;
    const added = await this.#vision.call((api) => api.add(lend({ name, bytes }, [bytes])), signal);
    return this.#kept(added, () => this.#added.add(name));
  }

  /** Every photo of the job must have been added. */
  async finish(
    onProgress: (progress: Progress) => void,
    signal: AbortSignal,
  ): Promise<Result<Result<MeasureResult, MeasureFailure>, WorkerFailure>> {
    return this.#kept(await this.#vision.call((api) => api.finish(callback(onProgress)), signal));
  }

  async #open(job: Job, signal: AbortSignal): Promise<Result<void, WorkerFailure>> {
    const wanted = JSON.stringify(job);
    if (this.#job === wanted) return success(undefined);
    this.#added.clear();
    const opened = await this.#vision.call((api) => api.open(job), signal);
    return this.#kept(opened, () => (this.#job = wanted));
  }

  /** A lost worker takes its set with it. */
  #kept<T>(answer: Result<T, WorkerFailure>, note?: () => void): Result<T, WorkerFailure> {
    if (answer.ok) {
      note?.();
      return answer;
    }
    this.#job = null;
    this.#added.clear();
    return failure(answer.error);
  }
}
