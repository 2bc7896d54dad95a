import { fromUtf8 } from '../record/bytes.ts';
import type { FontFiles } from '../forms/letters.ts';
import { inconsistencies } from './consistency.ts';
import { asItIs, type Detail } from './detail.ts';
import { differences } from './differences.ts';
import { picturesIn } from '../forms/report-pictures.ts';
import { htmlReport } from '../forms/html-report.ts';
import type { Opened } from './open-report.ts';
import { visible } from '../record/plain-text.ts';
import { sameThrows, type ThrownRolls } from '../../bias/meaning/thrown-rolls.ts';
import { CHECK_WORDS, DETAIL_WORDS, KIND_OF, type CheckCode, type CheckKind } from './check-words.ts';
import { dataDigest, reportNumber, reportRecord, type PhotoDigest, type ReportRecord } from '../record/record.ts';
import { keyName, signatureState, type Subtle } from '../record/signing.ts';
import { VERSION } from '../record/version.ts';

/** One thing that was checked. */
export interface Check {
  readonly kind: CheckKind;
  readonly code: CheckCode;
  /** What stands in the words for that code, in their order. */
  readonly values: readonly (string | number)[];
  /** Null: could not be checked, or there is nothing to check. */
  readonly agrees: boolean | null;
  readonly text: string;
  /** What differs, line by line. */
  readonly details: readonly string[];
  /** The same as codes, for another language. */
  readonly lines: readonly Detail[];
}

/** What the host brings to a check. */
export interface CheckMeans {
  /** Null: a PDF's page is not compared. */
  readonly fonts: FontFiles | null;
  readonly subtle: Subtle | null;
  /** Photos given; null where none were. */
  readonly photos: readonly PhotoDigest[] | null;
  /** Throws a result's shape again as its record says; null or left out: simulated throws are taken as they are. */
  readonly thrownAgain?: ((result: unknown, stated: ThrownRolls) => Promise<ThrownRolls | null>) | null;
}

/** Checks an opened report as far as it goes without measuring again. */
export async function checkReport(opened: Opened, file: Uint8Array, means: CheckMeans): Promise<Check[]> {
  const { record } = opened;
  return [
    dataCheck(record),
    derivedCheck(record),
    ...(await throwsCheck(record, means.thrownAgain ?? null)),
    await pageCheck(opened, file, means.fonts),
    await signatureCheck(record, means.subtle),
    photosCheck(record, means.photos),
  ];
}

function check(
  code: CheckCode,
  agrees: boolean | null,
  values: Check['values'] = [],
  told: readonly Detail[] = [],
): Check {
  const lines = told.map((line): Detail => ({
    code: line.code,
    values: line.values.map((v) => (typeof v === 'string' ? visible(v) : v)),
  }));
  const details = lines.map((line) => DETAIL_WORDS[line.code](...line.values.map(String)));
  return {
    kind: KIND_OF[code],
    code,
    values,
    agrees,
    text: CHECK_WORDS[code](...(values as string[])),
    details,
    lines,
  };
}

function dataCheck({ data, digest, number }: ReportRecord): Check {
  const own = dataDigest(data);
  if (own !== digest.data)
    return check(
      'data-changed',
      false,
      [],
      [
        { code: 'stated', values: [digest.data] },
        { code: 'found', values: [own] },
      ],
    );
  const due = reportNumber(own);
  return due === number ? check('data-agree', true) : check('number-wrong', false, [visible(number), due]);
}

/** What the data say twice must agree: results among each other, and verdicts and rolls with the result that they come from. */
function derivedCheck({ data }: ReportRecord): Check {
  const wrong = inconsistencies(data.result);
  const again = reportRecord({
    ...data,
    version: data.software.version,
    thrown: data.rolls?.thrown ?? null,
    rolled: data.rolls?.rolled?.counts ?? null,
  }).data;
  const other = (['assessment', 'rolls'] as const)
    .flatMap((key) => differences(data[key], again[key], key))
    .map(asItIs);
  const details = [...wrong, ...other].slice(0, 12);
  if (details.length === 0) return check('derived-agree', true);
  const { version, model } = data.software;
  const own = version === VERSION && model === again.software.model;
  if (own || wrong.length > 0) return check('derived-differ', false, [], details);
  return check('derived-differ-version', null, [visible(version), VERSION], details);
}

