import { unzlibSync } from 'fflate';
import { jsonFaultText, parseJson, type JsonFault } from '../../formats/json-text.ts';
import { failure, success, type Result } from '../../result.ts';
import { fromBase64 } from '../../formats/base64.ts';
import { fromUtf8 } from '../record/bytes.ts';
import { formStated, type Stated } from '../forms/stated.ts';
import { readRecord, type ReportRecord } from '../../formats/report.ts';
import { fileFaultText, type FileFault } from '../../text/format-faults.ts';

/** Larger files are no reports. */
export const MOST_BYTES = 64e6;

/** A report read back from one of its forms; nothing in it is checked but that it has the form. */
export interface Opened extends Stated {
  readonly form: 'pdf' | 'html' | 'json';
  readonly record: ReportRecord;
  /** The data as the form carries them. */
  readonly json: Uint8Array;
}

export type OpenFault =
  | { readonly code: 'too-large'; readonly bytes: number }
  | { readonly code: 'no-report' }
  | { readonly code: 'no-attachment'; readonly form: 'pdf' | 'html' }
  | { readonly code: 'several-attachments'; readonly count: number }
  | { readonly code: 'unreadable-attachment' }
  | { readonly code: 'no-json'; readonly why: JsonFault | null }
  | { readonly code: 'not-this-format'; readonly why: FileFault };

type Carried = Omit<Opened, 'record'>;

/** Reads a report from a PDF, an HTML or a JSON file of any origin: nothing in it is run or trusted. */
export function openReport(bytes: Uint8Array): Result<Opened, OpenFault> {
  if (bytes.length > MOST_BYTES) return failure({ code: 'too-large', bytes: bytes.length });
  const carried = carriedBy(bytes);
  if (!carried.ok) return carried;
  const text = fromUtf8(carried.value.json);
  if (text === null) return failure({ code: 'no-json', why: null });
  const json = parseJson(text);
  if (!json.ok)
    return failure(
      json.error.code === 'no-json'
        ? { code: 'no-json', why: json.error }
        : { code: 'not-this-format', why: { code: 'no-json', why: json.error } },
    );
  const record = readRecord(json.value);
  return record.ok
    ? success({ ...carried.value, record: record.value })
    : failure({ code: 'not-this-format', why: record.error });
}

function carriedBy(bytes: Uint8Array): Result<Carried, OpenFault> {
  const start = latin1(bytes.subarray(0, 1024))
    .replace(/^\u00ef\u00bb\u00bf/, '')
    .trimStart();
  if (start.startsWith('%PDF-')) return fromPdf(bytes);
  if (/^<(!doctype|html)/i.test(start)) return fromHtml(bytes);
  if (start.startsWith('{')) return success({ form: 'json', reader: null, paper: null, language: null, json: bytes });
  return failure({ code: 'no-report' });
}

/** One character per byte. */
export function latin1(bytes: Uint8Array): string {
  const parts: string[] = [];
  for (let at = 0; at < bytes.length; at += 8192) parts.push(String.fromCharCode(...bytes.subarray(at, at + 8192)));
  return parts.join('');
}

function fromHtml(bytes: Uint8Array): Result<Carried, OpenFault> {
  const text = latin1(bytes);
  const links = [
    ...text.matchAll(/<a id="evencast-data"[^>]{0,200}? href="data:application\/json;base64,([A-Za-z0-9+/=]*)"/g),
  ];
  if (links.length === 0) return failure({ code: 'no-attachment', form: 'html' });
  if (links.length > 1) return failure({ code: 'several-attachments', count: links.length });
  const json = fromBase64(links[0]![1]!);
  return json ? success({ form: 'html', ...formStated(text), json }) : failure({ code: 'unreadable-attachment' });
}

/** The one file that a PDF carries, whatever it is. */
export function attachedToPdf(bytes: Uint8Array): Uint8Array | null {
  const carried = fromPdf(bytes);
  return carried.ok ? carried.value.json : null;
}

/** The embedded file of a PDF (ISO 32000-1:2008, 7.11.4): its stream is never hidden in another, so it is found by its type. */
function fromPdf(bytes: Uint8Array): Result<Carried, OpenFault> {
  const text = latin1(bytes);
  const files = [...text.matchAll(/\/Type\s*\/EmbeddedFile\b/g)];
  if (files.length === 0) return failure({ code: 'no-attachment', form: 'pdf' });
  if (files.length > 1) return failure({ code: 'several-attachments', count: files.length });
  const at = files[0]!.index;
  const from = text.lastIndexOf(' obj', at);
  const stream = text.indexOf('stream', at);
  if (from < 0 || stream < 0) return failure({ code: 'unreadable-attachment' });
  const dictionary = text.slice(from, stream);
  const data = stream + 6 + (text.startsWith('\r\n', stream + 6) ? 2 : 1);
  const length = /\/Length\s+(\d+)(?!\s+\d+\s+R)/.exec(dictionary)?.[1];
  const end = length === undefined ? text.indexOf('endstream', data) : data + Number(length);
  const packed = bytes.subarray(data, end);
  const size = Number(/\/Size\s+(\d+)/.exec(dictionary)?.[1] ?? NaN);
  const filter = /\/Filter\s*\[?\s*\/(\w+)/.exec(dictionary)?.[1];
  const json = filter === undefined ? packed : filter === 'FlateDecode' ? inflated(packed, size) : null;
  return json ? success({ form: 'pdf', ...formStated(text), json }) : failure({ code: 'unreadable-attachment' });
}

/** Never more than the size that the file states, nor than a report can have. */
function inflated(packed: Uint8Array, size: number): Uint8Array | null {
  if (!(size > 0 && size <= MOST_BYTES)) return null;
  try {
    return unzlibSync(packed, { out: new Uint8Array(size) });
  } catch {
    return null;
  }
}

/** What is told for a file that is no report. */
export function openFaultText(fault: OpenFault): string {
  switch (fault.code) {
    case 'too-large':
      return `The file has ${Math.round(fault.bytes / 1e6)} MB; a report has at most ${MOST_BYTES / 1e6}.`;
    case 'no-report':
      return 'This is no report: a PDF, HTML or JSON file of Evencast is needed.';
    case 'no-attachment':
      return `This ${fault.form === 'pdf' ? 'PDF' : 'HTML file'} carries no data. Another program may have saved it anew; ask for the file as Evencast wrote it.`;
    case 'several-attachments':
      return `This file carries ${fault.count} attachments, a report carries one: it was changed by another program.`;
    case 'unreadable-attachment':
      return 'The data attached to this file cannot be read: it is damaged, or was changed.';
    case 'no-json':
      return `The data in this file are no JSON: they are damaged, or were changed (${fault.why === null ? 'not UTF-8' : jsonFaultText(fault.why)}).`;
    case 'not-this-format':
      return `The data in this file are not those of a report that this version reads: ${fileFaultText(fault.why, 'en')}.`;
  }
}
