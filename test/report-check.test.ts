import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { webcrypto } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { reportFonts } from '../src/cli/report-fonts.ts';
import { reportOptions, USAGE as reportUsage } from '../src/cli/report-options.ts';
import { base64, fromBase64 } from '../src/formats/base64.ts';
import { utf8 } from '../src/report/record/bytes.ts';
import { canonicalJson } from '../src/report/record/canonical-json.ts';
import { checkReport, type Check } from '../src/report/check/check-report.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import type { FontFiles } from '../src/report/forms/letters.ts';
import { readTolerance } from '../src/report/record/limits-file.ts';
import { openReport, type OpenFault } from '../src/report/check/open-report.ts';
import { pdfReport } from '../src/report/forms/pdf-report.ts';
import { photoDigest, recordBytes, reportRecord, sealed, type ReportRecord } from '../src/report/record/record.ts';
import { jobOfReport, sideBySide } from '../src/report/check/remeasure.ts';
import { newKey, signed, type Subtle } from '../src/report/record/signing.ts';
import { CLASSES } from '../src/judging/tolerance.ts';
import { evencast, started } from './support/commands.ts';
import { madeResult } from './support/made-result.ts';
import { bareInput } from './support/bare-input.ts';

const subtle = webcrypto.subtle as Subtle;
const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
const PHOTO = new Uint8Array([1, 2, 3, 4]);
let plain: ReportRecord | undefined;
/** One record for all tests, for it takes a hundred thousand draws; not to be written to. */
const made = (): ReportRecord =>
  (plain ??= reportRecord({
    ...bareInput(madeResult('d8')),
    about: { die: 'walnut', reportedOn: '2026-01-03' },
    photos: [{ photo: '01.jpg', data: PHOTO }],
    tolerance: CLASSES.moulded,
  }));

let fonts: FontFiles;
beforeAll(async () => {
  fonts = await reportFonts();
});

async function checked(
  file: Uint8Array,
  photos: Parameters<typeof checkReport>[2]['photos'] = null,
): Promise<Map<Check['kind'], Check>> {
  const opened = openReport(file);
  if (!opened.ok) throw new Error(JSON.stringify(opened.error));
  return new Map((await checkReport(opened.value, file, { fonts, subtle, photos })).map((c) => [c.kind, c]));
}

describe('an untouched report agrees', () => {
  test.each(['json', 'html', 'pdf'] as const)('%s', async (form) => {
    const record = made();
    const file =
      form === 'json'
        ? recordBytes(record)
        : form === 'html'
          ? htmlReport(record, 'lab')
          : await pdfReport(record, 'lab', 'letter', fonts);
    const opened = openReport(file);
    expect(opened.ok && opened.value.record).toEqual(JSON.parse(text(recordBytes(record))));
    const found = await checked(file, [photoDigest('01.jpg', PHOTO)]);
    expect([...found.values()].map((c) => [c.kind, c.agrees])).toEqual([
      ['data', true],
      ['derived', true],
      ['page', form === 'json' ? null : true],
      ['signature', null],
      ['photos', true],
    ]);
  });
});

