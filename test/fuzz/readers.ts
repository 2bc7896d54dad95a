import fc, { type Arbitrary } from 'fast-check';
import { analyseLog } from '../../src/bias/log/log-analysis.ts';
import { logSentences } from '../../src/bias/log/log-sentences.ts';
import { readLog } from '../../src/bias/log/roll-log.ts';
import { calibration } from '../../src/bias/log/calibration.ts';
import { kernelPrediction } from '../../src/bias/meaning/prediction.ts';
import { sentences } from '../../src/bias/meaning/sentences.ts';
import { readShape } from '../../src/bias/meaning/shape-record.ts';
import { faultText } from '../../src/bias/messages.ts';
import { lotTable } from '../../src/cli/lot-table.ts';
import { thrownOf } from '../../src/cli/pairs.ts';
import { resultTable } from '../../src/cli/result-table.ts';
import { BIN_JOB, BIN_REFERENCE, parseBinJob, readReference } from '../../src/formats/bin.ts';
import { JOB } from '../../src/formats/job.ts';
import { jsonFaultText, parseJson } from '../../src/formats/json-text.ts';
import { CARD_RECORD, KEPT_BIN, ROOM_RECORD } from '../../src/formats/kept.ts';
import { LOT, LOT_LIMITS, lotText, readLimits } from '../../src/formats/lot.ts';
import { pairOf, PAIRS_FORMAT, readPairs } from '../../src/formats/pairs.ts';
import { read } from '../../src/formats/read.ts';
import { RESULT, readResult } from '../../src/formats/result.ts';
import { SHAPE } from '../../src/formats/shape.ts';
import { CLASSES } from '../../src/judging/tolerance.ts';
import { analyseLot } from '../../src/lots/analysis.ts';
import { dieFromResult } from '../../src/lots/die-record.ts';
import { LOT_WORDS } from '../../src/lots/lot-words.ts';
import { readLot } from '../../src/lots/read-lot.ts';
import { parseAsked } from '../../src/measure/asked.ts';
import { resultJson } from '../../src/measure/result-json.ts';
import { readExif } from '../../src/photo/exif.ts';
import { sniffImage } from '../../src/photo/sniff.ts';
import { openFaultText, openReport } from '../../src/report/check/open-report.ts';
import { csvReport } from '../../src/report/forms/csv-report.ts';
import { htmlReport } from '../../src/report/forms/html-report.ts';
import { readTolerance } from '../../src/report/record/limits-file.ts';
import { recordBytes, reportRecord } from '../../src/report/record/record.ts';
import { readKeyFile } from '../../src/report/record/signing.ts';
import { success, type Result } from '../../src/result.ts';
import { fileFaultText, formatFaultText, type FileFault } from '../../src/text/format-faults.ts';
import { jobMessage } from '../../src/text/job-faults.ts';
import { messageOf } from '../../src/text/notes.ts';
import { readDieFile, type DieFileFault } from '../../src/ui/store/die-file.ts';
import { KEEPING } from '../../src/ui/store/keeping-words.ts';
import { readCard, readDie, readFound, readRoom, type RecordFault } from '../../src/ui/store/upgrade.ts';
import { madeResult } from '../support/made-result.ts';
import {
  ARCHIVE,
  CARD,
  DIE,
  FOUND,
  JOB_FILE,
  LIST,
  PHOTO,
  RECORD,
  RESULTS,
  ROOM,
  SMALL_LOT,
  storedAlone,
} from './good-files.ts';
import { decoded, encoded, headOf, jsonInputs, jsonOf, LOGS, plainJson } from './inputs.ts';
import { mutatedBytes, mutatedJson } from './mutations.ts';
import { refused, taken, type Outcome } from './outcome.ts';
import { bareInput } from '../support/bare-input.ts';

/** Something that reads what comes from outside. */
export interface Reader {
  /** Inputs: always bytes, as a file would bring them. */
  readonly inputs: Arbitrary<Uint8Array>;
  /** Reads one, and says what becomes of it. */
  read(bytes: Uint8Array): Outcome | Promise<Outcome>;
}

/** A reader of JSON: `use` takes what was parsed. */
const ofJson = (inputs: Arbitrary<Uint8Array>, use: (json: unknown) => Outcome | Promise<Outcome>): Reader => ({
  inputs,
  read(bytes) {
    const json = parseJson(decoded(bytes));
    if (json.ok) return use(json.value);
    return refused(json.error.code, jsonFaultText(json.error), jsonFaultText(json.error, 'de'));
  },
});

