import { join } from 'node:path';
import { failure, success, type Result } from '../result.ts';
import { jobMessage } from '../text/job-faults.ts';
import { parseJob } from '../formats/job.ts';
import type { Job, MeasureResult } from '../formats/result.ts';
import { csvReport } from '../report/forms/csv-report.ts';
import { htmlReport } from '../report/forms/html-report.ts';
import { Letters } from '../report/forms/letters.ts';
import { readTolerance } from '../report/record/limits-file.ts';
import { readRecord } from '../formats/report.ts';
import { readResult } from '../formats/result.ts';
import { fileFaultText, formatFaultText } from '../text/format-faults.ts';
import {
  ABOUT_KEYS,
  recordBytes,
  reportRecord,
  REPORT_FORMAT,
  type About,
  type ReportRecord,
} from '../report/record/record.ts';
import { SHOP_SIZE, shopSvg } from '../report/forms/shop-picture.ts';
import { newKey, readKeyFile, signed, SIGNATURE_KINDS, type SignatureKind } from '../report/record/signing.ts';
import { CLASSES, NO_LIMITS, type Tolerance } from '../judging/tolerance.ts';
import { VERSION } from '../report/record/version.ts';
import { EXIT, type Command } from './command.ts';
import { readLog } from '../bias/log/roll-log.ts';
import { faultText } from '../bias/messages.ts';
import { fileJson, fileText } from './files.ts';
import { print, put, say } from './streams.ts';
import { thrownFor } from './predicted.ts';
import { reportFonts } from './report-fonts.ts';
import { facesIn } from './read-faces.ts';
import { photosIn, subtle } from './report-host.ts';
import { reportOptions, USAGE, type Options } from './report-options.ts';

/** Writes a report of a measured die, or checks one. */
export const run: Command = async (args) => {
  if (args.includes('--help') || args.includes('-h')) {
    print(USAGE);
    return EXIT.done;
  }
  const options = reportOptions(args);
  if (typeof options === 'string') return told(options, EXIT.usage, true);
  if (options.check !== null)
    return (await import('./report-check.ts')).checkFile(options.check, options.photos, options.json);
  if (options.newKey) return await writeKey(options);
  if (['pdf', 'png'].includes(options.format) && options.out === null && process.stdout.isTTY)
    return told(`a ${options.format.toUpperCase()} is not for the terminal: say --out FILE or > FILE`, EXIT.usage);
  const record = await recordFor(options);
  if (!record.ok) return told(record.error.message, record.error.usage ? EXIT.usage : EXIT.notMeasurable);
  return written(await formed(record.value, options), options.out);
};

function told(message: string, code: number, usage = false): number {
  say(`evencast report: ${message}\n${usage ? USAGE : ''}`);
  return code;
}

async function written(bytes: Uint8Array, out: string | null, secret = false): Promise<number> {
  const done = await put(bytes, out, secret);
  return done.ok ? EXIT.done : told(done.error, EXIT.failed);
}

async function writeKey({ keyKind, out }: Options): Promise<number> {
  if (!SIGNATURE_KINDS.includes(keyKind as SignatureKind))
    return told(`--key-kind ${keyKind}: ${SIGNATURE_KINDS.join(' or ')} needed`, EXIT.usage);
  const key = await newKey(subtle, keyKind as SignatureKind);
  return written(new TextEncoder().encode(`${JSON.stringify(key, null, 1)}\n`), out, true);
}

async function formed(record: ReportRecord, { format, reader, paper, language }: Options): Promise<Uint8Array> {
  switch (format) {
    case 'json':
      return recordBytes(record);
    case 'csv':
      return csvReport(record);
    case 'html':
      return htmlReport(record, reader, [], language);
    case 'pdf':
      return await (
        await import('../report/forms/pdf-report.ts')
      ).pdfReport(record, reader, paper, await reportFonts(), language);
    case 'png': {
      const { default: sharp } = await import('sharp');
      const svg = shopSvg(record, new Letters(await reportFonts()), language);
      return await sharp(Buffer.from(svg), { density: 72 * SHOP_SIZE.scale })
        .png()
        .toBuffer();
    }
  }
}

interface Fault {
  readonly message: string;
  readonly usage: boolean;
}
const fault = (message: string, usage = false): Result<never, Fault> => failure({ message, usage });

async function jsonFile(file: string): Promise<Result<unknown, Fault>> {
  const json = await fileJson(file, true);
  return json.ok ? json : fault(json.error);
}

