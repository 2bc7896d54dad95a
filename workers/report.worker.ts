import { expose, transfer } from 'comlink';
import { utf8 } from '../src/report/record/bytes.ts';
import { checkReport } from '../src/report/check/check-report.ts';
import { csvReport } from '../src/report/forms/csv-report.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { lettersOf, type FontFiles } from '../src/report/forms/letters.ts';
import { openReport } from '../src/report/check/open-report.ts';
import { pdfReport } from '../src/report/forms/pdf-report.ts';
import { photoDigest, recordBytes, reportRecord } from '../src/report/record/record.ts';
import { shopSvg } from '../src/report/forms/shop-picture.ts';
import { newKey, signed, type Subtle } from '../src/report/record/signing.ts';
import { failure, success } from '../src/result.ts';
import { REPORT_PROTOCOL, type ReportApi } from './report-protocol.ts';

let files: FontFiles | undefined;
const fonts = (): FontFiles => {
  if (files === undefined) throw new Error('no fonts were given');
  return files;
};
/** Missing where the page did not come over https nor from this machine. */
const subtle = (): Subtle | null => (crypto.subtle as Subtle | undefined) ?? null;

const api: { readonly [K in keyof ReportApi]: ReportApi[K] } = {
  protocol: REPORT_PROTOCOL,
  fonts: (given) => void (files = given),
  digest: (photo, bytes) => photoDigest(photo, new Uint8Array(bytes)),
  record: reportRecord,
  async newKey() {
    const own = subtle();
    return own === null ? failure({ code: 'insecure' }) : success(await newKey(own));
  },
  async sign(record, key) {
    const own = subtle();
    if (own === null) return failure({ code: 'insecure' });
    return signed(record, key, own).then(success, (e: unknown) => failure({ code: 'key', detail: String(e) }));
  },
  async form(record, form, reader, paper, language, pictures) {
    const bytes = await {
      json: () => recordBytes(record),
      csv: () => csvReport(record),
      html: () => htmlReport(record, reader, pictures, language),
      svg: () => utf8(shopSvg(record, lettersOf(fonts()), language)),
      pdf: () => pdfReport(record, reader, paper, fonts(), language),
    }[form]();
    return transfer(bytes, [bytes.buffer]);
  },
  async check(file, photos) {
    const opened = openReport(file);
    if (!opened.ok) return opened;
    const checks = await checkReport(opened.value, file, { fonts: fonts(), subtle: subtle(), photos });
    const { form, reader, paper, language, record } = opened.value;
    return success({ form, reader, paper, language, record, checks });
  },
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
