import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { reportFonts } from '../src/cli/report-fonts.ts';
import { FIGURE_WORDS } from '../src/figures/figure-words.ts';
import { DIE_KINDS, type DieKind } from '../src/geometry/solid.ts';
import { CLASSES, NO_LIMITS } from '../src/judging/tolerance.ts';
import { checkReport } from '../src/report/check/check-report.ts';
import { openReport } from '../src/report/check/open-report.ts';
import { READERS, type Block, type Figure } from '../src/report/content/blocks.ts';
import { reportContent } from '../src/report/content/content.ts';
import { NUMBERS } from '../src/report/content/numbers.ts';
import { remedyText } from '../src/report/content/sections/verdict.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { Letters, type FontFiles } from '../src/report/forms/letters.ts';
import { pdfReport } from '../src/report/forms/pdf-report.ts';
import { shopDrawing } from '../src/report/forms/shop-picture.ts';
import { formStated, statedForm } from '../src/report/forms/stated.ts';
import { checkLotReport } from '../src/report/check/check-lot.ts';
import { lotContent } from '../src/report/lot/lot-content.ts';
import { lotHtml, lotNumber } from '../src/report/lot/lot-files.ts';
import { LOT_REPORT_WORDS } from '../src/report/lot/lot-report-words.ts';
import { reportRecord, type ReportInput, type ReportRecord } from '../src/report/record/record.ts';
import type { Drawing } from '../src/figures/drawing.ts';
import type { Language } from '../src/text/language.ts';
import type { Note } from '../src/formats/notes.ts';
import { remarkOf } from '../src/text/notes.ts';
import { acceptanceOf } from '../src/lots/acceptance.ts';
import { analyseLot } from '../src/lots/analysis.ts';
import { demoLot } from '../src/lots/demo-lot.ts';
import { madeResult } from './support/made-result.ts';
import { MADE_INPUT, MADE_LIMITS, MADE_RECORD } from './support/report-digest.ts';

let fonts: FontFiles;
beforeAll(async () => void (fonts = await reportFonts()));

/** Words that both languages write alike, names, and what stands in files' names. */
const ALIKE = new Set(
  'evencast report check json html radius budden jpg simple evencast-report pixel pixeln standard kalibriert format fieller rosner grubbs mann kendall welch kruskal wallis holm western electric bissell satterthwaite kendalls form jcgm material chance plan band test tests extreme regression ring bytes result stand'.split(
    ' ',
  ),
);
const wordsOf = (text: string): string[] =>
  text
    .toLowerCase()
    .replace(/\b[0-9a-f]{16,}\b/g, '')
    .match(/[a-zäöüß]{4,}/g) ?? [];

type Leaf = readonly [path: string, value: unknown];
const leaves = (value: unknown, path = ''): Leaf[] =>
  typeof value === 'object' && value !== null
    ? Object.entries(value).flatMap(([key, inner]) => leaves(inner, `${path}.${key}`))
    : [[path, value]];

const drawn = ({ marks }: Drawing): string[] => marks.flatMap((m) => (m.kind === 'text' ? [m.text] : []));
const figureTexts = (f: Figure): string[] => [f.caption, f.about, ...drawn(f.drawing)];

/** Everything that a reader of these pieces reads. */
const textsOf = (blocks: readonly Block[]): string[] =>
  blocks.flatMap((b): readonly string[] => {
    switch (b.kind) {
      case 'heading':
      case 'text':
      case 'caution':
        return [b.text];
      case 'list':
        return b.items;
      case 'verdict':
        return [b.word, b.text];
      case 'facts':
        return b.rows.flatMap((f) => [f.label, f.value]);
      case 'table':
        return [b.caption, ...b.head.map((h) => h.text), ...b.rows.flat()];
      case 'figure':
        return figureTexts(b);
      case 'gallery':
        return [b.caption, ...b.figures.flatMap(figureTexts)];
    }
  });

/** The catalogues of reports: every export of a file of words with `en` and `de`. */
const folder = join(import.meta.dirname, '../src/report/content/words');
const catalogues = [
  ...(await Promise.all(
    readdirSync(folder).map(
      async (file) => (await import(/* @vite-ignore */ join(folder, file))) as Record<string, unknown>,
    ),
  )),
  { FIGURE_WORDS, LOT_REPORT_WORDS },
].flatMap((module) => Object.entries(module) as [string, { en: unknown; de: unknown }][]);

describe.each(catalogues)('%s', (_name, { en, de }) => {
  test('has every word in both languages, none of them empty, and as many words to fill in', () => {
    const [english, german] = [leaves(en), new Map(leaves(de))];
    expect([...german.keys()].sort()).toEqual(english.map(([path]) => path).sort());
    for (const [path, value] of english) {
      const other = german.get(path);
      expect(typeof other, path).toBe(typeof value);
      if (typeof value === 'string') expect(other, path).not.toBe('');
      if (typeof value === 'function') expect((other as (...a: unknown[]) => unknown).length, path).toBe(value.length);
    }
  });
});