const fileFault = (fault: FileFault): Outcome =>
  refused(fault.code, fileFaultText(fault, 'en'), fileFaultText(fault, 'de'));
const whole = <T>(out: Result<T, FileFault>, use: (value: T) => Outcome = () => taken()): Outcome =>
  out.ok ? use(out.value) : fileFault(out.error);
const kept = (out: Result<unknown, RecordFault>): Outcome =>
  out.ok ? taken() : broken({ code: 'file', place: out.error.place, why: out.error });
const broken = (fault: DieFileFault): Outcome => {
  const words = (['en', 'de'] as const).map((l) => {
    const { text, advice } = KEEPING[l].shelf.broken(fault);
    return `${text} ${advice}`;
  }) as [string, string];
  return refused(fault.why.code, ...words);
};

/** Every reader of files and stored records. */
export async function readers(): Promise<Readonly<Record<string, Reader>>> {
  const archive = await ARCHIVE;
  const html = htmlReport(RECORD, 'lab');
  return {
    job: ofJson(jsonInputs([JOB_FILE], JOB), (json) => {
      const job = parseAsked(json, null);
      return job.ok ? taken() : refused(job.error.code, jobMessage(job.error), jobMessage(job.error, 'de'));
    }),
    'bin-job': ofJson(
      jsonInputs([{ die: 'd20', photos: ['1.jpg'], checkBar: 100, size: 19.2, limits: { size: 0.1 } }], BIN_JOB),
      (json) => whole(parseBinJob(json)),
    ),
    'bin-reference': ofJson(
      jsonInputs(
        [...RESULTS, { format: 'evencast-bin-reference/1', die: { kind: 'd6' }, size: 16, radius: 0.5 }],
        BIN_REFERENCE,
      ),
      (json) => whole(readReference(json)),
    ),
    'kept-bin': ofJson(
      jsonInputs(
        [{ kind: 'd6', size: '16', radius: '', limits: { size: '', radius: '', departure: '' }, sounds: true }],
        KEPT_BIN,
      ),
      (json) => whole(read(KEPT_BIN, json)),
    ),
    result: ofJson(jsonInputs(RESULTS, RESULT), (json) =>
      whole(readResult(json), (result) => {
        const made = reportRecord({ ...bareInput(result), tolerance: CLASSES.moulded });
        return taken(resultTable(result), resultJson(success(result)), ...formsOf(made));
      }),
    ),
    'lot-die': ofJson(jsonInputs(RESULTS, RESULT), (json) => whole(dieFromResult(json, 'a'))),
    shape: ofJson(jsonInputs(RESULTS, SHAPE), (json) => {
      const shape = readShape(json);
      if (!shape.ok) return refused(shape.error.code, faultText(shape.error));
      const prediction = kernelPrediction(shape.value, 'unknown');
      if (!prediction.ok) return refused(prediction.error.code, faultText(prediction.error));
      return taken(...sentences(prediction.value));
    }),
    lot: ofJson(jsonInputs([JSON.parse(lotText(SMALL_LOT))], LOT), (json) =>
      whole(readLot(json), (lot) => {
        const analysis = analyseLot(lot);
        return taken(lotTable(lot, analysis, null));
      }),
    ),
    'lot-limits': ofJson(
      jsonInputs([{ format: 'evencast-lot-limits/1', limits: { axis: { lower: 19, upper: 21 } } }], LOT_LIMITS),
      (json) => whole(readLimits(json)),
    ),
    pairs: ofJson(
      jsonInputs([
        {
          format: PAIRS_FORMAT,
          pairs: [pairOf(madeResult('d6'), ['1', '2', '3', '4', '5', '6'], [9, 11, 8, 12, 10, 10])],
        },
      ]),
      (json) => {
        const pairs = readPairs(json);
        if (!pairs.ok) return refused(pairs.error.code, pairs.error.at);
        const thrown = pairs.value.pairs.map(thrownOf);
        return taken(
          ...thrown.map((t) => (t.ok ? 'taken' : t.error)),
          JSON.stringify(calibration(thrown.flatMap((t) => (t.ok ? [t.value] : [])))),
        );
      },
    ),
    report: {
      inputs: fc.oneof(
        { weight: 4, arbitrary: mutatedJson(plainJson(RECORD)).map(jsonOf) },
        { weight: 2, arbitrary: mutatedBytes(recordBytes(RECORD)) },
        { weight: 2, arbitrary: mutatedBytes(html) },
        { weight: 1, arbitrary: fc.uint8Array({ maxLength: 400 }) },
      ),
      read(bytes) {
        const opened = openReport(bytes);
        return opened.ok
          ? taken(...formsOf(opened.value.record))
          : refused(opened.error.code, openFaultText(opened.error));
      },
    },
    tolerance: ofJson(
      jsonInputs([{ name: 'own', size: { nominal: 16, minus: 0.1, plus: 0.1 }, range: { high: 0.1 } }]),
      (json) => {
        const limits = readTolerance(json);
        return limits.ok ? taken() : refused('limits', limits.error);
      },
    ),
    key: ofJson(
      jsonInputs([{ format: 'evencast-key/1', kind: 'Ed25519', publicKey: 'AAAA', privateKey: 'AAAA' }]),
      (json) => (readKeyFile(json) === null ? refused('no-key', 'no file of a key') : taken()),
    ),
    die: ofJson(jsonInputs([DIE, { ...DIE, version: 1 }]), (json) => kept(readDie(json))),
    found: ofJson(jsonInputs([FOUND]), (json) => kept(readFound(json))),
    card: ofJson(jsonInputs([CARD], CARD_RECORD), (json) => kept(readCard(json))),
    room: ofJson(jsonInputs([ROOM], ROOM_RECORD), (json) => kept(readRoom(json))),
    archive: {
      inputs: fc.oneof(
        { weight: 2, arbitrary: mutatedBytes(archive) },
        { weight: 2, arbitrary: mutatedBytes(archive, [0.9, 1]) },
        { weight: 3, arbitrary: mutatedJson(LIST).map((list) => storedAlone(jsonOf(list))) },
      ),
      async read(bytes) {
        const brought = await readDieFile(new Blob([new Uint8Array(bytes)]), [], 1);
        return brought.ok ? taken() : broken(brought.error);
      },
    },
    log: {
      inputs: fc.oneof(
        { weight: 6, arbitrary: LOGS },
        { weight: 1, arbitrary: LOGS.chain((log) => (log.length > 4 ? mutatedBytes(log) : fc.constant(log))) },
      ),
      read(bytes) {
        const log = readLog(decoded(bytes), null);
        if (!log.ok) return refused(log.error.code, faultText(log.error));
        return taken(...logSentences(log.value, analyseLog(log.value, 1)));
      },
    },
    json: {
      inputs: fc.oneof(
        fc.string({ maxLength: 200 }).map(encoded),
        fc.json({ maxDepth: 80 }).chain((t) => mutatedBytes(encoded(`${t} `))),
        fc.nat(300).map((n) => encoded('['.repeat(n) + ']'.repeat(n))),
      ),
      read(bytes) {
        const json = parseJson(decoded(bytes));
        return json.ok ? taken() : refused(json.error.code, jsonFaultText(json.error), jsonFaultText(json.error, 'de'));
      },
    },
    'photo-head': {
      inputs: fc.oneof(
        mutatedBytes(PHOTO, [0, 0.002]),
        mutatedBytes(PHOTO),
        fc.uint8Array({ maxLength: 64 }).map((tail) => Uint8Array.of(...headOf(tail), ...tail)),
      ),
      read(bytes) {
        readExif(bytes.subarray(12));
        const sniffed = sniffImage(bytes);
        if (sniffed.ok) return taken(JSON.stringify(sniffed.value));
        const words = (['en', 'de'] as const)
          .map((l) => messageOf(sniffed.error, l))
          .map(({ text, advice }) => `${text} ${advice}`);
        return refused(sniffed.error.code, ...(words as [string, string]));
      },
    },
    'lot-words': ofJson(jsonInputs([JSON.parse(lotText(SMALL_LOT))], LOT), (json) => {
      const lot = readLot(json);
      return lot.ok
        ? taken()
        : refused(lot.error.code, LOT_WORDS.en.fileFault(lot.error), LOT_WORDS.de.fileFault(lot.error));
    }),
    format: ofJson(jsonInputs(RESULTS, RESULT), (json) => {
      const out = read(RESULT, json);
      return out.ok
        ? taken()
        : refused(out.error.code, formatFaultText(out.error, 'en'), formatFaultText(out.error, 'de'));
    }),
  };
}

/** The forms of a report that are text. */
const formsOf = (record: Parameters<typeof csvReport>[0]): string[] => [
  decoded(csvReport(record)),
  decoded(htmlReport(record, 'lab')),
  decoded(htmlReport(record, 'buyer')),
];