describe('one changed digit is said', () => {
  const changedJson = (from: RegExp, to: string): Uint8Array => {
    const json = text(recordBytes(made()));
    expect(json).toMatch(from);
    return utf8(json.replace(from, to));
  };

  test('anywhere in the data: every place of a digit, sampled', async () => {
    const json = text(recordBytes(made()));
    const start = json.indexOf('"data":{');
    const places = [...json.matchAll(/\d/g)]
      .map((m) => m.index)
      .filter((i) => i > start && i < json.indexOf('"digest"'));
    for (let k = 0; k < places.length; k += Math.ceil(places.length / 25)) {
      const at = places[k]!;
      const file = utf8(json.slice(0, at) + String((Number(json[at]) + 1) % 10) + json.slice(at + 1));
      const opened = openReport(file);
      // A digit of a name or a format may make it no report at all; that is said as well.
      if (opened.ok) expect((await checked(file)).get('data')!.agrees, json.slice(at - 30, at + 10)).toBe(false);
    }
  });

  test('in the number or the digest stated', async () => {
    const { number } = made();
    const other = number.slice(0, -1) + (number.endsWith('0') ? '1' : '0');
    expect((await checked(changedJson(new RegExp(number), other))).get('data')).toMatchObject({ code: 'number-wrong' });
    expect((await checked(changedJson(/("data":")([0-9a-f])/, '$1x'.replace('x', '0')))).get('data')!.agrees).not.toBe(
      null,
    );
  });

  test('in a result whose digest was made anew: what does not follow is named', async () => {
    const { data } = made();
    const axes = data.result.axes.map((a, i) => (i === 0 ? { ...a, length: a.length + 0.1 } : a));
    const found = await checked(recordBytes(sealed({ ...data, result: { ...data.result, axes } })));
    expect(found.get('data')!.agrees).toBe(true);
    expect(found.get('derived')!.agrees).toBe(false);
    expect(found.get('derived')!.details.join()).toContain(`axis ${axes[0]!.name}`);
    expect(found.get('derived')!.details.join()).toContain('mean axis');
    expect(found.get('derived')!.details.join()).toMatch(
      /mean axis: [\d.]+ mm stated, [\d.]+ mm from the other numbers/,
    );
  });

  test('in an uncertainty whose digest was made anew: told as one, not as its square', async () => {
    const { data } = made();
    const axes = data.result.axes.map((a, i) => (i === 0 ? { ...a, u: 3 * a.u } : a));
    const found = await checked(recordBytes(sealed({ ...data, result: { ...data.result, axes } })));
    const line = found.get('derived')!.lines.find(({ code }) => code === 'axis-u')!;
    expect(line.values.slice(0, 2)).toEqual([axes[0]!.name, axes[0]!.u]);
    expect(Number(line.values[2])).toBeCloseTo(data.result.axes[0]!.u, 9);
  });

  test('in a verdict whose digest was made anew', async () => {
    const { data } = made();
    const findings = data.assessment.findings.map((f) => ({ ...f, verdict: 'pass' as const, probability: 0.99 }));
    const found = await checked(recordBytes(sealed({ ...data, assessment: { ...data.assessment, findings } })));
    expect(found.get('derived')!.details.join()).toContain('assessment.findings[0].probability');
  });

  test('in rolls of another version: left open, for that one may compute differently', async () => {
    const { data } = made();
    const rolls = { ...data.rolls!, faces: data.rolls!.faces.map((f) => ({ ...f, p: f.p * 1.001 })) };
    const same = await checked(recordBytes(sealed({ ...data, rolls })));
    expect(same.get('derived')).toMatchObject({ agrees: false });
    for (const software of [
      { ...data.software, version: '0.0.1' },
      { ...data.software, model: '0'.repeat(16) },
    ]) {
      const other = await checked(recordBytes(sealed({ ...data, rolls, software })));
      expect(other.get('derived')).toMatchObject({ agrees: null, code: 'derived-differ-version' });
    }
  });

  test('on the page alone', async () => {
    const record = made();
    const value = record.data.result.meanAxis.value.toFixed(3);
    const html = text(htmlReport(record, 'buyer'));
    expect(html).toContain(value);
    const found = await checked(utf8(html.replaceAll(value, '15.000')));
    expect(found.get('data')!.agrees).toBe(true);
    expect(found.get('page')).toMatchObject({ agrees: false });
    expect(found.get('page')!.details.join()).toContain('15.000');
    const pdf = await pdfReport(record, 'buyer', 'a4', fonts);
    // Any byte beside the data, here a letter of the title.
    pdf[Buffer.from(pdf).indexOf('Evencast report EV') + 2]! ^= 1;
    expect((await checked(pdf)).get('page')).toMatchObject({ agrees: false });
  });

  test('beside the small pictures that a page carries, which stand there as they were put', async () => {
    const jpeg = new Uint8Array([0xff, 0xd8, 0xff, 0xd9]);
    const html = text(htmlReport(made(), 'buyer', [{ photo: '01.jpg', jpeg }]));
    expect(html).toContain('data:image/jpeg;base64,/9j/2Q==');
    expect((await checked(utf8(html))).get('page')).toMatchObject({ agrees: true });
    const more = html.replace('</figure></div></section>', '</figure><p>Mean axis 15.000 mm</p></div></section>');
    expect(more).not.toBe(html);
    expect((await checked(utf8(more))).get('page')).toMatchObject({ agrees: false });
    const other = html.replace('alt="01.jpg"', 'alt="other.jpg"');
    expect((await checked(utf8(other))).get('page')).toMatchObject({ agrees: false });
  });

  test('in the data attached to a page', async () => {
    const html = text(htmlReport(made(), 'seller'));
    const [, link] = /base64,([A-Za-z0-9+/=]+)"/.exec(html)!;
    const json = text(fromBase64(link!)!);
    const file = utf8(html.replace(link!, base64(utf8(json.replace(/"bytes":4/, '"bytes":5')))));
    const found = await checked(file);
    expect(found.get('data')!.agrees).toBe(false);
  });

  test('in the stream attached to a PDF: damaged, or said', async () => {
    const pdf = await pdfReport(made(), 'buyer', 'a4', fonts);
    const at = Buffer.from(pdf).indexOf('/Type /EmbeddedFile');
    for (const offset of [400, 700, 1500]) {
      const file = pdf.slice();
      file[at + offset] = file[at + offset]! ^ 4;
      const opened = openReport(file);
      if (!opened.ok) expect(['unreadable-attachment', 'no-json', 'not-this-format']).toContain(opened.error.code);
      else expect((await checked(file)).get('page')!.agrees).toBe(false);
    }
  });

  test('in a photo', async () => {
    const found = await checked(recordBytes(made()), [photoDigest('01.jpg', new Uint8Array([1, 2, 3, 5]))]);
    expect(found.get('photos')).toMatchObject({ agrees: false, details: ['\u2260 01.jpg'] });
    const renamed = await checked(recordBytes(made()), [photoDigest('other name.jpg', PHOTO)]);
    expect(renamed.get('photos')).toMatchObject({ agrees: true });
    expect((await checked(recordBytes(made()), [])).get('photos')).toMatchObject({ agrees: null, code: 'photos-some' });
  });

  test('below a signature', async () => {
    const own = await signed(made(), await newKey(subtle), subtle);
    expect((await checked(htmlReport(own, 'buyer'))).get('signature')).toMatchObject({ agrees: true });
    const { data } = own;
    const forged = {
      ...sealed({ ...data, about: { ...data.about, measuredBy: 'somebody else' } }),
      signature: own.signature,
    };
    const found = await checked(recordBytes(forged));
    expect([found.get('data')!.agrees, found.get('signature')!.agrees]).toEqual([true, false]);
  });
});

describe('files that are no reports', () => {
  const fault = (file: string | Uint8Array): OpenFault['code'] | 'opened' => {
    const opened = openReport(typeof file === 'string' ? utf8(file) : file);
    return opened.ok ? 'opened' : opened.error.code;
  };

  test.each([
    ['', 'no-report'],
    ['hello', 'no-report'],
    ['{', 'no-json'],
    ['{}', 'not-this-format'],
    [`{"a":${'['.repeat(200_000)}`, 'not-this-format'],
    ['%PDF-1.7\n%%EOF', 'no-attachment'],
    ['<!doctype html><p>x', 'no-attachment'],
    ['<!doctype html><a id="evencast-data" href="data:application/json;base64,AA">', 'unreadable-attachment'],
    [
      '%PDF-1.7\n1 0 obj\n<<\n/Type /EmbeddedFile\n/Filter /FlateDecode\n/Params << /Size 99 >>\n/Length 4\n>>\nstream\nabcd\nendstream',
      'unreadable-attachment',
    ],
    [
      '%PDF-1.7\n1 0 obj\n<<\n/Type /EmbeddedFile\n/Filter /FlateDecode\n/Params << /Size 9999999999 >>\n/Length 4\n>>\nstream\nabcd\nendstream',
      'unreadable-attachment',
    ],
    ['%PDF-1.7 /Type /EmbeddedFile /Type /EmbeddedFile', 'several-attachments'],
  ] as const)('%#', (file, code) => expect(fault(file)).toBe(code));

  test('a report whose lists do not fit each other', () => {
    const { data } = made();
    const axesCovariance = data.result.axesCovariance.slice(1);
    expect(fault(recordBytes(sealed({ ...data, result: { ...data.result, axesCovariance } })))).toBe('not-this-format');
    const outline = { ...data.result.photos[0]!.outline!, sigmas: [0] };
    const photos = [{ ...data.result.photos[0]!, outline }];
    expect(fault(recordBytes(sealed({ ...data, result: { ...data.result, photos } })))).toBe('not-this-format');
  });

  test('deep nesting ends as a fault, not as a crash', () => {
    const nested = canonicalJson(made());
    expect(fault(nested.replace('"signature":null', `"signature":${'{"a":'.repeat(9000)}1${'}'.repeat(9000)}`))).toBe(
      'not-this-format',
    );
  });
});

describe('measuring again', () => {
  test('names of photos are bare, whatever the report says', () => {
    const { data } = made();
    const job = {
      die: 'd6' as const,
      shots: [{ photo: '../../etc/passwd', up: '1', front: '2' }],
      checkBar: null,
      checkBarY: null,
      checkBarU: 0.05,
      numbering: null,
    };
    const found = jobOfReport({ ...data, job });
    const names = found.ok ? found.value.shots.map((s) => s.photo) : [];
    expect(names).toContain('passwd');
    expect(names.filter((name) => /[\\/]/.test(name))).toEqual([]);
  });

  test('side by side: differences in shares of U95', () => {
    const [a, b] = [made().data.result, madeResult('d8')];
    expect(sideBySide(a, b)).toMatchObject({ identical: true, agrees: true });
    const moved = { ...b, meanAxis: { ...b.meanAxis, value: b.meanAxis.value + 3 * b.meanAxis.u } };
    const found = sideBySide(a, moved)!;
    expect(found.agrees).toBe(false);
    expect(found.rows.find((r) => r.name === 'mean axis')!.share).toBeCloseTo(1.5, 6);
    expect(sideBySide(a, madeResult('d6'))).toBeNull();
  });
});

describe('evencast report', () => {
  const root = join(import.meta.dirname, '..');
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'evencast-check-'));
    cpSync(join(root, 'samples/d6'), join(folder, 'd6'), { recursive: true });
  });
  afterAll(() => rmSync(folder, { recursive: true }));
  const within = (name: string): string => join(folder, name);

  test('from photos to a report, and back to the photos', async () => {
    const measured = await evencast('measure', within('d6'), '--json');
    expect(measured.status).toBe(0);
    writeFileSync(within('d6.json'), measured.stdout);
    const limits = { name: 'own', size: { nominal: 16, minus: 0.5, plus: 0.5 }, range: { high: 0.3 } };
    writeFileSync(within('limits.json'), JSON.stringify(limits));
    const made = await evencast(
      'report',
      within('d6.json'),
      '--for',
      'seller',
      '--format',
      'pdf',
      '--photos',
      within('d6'),
      '--limits',
      within('limits.json'),
      '--reported',
      '2026-01-03',
      '--out',
      within('d6.pdf'),
    );
    expect([made.status, made.stderr]).toEqual([0, '']);
    const good = started('report', '--check', within('d6.pdf'), '--photos', within('d6'), '--json');
    expect(good.status).toBe(0);
    expect(JSON.parse(good.stdout)).toMatchObject({
      format: 'evencast-check/1',
      agrees: true,
      again: { identical: true },
    });
    // The same photo with one byte changed behind its end: the same picture, another file.
    const photo = readFileSync(within('d6/02-2.jpg'));
    writeFileSync(within('d6/02-2.jpg'), Buffer.concat([photo, Buffer.from([0])]));
    const bad = await evencast('report', '--check', within('d6.pdf'), '--photos', within('d6'));
    expect(bad.status).toBe(3);
    expect(bad.stdout).toContain('1 of 4 photos are not the ones that were measured');
    expect(bad.stdout).toContain('the same numbers');
  });

  test.each([
    [[], 'files given'],
    [['a.json', '--for', 'nobody', '--format', 'pdf'], '--for nobody'],
    [['a.json', '--for', 'lab', '--format', 'doc'], '--format doc'],
    [['a.json', '--for', 'lab', '--format', 'pdf', '--rule', 'shared', '--probability', '2'], '--probability 2'],
    [['a.json', '--for', 'lab', '--format', 'pdf', '--class', 'best'], '--class best'],
    [['a.json', '--for', 'lab', '--format', 'pdf', '--paper', 'a5'], '--paper a5'],
  ])('usage: %j', (args, told) => expect(reportOptions(args)).toContain(told));

  test('a laboratory is asked for by its whole name as by its short one, and stands for csv, png and json where nobody is named', () => {
    const asked = (...args: string[]): unknown => {
      const options = reportOptions(['a.json', ...args]);
      return typeof options === 'string' ? options : options.reader;
    };
    expect(asked('--for', 'laboratory', '--format', 'pdf')).toBe('lab');
    expect(asked('--for', 'lab', '--format', 'pdf')).toBe('lab');
    expect(asked('--format', 'csv')).toBe('lab');
    expect(asked('--format', 'pdf')).toContain('--for missing');
  });

  test('help and README promise the pages that reports have (two tests of forms count them)', () => {
    expect(reportUsage).toContain('buyer (1 page), seller (2 pages), laboratory (everything; lab for short)');
    expect(readFileSync(join(root, 'README.md'), 'utf8')).toContain(
      'buyer: one page; seller: two; laboratory: everything',
    );
  });

  test('limits that make no sense', () => {
    const fault = (limits: unknown): string => {
      const read = readTolerance(limits);
      return read.ok ? '' : read.error;
    };
    expect(fault({ size: { low: 3, high: 2 } })).toContain('not below');
    expect(fault({ range: {} })).toContain('neither');
    expect(fault({ range: { high: '3' } })).toContain('number');
    expect(fault({ range: { high: 3, lo: 1 } })).toContain('"lo"');
    expect(fault({ weight: { high: 3 } })).toContain('"weight"');
    expect(fault([])).toContain('object');
    expect(fault({ range: { high: 1e9 } })).toContain('1000');
    expect(fault({ size: { nominal: 16, minus: 0.1, plus: 0.1 }, name: 'own' })).toBe('');
  });

  test('a failed result, and a date that is none', async () => {
    writeFileSync(
      within('failed.json'),
      JSON.stringify({ format: 'evencast-result/1', error: { code: 'no-card', message: 'no card' } }),
    );
    const failed = await evencast('report', within('failed.json'), '--format', 'json');
    expect([failed.status, failed.stderr]).toEqual([3, expect.stringContaining('no card')]);
    writeFileSync(within('made.json'), JSON.stringify(madeResult('d6')));
    for (const date of ['yesterday', '2026-02-31']) {
      const dated = await evencast('report', within('made.json'), '--format', 'json', '--date', date);
      expect([dated.status, dated.stderr]).toEqual([2, expect.stringContaining('no date')]);
    }
  });
});
