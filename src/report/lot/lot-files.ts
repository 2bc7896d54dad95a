import type { LotAnalysis } from '../../lots/analysis.ts';
import type { Lot } from '../../lots/lot.ts';
import { shortened } from '../../lots/analysis-record.ts';
import { lotText } from '../../lots/read-lot.ts';
import { base64 } from '../../formats/base64.ts';
import { utf8 } from '../record/bytes.ts';
import { PAPERS, type Paper } from '../forms/card-pdf.ts';
import { textCell } from '../forms/csv-report.ts';
import { INK } from '../../figures/drawing.ts';
import { blockHtml, STYLE } from '../forms/html-report.ts';
import { Letters, type FontFiles } from '../forms/letters.ts';
import { PdfCanvas } from '../forms/pdf-canvas.ts';
import { Flow, MARGIN } from '../forms/pdf-flow.ts';
import { sha256Hex } from '../record/sha256.ts';
import { escaped } from '../../figures/svg.ts';
import { LOCALES } from '../../text/language.ts';
import { LOT_REPORT_WORDS } from './lot-report-words.ts';
import { lotContent, type LotReportInput } from './lot-content.ts';

export const LOT_ATTACHMENT = 'evencast-lot.json';
const POINTS_PER_MM = 72 / 25.4;

/** What the report is called: the first ten digits of the lot file's SHA-256. The file attached gives it again. */
export const lotNumber = (lot: Lot): string =>
  sha256Hex(utf8(lotText(lot)))
    .slice(0, 10)
    .toUpperCase();

/** What a report of a lot states of itself, so that it can be written again from its lot file: date, sampling plan, dice left out by their place, language where it is not English. */
export function statedLot(
  { whole, lot, sampling, reportedOn, language = 'en' }: LotReportInput,
  form: 'html' | Paper,
): string {
  const kept = new Set(lot.dice.map((d) => d.label));
  const out = whole.dice.flatMap((d, i) => (kept.has(d.label) ? [] : [i]));
  const plan = sampling ? `${sampling.choice.lotSize}/${sampling.choice.aql}/${sampling.choice.level}` : 'none';
  return `evencast-lot-report/1 for ${form}, ${reportedOn}, plan ${plan}, without ${out.join('+') || 'none'}${language === 'en' ? '' : `, in ${language}`}`;
}

/** A lot's report as one HTML file: no script, nothing fetched, the lot file in a link that saves it. Same input, same bytes. */
export function lotHtml(input: LotReportInput): Uint8Array {
  const { language = 'en' } = input;
  const content = lotContent(input);
  const data = `data:application/json;base64,${base64(utf8(lotText(input.whole)))}`;
  return utf8(
    [
      '<!doctype html>',
      `<html lang="${LOCALES[language]}">`,
      '<head>',
      '<meta charset="utf-8">',
      `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">`,
      '<meta name="viewport" content="width=device-width, initial-scale=1">',
      '<meta name="referrer" content="no-referrer">',
      `<meta name="generator" content="${escaped(statedLot(input, 'html'))}">`,
      `<title>${escaped(content.title)}</title>`,
      `<style>${STYLE}</style>`,
      '</head>',
      '<body>',
      '<main>',
      ...content.blocks.map(blockHtml),
      '</main>',
      `<footer>${escaped(content.foot)} \u00b7 <a download="${LOT_ATTACHMENT}" href="${data}">${LOT_REPORT_WORDS[language].save}</a></footer>`,
      '</body>',
      '</html>',
      '',
    ].join('\n'),
  );
}

