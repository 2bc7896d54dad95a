import type { CheckedReport, ReportApi } from '../../../workers/report-protocol.ts';
import { MOST_BYTES, type OpenFault } from '../../report/check/open-report.ts';
import type { PhotoDigest } from '../../report/record/record.ts';
import { jobOfReport, sideBySide, type Remeasured } from '../../report/check/remeasure.ts';
import type { MeasureFailure, Progress } from '../../formats/result.ts';
import { MeasuringSession } from '../store/measuring-session.ts';
import { visionClient } from '../store/vision-client.ts';
import { lend, type WorkerClient } from '../kit/worker-client.ts';
import { jobFaultIn } from '../kit/job-words.ts';

/** Why the photos could not be measured again. */
export type AgainFault =
  | { readonly code: 'job'; readonly detail: string }
  | { readonly code: 'measuring'; readonly why: MeasureFailure }
  | { readonly code: 'other-kind' }
  | { readonly code: 'stopped'; readonly detail: string };

/** A report opened to be checked, the photos given to it, and what measuring them again gave. */
export class OpenedReport {
  readonly #client: WorkerClient<ReportApi>;
  #bytes: Uint8Array | null = null;
  #running: AbortController | null = null;
  name = $state('');
  report = $state.raw<CheckedReport | null>(null);
  fault = $state.raw<OpenFault | { readonly code: 'stopped'; readonly detail: string } | null>(null);
  busy = $state<'opening' | 'measuring' | null>(null);
  fraction = $state(0);
  again = $state.raw<Remeasured | null>(null);
  againFault = $state.raw<AgainFault | null>(null);

  constructor(client: WorkerClient<ReportApi>) {
    this.#client = client;
  }

  async open(file: File): Promise<void> {
    this.close();
    this.name = file.name;
    if (file.size > MOST_BYTES) {
      this.fault = { code: 'too-large', bytes: file.size };
      return;
    }
    const bytes = await file.arrayBuffer().catch(() => new ArrayBuffer(0));
    this.#bytes = new Uint8Array(bytes);
    await this.#check(null);
  }

  close(): void {
    this.cancel();
    this.#bytes = null;
    this.report = this.fault = this.again = this.againFault = null;
    this.name = '';
  }

  cancel(): void {
    this.#running?.abort();
  }

  async #check(photos: readonly PhotoDigest[] | null): Promise<void> {
    const bytes = this.#bytes;
    if (bytes === null) return;
    this.busy = 'opening';
    const checked = await this.#client.call((api) => api.check(bytes, photos));
    this.busy = null;
    if (bytes !== this.#bytes) return;
    if (!checked.ok)
      this.fault = { code: 'stopped', detail: 'detail' in checked.error ? checked.error.detail : checked.error.code };
    else if (!checked.value.ok) this.fault = checked.value.error;
    else this.report = checked.value.value;
  }

  /** Compares the photos' digests, then measures them again. */
  async give(files: readonly File[]): Promise<void> {
    const { report } = this;
    if (report === null || this.busy !== null) return;
    this.again = this.againFault = null;
    this.busy = 'measuring';
    this.fraction = 0;
    const known: { readonly file: File; readonly digest: PhotoDigest }[] = [];
    for (const file of files) {
      const bytes = await file.arrayBuffer().catch(() => new ArrayBuffer(0));
      const made = await this.#client.call((api) => api.digest(file.name, lend(bytes, [bytes])));
      if (made.ok) known.push({ file, digest: made.value });
    }
    await this.#check(known.map((k) => k.digest));
    const { data } = report.record;
    const find = (photo: string): File | undefined => {
      const stated = data.photos.find((p) => p.photo === photo)?.sha256;
      return (known.find((k) => k.digest.sha256 === stated) ?? known.find((k) => k.digest.photo === photo))?.file;
    };
    await this.#measure(report, find);
  }

  async #measure({ record }: CheckedReport, find: (photo: string) => File | undefined): Promise<void> {
    const job = jobOfReport(record.data);
    if (!job.ok) {
      this.againFault = { code: 'job', detail: jobFaultIn(job.error) };
      this.busy = null;
      return;
    }
    this.busy = 'measuring';
    const vision = visionClient();
    const session = new MeasuringSession(vision);
    const running = (this.#running = new AbortController());
    const stopped = (why: { readonly code: string; readonly detail?: string }): void => {
      if (why.code !== 'cancelled') this.againFault = { code: 'stopped', detail: why.detail ?? why.code };
    };
    try {
      for (const [i, { photo }] of job.value.shots.entries()) {
        const added = await session.add(job.value, { name: photo, file: find(photo) ?? new Blob() }, running.signal);
        if (!added.ok) return stopped(added.error as { code: string; detail?: string });
        this.fraction = (0.5 * (i + 1)) / job.value.shots.length;
      }
      const told = ({ fraction }: Pick<Progress, 'fraction'>): void => void (this.fraction = 0.5 + 0.5 * fraction);
      const finished = await session.finish(job.value, told, running.signal);
      if (!finished.ok) return stopped(finished.error as { code: string; detail?: string });
      if (!finished.value.ok) this.againFault = { code: 'measuring', why: finished.value.error };
      else {
        this.again = sideBySide(record.data.result, finished.value.value);
        if (this.again === null) this.againFault = { code: 'other-kind' };
      }
    } finally {
      vision.dispose();
      this.busy = null;
      this.#running = null;
    }
  }
}
