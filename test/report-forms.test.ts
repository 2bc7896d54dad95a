import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SCHEMA_FILES } from '../config/format-schemas.ts';
import { reportFonts } from '../src/cli/report-fonts.ts';
import { DIE_KINDS } from '../src/geometry/solid.ts';
import { READERS } from '../src/report/content/blocks.ts';
import { csvReport } from '../src/report/forms/csv-report.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { Letters, visualOrder, type FontFiles } from '../src/report/forms/letters.ts';
import { openReport } from '../src/report/check/open-report.ts';
import { dieFigure } from '../src/figures/die.ts';
import { pdfReport } from '../src/report/forms/pdf-report.ts';
import { TYPED, typed, visible } from '../src/report/record/plain-text.ts';
import { recordBytes, reportRecord, type ReportInput, type ReportRecord } from '../src/report/record/record.ts';
import { readRecord } from '../src/formats/report.ts';
import { shopSvg } from '../src/report/forms/shop-picture.ts';
import { VERSION } from '../src/report/record/version.ts';
import { HOSTILE } from './support/hostile-texts.ts';
import { madeResult } from './support/made-result.ts';
import { MADE_INPUT, MADE_LIMITS, MADE_PDF, MADE_RECORD } from './support/report-digest.ts';
import { sha256Hex } from '../src/report/record/sha256.ts';

const LIMITS = MADE_LIMITS;

const plain = new Map<string, ReportRecord>();
/** A record of an invented die; one without changes is made once, for it takes a hundred thousand draws. Not to be written to. */
function made(kind: (typeof DIE_KINDS)[number], more?: Partial<ReportInput>): ReportRecord {
  if (more !== undefined) return reportRecord({ ...MADE_INPUT, result: madeResult(kind), ...more });
  let record = plain.get(kind);
  if (record === undefined) plain.set(kind, (record = reportRecord({ ...MADE_INPUT, result: madeResult(kind) })));
  return record;
}