/** A lot's report as PDF/A-3a with the lot file attached. Same input, same bytes. */
export async function lotPdf(input: LotReportInput, paper: Paper, fonts: FontFiles): Promise<Uint8Array> {
  const { language = 'en' } = input;
  const words = LOT_REPORT_WORDS[language];
  const content = lotContent(input);
  const letters = new Letters(fonts);
  const size = [PAPERS[paper].width * POINTS_PER_MM, PAPERS[paper].height * POINTS_PER_MM] as const;
  const canvas = new PdfCanvas(
    { title: content.title, subject: statedLot(input, paper), size, date: input.reportedOn, language },
    letters,
  );
  new Flow(canvas, letters, size, 1).place(content.blocks);
  const line = (t: string): ReturnType<Letters['lines']>[number] => letters.lines(t, false, Infinity)[0]!;
  const y = size[1] - MARGIN.bottom + 20;
  for (let page = 0; page < canvas.pages; page++) {
    canvas.onPage(page);
    canvas.artifact(() => {
      const count = words.page(page + 1, canvas.pages);
      canvas.path(`M${MARGIN.side} ${y - 10}L${size[0] - MARGIN.side} ${y - 10}`, INK.grey, 0.4, [], null);
      canvas.line(line(content.foot), MARGIN.side, y, 7, false, INK.grey);
      canvas.line(line(count), size[0] - MARGIN.side - 7 * letters.width(count, false), y, 7, false, INK.grey);
    }, 'Pagination');
  }
  canvas.attach({
    name: LOT_ATTACHMENT,
    description: words.attached,
    mime: 'application/json',
    bytes: utf8(lotText(input.whole)),
  });
  return await canvas.bytes();
}

type Row = readonly (string | number | null)[];

/**
 * A lot as CSV (RFC 4180, UTF-8 with its mark): a line per die, columns by length; then a line per quantity of the lot. Numbers have a
 * decimal point and ten digits.
 */
export function lotCsv(lot: Lot, { summaries, conformity }: LotAnalysis): Uint8Array {
  const rows = [...dieRows(lot, conformity), [], QUANTITIES.map(([head]) => head), ...summaries.map(quantityRow)];
  const cell = (c: string | number | null): string =>
    c === null ? '' : typeof c === 'number' ? String(shortened(c)) : textCell(c);
  return utf8(`\ufeff${rows.map((r) => r.map(cell).join(',')).join('\r\n')}\r\n`);
}

/** The head of the dice's columns, and a row each. */
function dieRows(lot: Lot, conformity: LotAnalysis['conformity']): Row[] {
  const columns = lengthColumns(lot.dice[0]);
  const lengths = columns.flatMap((c) => [c.name, `u of ${c.name}`]);
  return [
    ['die', 'cavity', `time ${lot.timeUnit}`, 'card', 'verdict', 'because', ...lengths],
    ...lot.dice.map((d, i): Row => {
      const v = conformity?.dice[i];
      const values = columns.flatMap((c) => [c.of(d).value, c.of(d).u]);
      return [d.label, d.cavity, d.time, d.card, v?.verdict ?? null, v?.because.join('; ') ?? null, ...values];
    }),
  ];
}

type Die = Lot['dice'][number];

/** Lengths of a die of the lot, all of which have the first one's names, mm. */
function lengthColumns(
  first: Die | undefined,
): readonly { readonly name: string; readonly of: (d: Die) => Die['meanAxis'] }[] {
  if (first === undefined) return [];
  const means = (['meanAxis', 'rangeOfAxes', 'meanCornerRadius'] as const).map((k) => ({
    name: `${k} mm`,
    of: (d: Die) => d[k],
  }));
  const parts = (
    [
      ['axes', 'axis'],
      ['corners', 'corner'],
      ['faces', 'face'],
    ] as const
  ).flatMap(([family, one]) =>
    first[family].map(({ name }, i) => ({ name: `${one} ${name} mm`, of: (d: Die) => d[family][i]! })),
  );
  return [...means, ...parts];
}

/** What is told of a quantity of the lot, by its column. */
const QUANTITIES: readonly (readonly [head: string, of: (s: LotAnalysis['summaries'][number]) => Row[number]])[] = [
  ['quantity', (s) => s.key],
  ['mean mm', (s) => s.mean.value],
  ['low mm', (s) => s.mean.low],
  ['high mm', (s) => s.mean.high],
  ['s mm', (s) => s.spread?.value ?? null],
  ['s without measurement mm', (s) => s.spreadWithout],
  ['tau', (s) => s.trend?.tau ?? null],
  ['p over all', (s) => s.trend?.pAll ?? null],
  ['Ppk', (s) => s.capability?.ppk.value ?? null],
  ['Ppk low', (s) => s.capability?.ppk.low ?? null],
  ['Ppk high', (s) => s.capability?.ppk.high ?? null],
];

const quantityRow = (s: LotAnalysis['summaries'][number]): Row => QUANTITIES.map(([, of]) => of(s));
