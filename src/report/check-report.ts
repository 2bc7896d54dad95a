import { fromUtf8 } from './bytes.ts';
import type { FontFiles } from './letters.ts';
import { inconsistencies } from './consistency.ts';
import { differences } from './differences.ts';
import { htmlReport } from './html-report.ts';
import type { Opened } from './open-report.ts';
import { visible } from './plain-text.ts';
import { dataDigest, photoDigest, reportNumber, reportRecord, type ReportRecord } from './record.ts';
import { keyName, signatureState, type Subtle } from './signing.ts';
import { VERSION } from './version.ts';

export const CHECK_KINDS = ['data', 'derived', 'page', 'signature', 'photos'] as const;

/** One thing that was checked. */
export interface Check {
  readonly kind: (typeof CHECK_KINDS)[number];
  /** Null: could not be checked, or there is nothing to check. */
  readonly agrees: boolean | null;
  readonly text: string;
  /** What differs, line by line. */
  readonly details: readonly string[];
}

/** What the host brings to a check. */
export interface CheckMeans {
  /** Null: a PDF's page is not compared. */
  readonly fonts: FontFiles | null;
  readonly subtle: Subtle | null;
  /** Photos given; null where none were. */
  readonly photos: readonly { readonly photo: string; readonly data: Uint8Array }[] | null;
}

/** Checks an opened report as far as it goes without measuring again. */
export async function checkReport(opened: Opened, file: Uint8Array, means: CheckMeans): Promise<Check[]> {
  const { record } = opened;
  return [
    dataCheck(record),
    derivedCheck(record),
    await pageCheck(opened, file, means.fonts),
    await signatureCheck(record, means.subtle),
    photosCheck(record, means.photos),
  ];
}

const check = (kind: Check['kind'], agrees: boolean | null, text: string, details: readonly string[] = []): Check => ({ kind, agrees, text, details }); // prettier-ignore

function dataCheck({ data, digest, number }: ReportRecord): Check {
  const own = dataDigest(data);
  if (own !== digest.data)
    return check('data', false, 'The data were changed: their SHA-256 is not the one stated.', [
      `stated ${digest.data}`,
      `found ${own}`,
    ]);
  if (reportNumber(own) !== number)
    return check('data', false, `The number ${visible(number)} is not that of these data (${reportNumber(own)}).`);
  return check('data', true, 'The data agree with their SHA-256 and with the number of the report.');
}

/** What the data say twice must agree: results among each other, and verdicts and rolls with the result that they come from. */
function derivedCheck(record: ReportRecord): Check {
  const { data } = record;
  const wrong = inconsistencies(data.result).map(visible);
  const again = reportRecord({ ...data, version: data.software.version }).data;
  const other = data.software.version === VERSION ? '' : ` (Evencast ${visible(data.software.version)} wrote it, this is ${VERSION}, which may compute differently)`; // prettier-ignore
  for (const key of ['assessment', 'rolls'] as const) wrong.push(...differences(data[key], again[key], key).map(visible)); // prettier-ignore
  return wrong.length === 0
    ? check('derived', true, 'Verdicts, rolls and means follow from the measured numbers.')
    : check('derived', false, `Some numbers do not follow from the others${other}:`, wrong.slice(0, 12));
}

/** The page as its data give it, byte by byte: so a digit changed on the page alone is seen as well. */
async function pageCheck(
  { form, reader, paper, record }: Opened,
  file: Uint8Array,
  fonts: FontFiles | null,
): Promise<Check> {
  // prettier-ignore
  if (form === 'json') return check('page', null, 'A JSON file has no page beside its data.');
  if (record.data.software.version !== VERSION)
    return check('page', null, `The page was written by Evencast ${visible(record.data.software.version)}; only that version could write it again to compare. Trust the numbers shown here, not those on the page.`); // prettier-ignore
  if (reader === null || (form === 'pdf' && (paper === null || fonts === null)))
    return check('page', reader === null || paper === null ? false : null, 'The page could not be written again to compare it. Trust the numbers shown here, not those on the page.'); // prettier-ignore
  // Fetched only now: the PDF writer is large.
  const due = form === 'html' ? htmlReport(record, reader) : await (await import('./pdf-report.ts')).pdfReport(record, reader, paper!, fonts!); // prettier-ignore
  const at = firstDifference(due, file);
  if (at < 0) return check('page', true, 'The page says what its data say, to the last byte.');
  return check('page', false, 'The page was changed: it does not say what its data say.', form === 'html' ? textsAt(due, file, at) : [`from byte ${at} on`]); // prettier-ignore
}

function firstDifference(a: Uint8Array, b: Uint8Array): number {
  const n = Math.min(a.length, b.length);
  for (let i = 0; i < n; i++) if (a[i] !== b[i]) return i;
  return a.length === b.length ? -1 : n;
}

function textsAt(due: Uint8Array, found: Uint8Array, at: number): string[] {
  const around = (bytes: Uint8Array): string => {
    let from = Math.max(0, at - 60);
    while (from < at && (bytes[from]! & 0xc0) === 0x80) from++;
    let to = Math.min(bytes.length, at + 60);
    while (to > at && (bytes[to]! & 0xc0) === 0x80) to--;
    return visible((fromUtf8(bytes.subarray(from, to)) ?? '').replace(/<[^>]*>?|^[^<>]*>/g, ' ').replace(/\s+/g, ' '));
  };
  return [`due: \u2026${around(due)}\u2026`, `found: \u2026${around(found)}\u2026`];
}

async function signatureCheck(record: ReportRecord, subtle: Subtle | null): Promise<Check> {
  const state = await signatureState(record, subtle);
  switch (state) {
    case 'none':
      return check('signature', null, 'It is not signed.');
    case 'valid':
      return check('signature', true, `Signed by the holder of the key ${keyName(record.signature!.publicKey)}. Whose key that is, you must know from elsewhere.`); // prettier-ignore
    case 'invalid':
      return check('signature', false, 'The signature does not belong to these data.');
    case 'cannot-tell':
      return check('signature', null, 'It is signed, but this browser cannot verify the signature.');
  }
}

function photosCheck({ data }: ReportRecord, given: CheckMeans['photos']): Check {
  if (data.photos.length === 0) return check('photos', null, 'It holds no digests of its photos.');
  if (given === null) return check('photos', null, `It holds the digests of ${data.photos.length} photos; none were given to compare.`); // prettier-ignore
  const found = given.map((p) => photoDigest(p.photo, p.data));
  const missing: string[] = [];
  const changed: string[] = [];
  for (const stated of data.photos) {
    if (found.some((f) => f.sha256 === stated.sha256)) continue;
    const same = found.find((f) => f.photo === stated.photo);
    (same ? changed : missing).push(visible(stated.photo));
  }
  const strangers = found.filter((f) => !data.photos.some((s) => s.sha256 === f.sha256 || s.photo === f.photo));
  const details = [
    ...changed.map((n) => `${n}: another picture, or a changed one`),
    ...missing.map((n) => `${n}: not given`),
    ...strangers.map((f) => `${visible(f.photo)}: not of this report`),
  ];
  if (changed.length > 0) return check('photos', false, `${changed.length} of ${data.photos.length} photos are not the ones that were measured.`, details); // prettier-ignore
  if (missing.length > 0) return check('photos', null, `${data.photos.length - missing.length} of ${data.photos.length} photos were given; those are the ones that were measured.`, details); // prettier-ignore
  return check('photos', true, `All ${data.photos.length} photos are the very ones that were measured.`, details);
}
