import type { Reader } from '../src/report/content/blocks.ts';
import type { ReportPicture } from '../src/report/forms/report-pictures.ts';
import type { Paper } from '../src/report/forms/card-pdf.ts';
import type { Check } from '../src/report/check/check-report.ts';
import type { FontFiles } from '../src/report/forms/letters.ts';
import type { Opened, OpenFault } from '../src/report/check/open-report.ts';
import type { PhotoDigest, ReportInput, ReportRecord } from '../src/report/record/record.ts';
import type { KeyFile } from '../src/report/record/signing.ts';
import type { Result } from '../src/result.ts';
import type { Language } from '../src/text/language.ts';
import type { WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the worker that writes and checks reports. */
export const REPORT_PROTOCOL = 4;

/** What a record is turned into; `svg` is the small picture, whose letters are outlines. */
export type Form = 'pdf' | 'html' | 'csv' | 'json' | 'svg';

export interface CheckedReport extends Omit<Opened, 'json'> {
  readonly checks: readonly Check[];
}

/** Why nothing could be signed: this page is no secure context, or the key does not serve. */
export type SignFault = { readonly code: 'insecure' } | { readonly code: 'key'; readonly detail: string };

export interface ReportApi extends WorkerApi {
  /** Once, before `form` and `check`. */
  fonts(files: FontFiles): void;
  /** Empties `bytes`. */
  digest(photo: string, bytes: ArrayBuffer): PhotoDigest;
  record(input: ReportInput): ReportRecord;
  newKey(): Promise<Result<KeyFile, SignFault>>;
  sign(record: ReportRecord, key: KeyFile): Promise<Result<ReportRecord, SignFault>>;
  form(
    record: ReportRecord,
    form: Form,
    reader: Reader,
    paper: Paper,
    language: Language,
    pictures?: readonly ReportPicture[],
  ): Promise<Uint8Array>;
  /** Opens a file and checks it; `photos` null where none were given. */
  check(file: Uint8Array, photos: readonly PhotoDigest[] | null): Promise<Result<CheckedReport, OpenFault>>;
}