async function recordFor(options: Options): Promise<Result<ReportRecord, Fault>> {
  const json = await jsonFile(options.file!);
  if (!json.ok) return json;
  const format = (json.value as { format?: unknown } | null)?.format;
  let record: Result<ReportRecord, Fault>;
  if (format === REPORT_FORMAT) {
    const read = readRecord(json.value);
    record = read.ok ? read : fault(formatFaultText(read.error, 'en'));
  } else {
    const result = readResult(json.value);
    if (!result.ok) return fault(fileFaultText(result.error, 'en'));
    record = await madeFrom(result.value, options);
  }
  if (!record.ok || options.sign === null) return record;
  const key = await jsonFile(options.sign);
  const read = key.ok ? readKeyFile(key.value) : null;
  if (read === null) return fault(`${options.sign}: no file of a key; --new-key makes one`, true);
  try {
    return success(await signed(record.value, read, subtle));
  } catch {
    return fault(`${options.sign}: the key cannot be used; it is damaged, or of another kind than it says`, true);
  }
}

async function madeFrom(result: MeasureResult, options: Options): Promise<Result<ReportRecord, Fault>> {
  const tolerance = await toleranceFor(options);
  if (!tolerance.ok) return tolerance;
  const about = await aboutFor(options);
  if (!about.ok) return about;
  const job = options.photos === null ? success(null) : await jobIn(options.photos);
  if (!job.ok) return job;
  const photos =
    options.photos === null
      ? []
      : await photosIn(
          options.photos,
          result.photos.map((p) => p.photo),
        );
  const faces = options.faces === null ? success(null) : await facesIn(options.faces);
  if (!faces.ok) return fault(faces.error);
  const rolled = options.log === null ? success(null) : await rolledIn(options.log, result);
  if (!rolled.ok) return rolled;
  const thrown = await thrownFor(result);
  return success(
    reportRecord({
      about: about.value,
      result,
      job: job.value,
      photos,
      tolerance: tolerance.value,
      rule: options.rule,
      version: VERSION,
      thrown,
      rolled: rolled.value,
      faces: faces.value,
    }),
  );
}

/** Counts of a log, in the order of the die's numbers. */
async function rolledIn(file: string, result: MeasureResult): Promise<Result<number[], Fault>> {
  const text = await fileText(file);
  if (!text.ok) return fault(text.error);
  const log = readLog(
    text.value,
    result.faces.map((f) => f.name),
  );
  return log.ok ? success([...log.value.counts]) : fault(`${file}: ${faultText(log.error)}`);
}

async function toleranceFor({ limits, className }: Options): Promise<Result<Tolerance, Fault>> {
  if (className !== null) return success(CLASSES[className]);
  if (limits === null) return success(NO_LIMITS);
  const json = await jsonFile(limits);
  if (!json.ok) return fault(json.error.message, true);
  const read = readTolerance(json.value);
  return read.ok ? read : fault(`${limits}: ${read.error}`, true);
}

/** Nothing, or a day that the calendar has. */
function isDate(text: string): boolean {
  const [year, month, day] = (/^(\d{4})-(\d\d)-(\d\d)$/.exec(text) ?? []).slice(1).map(Number);
  if (day === undefined) return text === '';
  return new Date(Date.UTC(year!, month! - 1, day)).toISOString().startsWith(text);
}

async function aboutFor({ about, aboutFile }: Options): Promise<Result<Partial<About>, Fault>> {
  const today = new Date().toISOString().slice(0, 10);
  const json = aboutFile === null ? success({}) : await jsonFile(aboutFile);
  if (!json.ok) return fault(json.error.message, true);
  const given = (typeof json.value === 'object' && json.value !== null ? json.value : {}) as Record<string, unknown>;
  const stray = Object.entries(given).find(
    ([k, v]) => !(ABOUT_KEYS as readonly string[]).includes(k) || typeof v !== 'string',
  );
  if (stray) return fault(`${aboutFile}: ${JSON.stringify(stray[0]).slice(0, 40)} is unknown or no text`, true);
  const all = { reportedOn: today, ...(given as Partial<About>), ...about };
  for (const key of ['measuredOn', 'reportedOn'] as const)
    if (!isDate(all[key] ?? '')) return fault(`${key}: ${JSON.stringify(all[key])} is no date YYYY-MM-DD`, true);
  return success(all);
}

/** The job of a folder, null where it holds none. */
async function jobIn(folder: string): Promise<Result<Job | null, Fault>> {
  const json = await jsonFile(join(folder, 'job.json'));
  if (!json.ok) return success(null);
  const job = parseJob(json.value);
  return job.ok ? success(job.value) : fault(jobMessage(job.error));
}