/** English sentences of the catalogues, told from words that are the same in German by their length. */
const SENTENCES = catalogues.flatMap(([, { en }]) =>
  leaves(en).flatMap(([, value]) =>
    typeof value === 'string' && /[a-z]{3,} .*[a-z]{3,}/i.test(value) ? [value.replace(/^#/, '')] : [],
  ),
);

const about = { ...MADE_INPUT.about, die: '', measuredBy: 'X', maker: 'Y', ruler: 'Z' };
const made = (kind: DieKind, more: Partial<ReportInput> = {}): ReportRecord =>
  reportRecord({ ...MADE_INPUT, about, result: madeResult(kind), ...more });

const result = madeResult('d6');
const BLUR: Note = { code: 'blur', seen: 3.25, needed: 2 };
const axes = [{ axis: '1-6', reading: 16.01, length: 16, u: 0.01 }];
const RECORDS: readonly (readonly [string, ReportRecord])[] = [
  ...DIE_KINDS.map((kind) => [kind, made(kind)] as const),
  ['without limits', made('d6', { tolerance: NO_LIMITS, photos: [] })],
  [
    'of a class, by probability',
    made('d20', { tolerance: CLASSES.strictest, rule: { kind: 'shared', probability: 0.95 } }),
  ],
  [
    'undecided',
    made('d6', {
      tolerance: { ...MADE_LIMITS, size: { low: null, high: 16.02 }, chances: { low: 0.999, high: 1.001 } },
    }),
  ],
  [
    'with fixed rolls',
    { ...MADE_RECORD, data: { ...MADE_RECORD.data, about: { ...MADE_RECORD.data.about, die: '', measuredBy: '' } } },
  ],
  ['rolled', made('d6', { rolled: [10, 90, 10, 10, 10, 10] })],
  ['rolled, as predicted', made('d20', { rolled: Array.from({ length: 20 }, () => 4) })],
  [
    'checked against',
    made('d6', { checkedAgainst: [{ instrument: '', U95: 0.004, date: '2026-01-02', readings: axes }] }),
  ],
  ['checked card', made('d6', { result: { ...result, card: { ...result.card, checked: true } } })],
  [
    'remarks',
    made('d6', {
      result: {
        ...result,
        notes: [
          { code: 'numbers-unknown', seen: 3, needed: 5 },
          { code: 'numbers-doubted', seen: 1, needed: 5 },
          { code: 'contrast-raised', seen: 2, needed: 6 },
        ],
        photos: result.photos.map((p) => ({
          ...p,
          status: 'used-with-remark' as const,
          code: 'blur' as const,
          remark: remarkOf(BLUR),
          notes: [BLUR],
        })),
      },
    }),
  ],
  ['no prediction', made('d6', { result: { ...result, faces: result.faces.map((f) => ({ ...f, distance: 1e-3 })) } })],
];

/** A German text holds no word of four letters or more that the English of the same record has, and no English sentence. */
function noEnglish(german: readonly string[], english: readonly string[], own: readonly string[] = []): void {
  const known = new Set(english.flatMap(wordsOf));
  for (const text of own.flatMap(wordsOf)) known.delete(text);
  expect(german.flatMap(wordsOf).filter((word) => known.has(word) && !ALIKE.has(word))).toEqual([]);
  for (const sentence of SENTENCES)
    expect(
      german.filter((text) => text.includes(sentence)),
      sentence,
    ).toEqual([]);
}

describe('no English reaches a German report', () => {
  test.each(RECORDS)('%s', (_what, record) => {
    for (const reader of READERS) {
      const said = (language: Language): string[] => {
        const { title, foot, blocks } = reportContent(record, reader, language);
        return [title, foot, ...textsOf(blocks)];
      };
      const german = said('de');
      noEnglish(german, said('en'), [record.number]);
      expect(german.join('\n')).not.toMatch(/undefined|NaN|null|\d\.\d+ (mm|%|µm)/);
    }
  });

  test('nor the picture for a shop', () => {
    const letters = new Letters(fonts);
    for (const [, record] of RECORDS)
      noEnglish(drawn(shopDrawing(record, letters, 'de')), drawn(shopDrawing(record, letters)), [record.number]);
  });

  test('nor what would decide a limit', () => {
    const remedies = [
      { kind: 'on-limit' },
      { kind: 'bars', U95: 0.02 },
      { kind: 'photos', times: 3, U95: 0.02, bars: true },
      { kind: 'instrument', U95: 0.002 },
      { kind: 'rolls', rolls: 12345 },
      { kind: 'grazing', U95: 0.02 },
    ] as const;
    for (const remedy of remedies) noEnglish([remedyText(remedy, 0.05, 'de')], [remedyText(remedy, 0.05, 'en')]);
  });

  test('nor the report of a lot', () => {
    const lot = { ...demoLot(), name: '', note: '' };
    const analysis = analyseLot(lot);
    const plan = acceptanceOf({ lotSize: 500, aql: 1, level: 'II' }, analysis.conformity);
    const said = (language: Language): string[] => {
      const input = {
        whole: lot,
        lot,
        analysis,
        sampling: plan.ok ? plan.value : null,
        reportedOn: '2026-01-03',
        number: '0',
      };
      const { title, foot, blocks } = lotContent({ ...input, language });
      return [title, foot, ...textsOf(blocks)];
    };
    noEnglish(
      said('de'),
      said('en'),
      lot.dice.map((d) => d.label),
    );
    expect(said('de').join('\n')).not.toMatch(/undefined|NaN|null|\d\.\d+ (mm|%|µm)/);
    expect(said('de')).toContain('03.01.2026');
  });
});

// The sentences of fixed rolls were put in by hand.
test.each(RECORDS.filter(([what]) => what !== 'with fixed rolls'))(
  '%s: both languages tell the same numbers',
  (_what, record) => {
    const numbers = (language: Language): string[] =>
      textsOf(reportContent(record, 'lab', language).blocks)
        .join(' ')
        .replace(/\d{4}-\d\d-\d\d|\d\d\.\d\d\.\d{4}|RFC \d+|ISO\S*|IEC \S+|JCGM \d+:?\d*/g, ' ')
        .replace(/(\d),(\d)/g, '$1.$2')
        .replace(/[\u2212-](?=\d)/g, '-')
        .match(/\d+(?:\.\d+)?/g)!
        .sort();
    const [english, german] = [numbers('en'), numbers('de')];
    expect(german).toEqual(english);
  },
);

test('dates and decimal marks are those of the language', () => {
  expect(NUMBERS.de.date('2026-01-03')).toBe('03.01.2026');
  expect(NUMBERS.de.date('early in 2026')).toBe('early in 2026');
  expect(NUMBERS.de.plusMinus(15.8371, 0.049)).toBe('15,837\u00a0mm ± 0,098\u00a0mm');
  expect(NUMBERS.en.plusMinus(15.8371, 0.049)).toBe('15.837\u00a0mm ± 0.098\u00a0mm');
  expect([0.9995, 0.0001, 0.5].map((p) => NUMBERS.de.probability(p))).toEqual([
    'über 99,9\u00a0%',
    'unter 0,1\u00a0%',
    '50,0\u00a0%',
  ]);
});

describe('the language stands in what a file says of itself', () => {
  test.each([
    ['evencast-report/1 for buyer', null, 'en'],
    ['evencast-report/1 for buyer, a4', 'a4', 'en'],
    ['evencast-report/1 for buyer, in de', null, 'de'],
    ['evencast-report/1 for buyer, letter, in de', 'letter', 'de'],
    ['evencast-report/1 for buyer, a4, in xx', 'a4', null],
  ] as const)('%s', (text, paper, language) => {
    expect(formStated(text)).toEqual({ reader: 'buyer', paper, language });
    if (language !== null) expect(statedForm('buyer', paper, language)).toBe(text);
  });

  test('it is checked by writing it again, in that language', async () => {
    const means = { fonts, subtle: null, photos: null };
    const page = async (bytes: Uint8Array): Promise<boolean | null | undefined> => {
      const opened = openReport(bytes);
      if (!opened.ok) throw new Error(opened.error.code);
      expect(opened.value.language).toBe('de');
      return (await checkReport(opened.value, bytes, means)).find((c) => c.kind === 'page')?.agrees;
    };
    const pdf = await pdfReport(MADE_RECORD, 'buyer', 'a4', fonts, 'de');
    expect(await page(pdf)).toBe(true);
    const html = htmlReport(MADE_RECORD, 'buyer', [{ photo: '01.jpg', jpeg: new Uint8Array([1, 2, 3]) }], 'de');
    expect(new TextDecoder().decode(html)).toContain('<html lang="de-DE">');
    expect(await page(html)).toBe(true);
    const forged = new TextEncoder().encode(new TextDecoder().decode(html).replace('Bestanden', 'Bestandem'));
    expect(await page(forged)).toBe(false);
  });

  test('that of a lot too', async () => {
    const lot = demoLot();
    const html = lotHtml({
      whole: lot,
      lot,
      analysis: analyseLot(lot),
      sampling: null,
      reportedOn: '2026-01-31',
      number: lotNumber(lot),
      language: 'de',
    });
    expect(new TextDecoder().decode(html)).toContain('Losbericht');
    expect(await checkLotReport(html, fonts)).toMatchObject({ agrees: true });
  });
});