const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
const has = (tool: string): boolean => spawnSync(tool, ['-v']).error === undefined;
let fonts: FontFiles;
let folder: string;
beforeAll(async () => {
  fonts = await reportFonts();
  folder = mkdtempSync(join(tmpdir(), 'evencast-report-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

/** What a general PDF tool prints of a file. */
function told(tool: string, bytes: Uint8Array, ...args: string[]): string {
  const file = join(folder, 'a.pdf');
  writeFileSync(file, bytes);
  const { stdout, stderr, status } = spawnSync(
    tool,
    args.map((a) => (a === 'FILE' ? file : a)),
    { encoding: 'utf8' },
  );
  expect(status, stderr).toBe(0);
  expect(stderr).toBe('');
  return stdout;
}

test('the version is that of package.json, and the schemas in public are those in use', () => {
  const root = join(import.meta.dirname, '..');
  expect((JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string }).version).toBe(VERSION);
  for (const [name, due] of Object.entries(SCHEMA_FILES))
    expect(readFileSync(join(root, 'public', name), 'utf8'), `${name}: run npx tsx config/format-schemas.ts`).toBe(due);
});

describe('JSON and its schema', () => {
  // A general validator, independent of the one in use here.
  const validate = new Ajv2020({ strict: true, allErrors: true, strictTypes: false }).compile(
    JSON.parse(SCHEMA_FILES['evencast-report-1.schema.json']!) as object,
  );

  test.each(DIE_KINDS)('%s is valid by both validators', (kind) => {
    const json = JSON.parse(text(recordBytes(made(kind)))) as unknown;
    expect(validate(json), JSON.stringify(validate.errors)).toBe(true);
    expect(readRecord(json)).toMatchObject({ ok: true });
  });

  test('both refuse the same spoilt records', () => {
    const spoil: ((r: Record<string, never>) => unknown)[] = [
      (r) => ({ ...r, format: 'evencast-report/2' }),
      (r) => ({ ...r, number: 'EV-1' }),
      (r) => ({ ...r, extra: 1 }),
      (r) => ({ ...r, data: { ...(r['data'] as object), photos: [{ photo: 'a', sha256: 'zz', bytes: 1 }] } }),
      (r) => ({ ...r, data: { ...(r['data'] as object), rule: { kind: 'shared', probability: 0.2 } } }),
      (r) => ({ ...r, data: { ...(r['data'] as object), about: {} } }),
      (r) => ({ ...r, data: { ...(r['data'] as object), result: { ...(r['data']['result'] as object), axes: [] } } }),
      (r) => ({ ...r, signature: { kind: 'none', publicKey: '', value: '' } }),
      () => null,
      () => [],
    ];
    for (const change of spoil) {
      const json = change(JSON.parse(text(recordBytes(made('d6')))) as Record<string, never>);
      expect(validate(json), change.toString()).toBe(false);
      expect(readRecord(json).ok, change.toString()).toBe(false);
    }
  });

  test('same input, same bytes; the seconds it took do not count', () => {
    const [a, b] = [madeResult('d8'), { ...madeResult('d8'), timing: { decode: 9 } }];
    expect(recordBytes(made('d8', { result: a }))).toEqual(recordBytes(made('d8', { result: b })));
  });
});

describe('PDF', () => {
  test.each(READERS.flatMap((r) => (['a4', 'letter'] as const).map((p) => [r, p] as const)))(
    'for %s on %s: as many pages as promised, fonts embedded, each number found, the data attached',
    async (reader, paper) => {
      const record = made('d20');
      const pdf = await pdfReport(record, reader, paper, fonts);
      if (paper === 'a4') expect(pdf).toEqual(await pdfReport(record, reader, paper, fonts));
      const opened = openReport(pdf);
      expect(opened.ok && [opened.value.reader, opened.value.paper]).toEqual([reader, paper]);
      expect(opened.ok && text(opened.value.json)).toBe(text(recordBytes(record)));
      const raw = Buffer.from(pdf).toString('latin1');
      expect(raw).toContain('/AFRelationship /Data');
      expect(raw).toMatch(/pdfaid:part>3<[^]*pdfaid:conformance>A</);
      expect(raw).toContain('/S /H1');
      const pages = raw.match(/\/Type \/Page\n/g)!.length;
      if (reader !== 'lab') expect(pages).toBe(reader === 'buyer' ? 1 : 2);
      if (!has('pdftotext')) return;
      const words = told('pdftotext', pdf, '-layout', 'FILE', '-').replace(/\s+/g, ' ');
      expect(words).toContain(`Page ${pages} of ${pages}`);
      const { meanAxis, axes } = record.data.result;
      expect(words).toContain(record.number);
      expect(words).toContain(meanAxis.value.toFixed(3));
      if (reader === 'lab') for (const a of axes) expect(words).toContain(a.length.toFixed(4));
      if (reader === 'lab') expect(words).toContain(record.digest.data);
      for (const line of told('pdffonts', pdf, 'FILE').trim().split('\n').slice(2)) expect(line).toMatch(/yes yes yes/);
      const out = join(folder, 'out.json');
      told('pdfdetach', pdf, '-save', '1', '-o', out, 'FILE');
      expect(readFileSync(out, 'utf8')).toBe(text(recordBytes(record)));
    },
  );

  test('the longest that anybody may type leaves buyer and seller their pages', async () => {
    const long = 'Wide Words of Whom '.repeat(100);
    const about = Object.fromEntries(
      ['die', 'maker', 'measuredBy', 'place', 'conditions', 'ruler', 'note'].map((k) => [k, long]),
    );
    const named = { ...MADE_LIMITS, name: typed(long, TYPED.line), source: typed(long, TYPED.line) };
    const photos = Array.from({ length: 10 }, (_, i) => `${i}.jpg`);
    const record = made('d20', { about, tolerance: named, result: madeResult('d20', photos) });
    for (const [reader, pages] of [
      ['buyer', 1],
      ['seller', 2],
    ] as const)
      expect(
        Buffer.from(await pdfReport(record, reader, 'letter', fonts))
          .toString('latin1')
          .match(/\/Type \/Page\n/g),
      ).toHaveLength(pages);
  });

  test.each(DIE_KINDS)(
    '%s: its picture has colours that print, a hollow ring, and names of axes inside its frame',
    (kind) => {
      const [width, height] = [240, 190];
      const { marks } = dieFigure(made(kind).data.result, null, width, height);
      for (const m of marks) {
        if (m.kind === 'path')
          for (const colour of [m.fill, m.stroke]) expect(colour ?? '#000000').toMatch(/^#[0-9a-f]{6}$/);
        else if (m.kind === 'text') {
          expect(m.y).toBeLessThan(height);
          expect(m.y - 0.7 * m.size).toBeGreaterThan(0);
          expect(m.x).toBeGreaterThan(0);
          expect(m.x).toBeLessThan(width);
        }
      }
      const rings = marks.filter((m) => m.kind === 'path' && m.d.includes('C') && m.fill === null);
      expect(rings.length).toBeLessThanOrEqual(1);
    },
  );

  test('words read from the right stand from the right', () => {
    const letters = new Letters(fonts);
    const order = (t: string): string =>
      visualOrder(letters.lines(t, false, Infinity)[0]!)
        .map((w) => w.stretches[0]!.shown)
        .join(' ');
    const [a, b] = ['\u05d0\u05d0', '\u05d1\u05d1'];
    expect(order('one two')).toBe('one two');
    expect(order(`one ${a} ${b} two`)).toBe(`one ${b} ${a} two`);
    expect(order(`${a} 20 dice ${b}`)).toBe(`${b} 20 dice ${a}`);
  });

  test('the bytes are those that the browser makes as well', async () => {
    expect(sha256Hex(await pdfReport(MADE_RECORD, 'seller', 'a4', fonts))).toBe(MADE_PDF);
  });

  test.each(DIE_KINDS)('%s: no page is empty, nothing stands outside it', async (kind) => {
    for (const reader of kind === 'd6' ? READERS : (['lab'] as const)) {
      const pdf = await pdfReport(made(kind), reader, 'letter', fonts);
      if (!has('pdftotext')) continue;
      for (const page of told('pdftotext', pdf, 'FILE', '-').split('\f').slice(0, -1)) {
        expect(page.trim().split(/\s+/).length).toBeGreaterThan(30);
        // The notice at the end does not stand alone.
        expect(page).not.toMatch(/^\s*Not for gaming/);
      }
      // Boxes of words, in points.
      for (const [, x0, y0, x1, y1, word] of told('pdftotext', pdf, '-bbox', 'FILE', '-').matchAll(
        /<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)/g,
      )) {
        expect(Number(x0), word).toBeGreaterThan(40);
        expect(Number(y0), word).toBeGreaterThan(30);
        expect(Number(x1), word).toBeLessThan(612 - 40);
        expect(Number(y1), word).toBeLessThan(792 - 20);
      }
    }
  });
});

describe('hostile text passes through every form as text', () => {
  const records = new Map<string, ReportRecord>();
  /** The record with such a text in all places, made once. */
  const hostile = (about: string): ReportRecord => {
    let record = records.get(about);
    if (record === undefined) records.set(about, (record = recordOf(about)));
    return record;
  };
  const recordOf = (about: string): ReportRecord => {
    const all = {
      die: about,
      maker: about,
      measuredBy: about,
      place: about,
      conditions: about,
      ruler: about,
      note: about,
    };
    return made('d6', {
      about: { ...all, reportedOn: '2026-01-03' },
      result: madeResult('d6', [about, `b${about}`]),
      photos: [{ photo: about, data: new Uint8Array(0) }],
      tolerance: { ...LIMITS, name: typed(about, TYPED.line), source: typed(about, TYPED.line) },
    });
  };
  const tags = (html: string): number => html.match(/<[a-z/!]/gi)!.length;
  const harmless = READERS.map((r) => tags(text(htmlReport(hostile('harmless'), r))));

  test('there are at least 30', () => expect(HOSTILE.length).toBeGreaterThanOrEqual(30));

  test.each(HOSTILE.map((t, i) => [i, t] as const))('%i', (_, given) => {
    const record = hostile(given);
    const kept = typed(given, TYPED.line);
    const back = JSON.parse(text(recordBytes(record))) as ReportRecord;
    expect(readRecord(back)).toMatchObject({ ok: true });
    expect(back.data.about.die).toBe(kept);
    if ([...given].length <= TYPED.line && !/[\ud800-\udfff](?![\udc00-\udfff])/u.test(given))
      expect(back.data.about.die).toBe(given);
    // A photo's name is never a path.
    expect(back.data.photos[0]!.photo).not.toMatch(/[\\/]/);
    READERS.forEach((reader, i) => {
      const html = text(htmlReport(record, reader));
      expect(tags(html)).toBe(harmless[i]);
      // eslint-disable-next-line no-control-regex
      expect(html).not.toMatch(/[\u0000-\u0008\u000e-\u001f\u202a-\u202e\u2066-\u2069\u200b\ufeff]/);
      const shown = visible(kept)
        .replaceAll('&', '&amp;')
        .replaceAll('<', '&lt;')
        .replaceAll('>', '&gt;')
        .replaceAll('"', '&quot;')
        .replaceAll("'", '&#39;');
      expect(html).toContain(shown);
    });
    for (const row of parsedCsv(text(csvReport(record))))
      for (const cell of row)
        if (!/^-?[\d.]+(e-?\d+)?$/.test(cell))
          expect(cell).not.toMatch(/^[\s\u3000]*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]/);
    const cells = parsedCsv(text(csvReport(record))).filter((r) => r[0] === 'about' && r[1] === 'die');
    expect(cells[0]?.at(-1)?.replace(/^'/, '')).toBe(visible(kept).replace(/^'/, ''));
  });

  test('in a PDF they stay on the page, and the data attached are untouched', async () => {
    for (const [i, given] of HOSTILE.entries()) {
      if (i % 4 !== 0) continue;
      const record = hostile(given);
      const pdf = await pdfReport(record, 'buyer', 'a4', fonts);
      const opened = openReport(pdf);
      expect(opened.ok && opened.value.record.data.about.die, given.slice(0, 40)).toBe(typed(given, TYPED.line));
    }
  });

  test('one PDF with all of them: pages whole, text found', async () => {
    const short = HOSTILE.filter((t) => t.length < 200);
    const record = made('d6', {
      result: madeResult('d6', short),
      about: { note: short.join(' | '), reportedOn: '2026-01-03' },
    });
    const pdf = await pdfReport(record, 'lab', 'a4', fonts);
    expect(openReport(pdf).ok).toBe(true);
    if (!has('pdftotext')) return;
    const words = told('pdftotext', pdf, 'FILE', '-').replace(/\s+/g, '');
    for (const part of ['<script>alert(1)</script>', '=1+1', 'U+202E', '\u05d9\u05d4', '\u{1f3b2}', '\u4e2d'])
      expect(words, part).toContain(part);
  });

  test('in a picture text is outlines: nothing of it is left to interpret', async () => {
    const letters = new Letters(fonts);
    for (const given of HOSTILE.filter((_, i) => i % 3 === 0)) {
      const svg = shopSvg(hostile(given), letters);
      expect(svg.match(/<[a-z]+/g)!.every((t) => ['<svg', '<path'].includes(t))).toBe(true);
      expect(svg).not.toMatch(/<text|NaN|undefined/);
    }
    const png = await sharp(Buffer.from(shopSvg(hostile(HOSTILE[0]!), letters)), { density: 144 })
      .png()
      .toBuffer();
    expect(await sharp(png).metadata()).toMatchObject({ width: 1200, height: 800 });
  });
});

/** RFC 4180. */
function parsedCsv(csv: string): string[][] {
  const rows: string[][] = [[]];
  let cell = '';
  let quoted = false;
  const body = csv.replace(/^\ufeff/, '');
  for (let i = 0; i < body.length; i++) {
    const c = body[i]!;
    if (quoted && c === '"' && body[i + 1] === '"') [cell, i] = [`${cell}"`, i + 1];
    else if (c === '"') quoted = !quoted;
    else if (!quoted && c === ',') {
      rows.at(-1)!.push(cell);
      cell = '';
    } else if (!quoted && c === '\r' && body[i + 1] === '\n') {
      rows.at(-1)!.push(cell);
      cell = '';
      rows.push([]);
      i++;
    } else cell += c;
  }
  return rows.slice(0, -1);
}