/** Counts that nobody threw would make any die look even: they are thrown again where the host can. */
async function throwsCheck(
  { data: { result, rolls } }: ReportRecord,
  thrownAgain: NonNullable<CheckMeans['thrownAgain']> | null,
): Promise<Check[]> {
  const stated = rolls?.thrown ?? null;
  if (stated === null || thrownAgain === null) return [];
  const again = await thrownAgain(result, stated);
  return again !== null && sameThrows(stated, again)
    ? [check('throws-agree', true, [stated.throws])]
    : [
        check(
          'throws-differ',
          false,
          [stated.throws],
          [
            { code: 'stated', values: [stated.counts.join(' ')] },
            again ? { code: 'found', values: [again.counts.join(' ')] } : { code: 'none-needed', values: [] },
          ],
        ),
      ];
}

/** The page as its data give it, byte by byte: so a digit changed on the page alone is seen as well. */
async function pageCheck(opened: Opened, file: Uint8Array, fonts: FontFiles | null): Promise<Check> {
  const { form, reader, paper, language, record } = opened;
  if (form === 'json') return check('page-none', null);
  if (record.data.software.version !== VERSION)
    return check('page-version', null, [visible(record.data.software.version)]);
  if (reader === null || language === null || (form === 'pdf' && paper === null)) return check('page-unknown', false);
  if (form === 'pdf' && fonts === null) return check('page-unknown', null);
  // Fetched only now: the PDF writer is large.
  const due =
    form === 'html'
      ? htmlReport(
          record,
          reader,
          picturesIn(
            fromUtf8(file) ?? '',
            record.data.result.photos.map((p) => p.photo),
          ),
          language,
        )
      : await (await import('../forms/pdf-report.ts')).pdfReport(record, reader, paper!, fonts!, language);
  const at = firstDifference(due, file);
  if (at < 0) return check('page-agrees', true);
  return check(
    'page-changed',
    false,
    [],
    form === 'html' ? textsAt(due, file, at) : [{ code: 'from-byte', values: [at] }],
  );
}

function firstDifference(a: Uint8Array, b: Uint8Array): number {
  const n = Math.min(a.length, b.length);
  for (let i = 0; i < n; i++) if (a[i] !== b[i]) return i;
  return a.length === b.length ? -1 : n;
}

function textsAt(due: Uint8Array, found: Uint8Array, at: number): Detail[] {
  const around = (bytes: Uint8Array): string => {
    let from = Math.max(0, at - 60);
    while (from < at && (bytes[from]! & 0xc0) === 0x80) from++;
    let to = Math.min(bytes.length, at + 60);
    while (to > at && (bytes[to]! & 0xc0) === 0x80) to--;
    return visible((fromUtf8(bytes.subarray(from, to)) ?? '').replace(/<[^>]*>?|^[^<>]*>/g, ' ').replace(/\s+/g, ' '));
  };
  return [
    { code: 'page-due', values: [around(due)] },
    { code: 'page-found', values: [around(found)] },
  ];
}

async function signatureCheck(record: ReportRecord, subtle: Subtle | null): Promise<Check> {
  switch (await signatureState(record, subtle)) {
    case 'none':
      return check('unsigned', null);
    case 'valid':
      return check('signed', true, [keyName(record.signature!.publicKey)]);
    case 'invalid':
      return check('signature-wrong', false);
    case 'cannot-tell':
      return check('signature-unknown', null);
  }
}

function photosCheck({ data }: ReportRecord, given: CheckMeans['photos']): Check {
  const n = data.photos.length;
  if (n === 0) return check('no-digests', null);
  if (given === null) return check('photos-not-given', null, [n]);
  const missing: string[] = [];
  const changed: string[] = [];
  for (const stated of data.photos) {
    if (given.some((f) => f.sha256 === stated.sha256)) continue;
    (given.some((f) => f.photo === stated.photo) ? changed : missing).push(visible(stated.photo));
  }
  const strangers = given.filter((f) => !data.photos.some((s) => s.sha256 === f.sha256 || s.photo === f.photo));
  const details = [
    ...changed.map((name) => asItIs(`\u2260 ${name}`)),
    ...missing.map((name) => asItIs(`\u2013 ${name}`)),
    ...strangers.map((f) => asItIs(`? ${visible(f.photo)}`)),
  ];
  if (changed.length > 0) return check('photos-differ', false, [changed.length, n], details);
  if (missing.length > 0) return check('photos-some', null, [n - missing.length, n], details);
  return check('photos-agree', true, [n], details);
}
