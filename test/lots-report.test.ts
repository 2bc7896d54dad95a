import { describe, expect, test } from 'vitest';
import { reportFonts } from '../src/cli/report-fonts.ts';
import { acceptanceOf } from '../src/lots/acceptance.ts';
import { analyseLot } from '../src/lots/analysis.ts';
import { demoLot } from '../src/lots/demo-lot.ts';
import type { Lot } from '../src/lots/lot.ts';
import { lotText, readLot } from '../src/lots/read-lot.ts';
import { checkLotReport } from '../src/report/check/check-lot.ts';
import type { LotReportInput } from '../src/report/lot/lot-content.ts';
import { lotCsv, lotHtml, lotNumber, lotPdf } from '../src/report/lot/lot-files.ts';

const input = (lot: Lot): LotReportInput => {
  const analysis = analyseLot(lot);
  const sampling = acceptanceOf({ lotSize: 1200, aql: 2.5, level: 'I' }, analysis.conformity);
  if (!sampling.ok) throw new Error(sampling.error.code);
  return { whole: lot, lot, analysis, sampling: sampling.value, reportedOn: '2026-01-31', number: lotNumber(lot) };
};
const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString('utf8');

describe('report of a lot', () => {
  const demo = input(demoLot());
  test('is checked: it agrees as written, in either form, and not with one digit changed or without its data', async () => {
    const fonts = await reportFonts();
    const html = lotHtml(demo);
    expect(await checkLotReport(html, fonts)).toMatchObject({ number: demo.number, agrees: true });
    const pdf = await lotPdf(demo, 'letter', fonts);
    expect(await checkLotReport(pdf, fonts)).toMatchObject({ number: demo.number, agrees: true });
    const out = demo.lot.dice.slice(0, -2);
    const fewer = { ...demo, lot: { ...demo.lot, dice: out }, sampling: null };
    const left = lotHtml({ ...fewer, analysis: analyseLot(fewer.lot) });
    expect(await checkLotReport(left, fonts)).toMatchObject({ agrees: true });
    const forged = new TextEncoder().encode(text(html).replace('accept with 2 outside', 'accept with 9 outside'));
    expect(await checkLotReport(forged, fonts)).toMatchObject({ agrees: false });
    const bare = new TextEncoder().encode(text(html).replace(/base64,[^"]+/, 'base64,'));
    expect(await checkLotReport(bare, fonts)).toMatchObject({ agrees: false });
    expect(await checkLotReport(new TextEncoder().encode('<!doctype html>'), fonts)).toBeNull();
  });
  test('HTML: verdict, findings, numbers; the lot file inside is the lot', () => {
    const html = text(lotHtml(demo));
    expect(html).toContain('<strong><bdi>Accept</bdi></strong>');
    expect(html).toContain(
      'of 1200 dice inspect 32 (code letter G), accept with 2 outside or fewer, reject with 3 or more.',
    );
    expect(html).toContain('H-27 lies apart by its axis 4-17');
    // Mean axis of the lot as analysed.
    expect(html).toContain(`<td class="n"><bdi>${demo.analysis.summaries[0]!.mean.value.toFixed(4)}</bdi></td>`);
    const data = /href="data:application\/json;base64,([^"]+)"/.exec(html)![1]!;
    const inside = Buffer.from(data, 'base64').toString('utf8');
    expect(inside).toBe(lotText(demo.lot));
    expect(readLot(JSON.parse(inside))).toEqual({ ok: true, value: demo.lot });
  });

  test('the number is that of the lot file: another lot, another number', () => {
    expect(demo.number).toMatch(/^[0-9A-F]{10}$/);
    expect(lotNumber(demoLot())).toBe(demo.number);
    expect(lotNumber(demoLot(21))).not.toBe(demo.number);
  });

  test('CSV: a line per die with all lengths, then the quantities', () => {
    const lines = text(lotCsv(demo.lot, demo.analysis)).replace('\ufeff', '').split('\r\n');
    expect(lines[0]).toMatch(/^die,cavity,time h,card,verdict,because,meanAxis mm,u of meanAxis mm,/);
    expect(lines[1]!.split(',').slice(0, 3)).toEqual(['H-01', '1', '2']);
    expect(lines[0]!.split(',')).toHaveLength(6 + 2 * (3 + 10 + 12 + 20));
    expect(lines[1]!.split(',')).toHaveLength(6 + 2 * (3 + 10 + 12 + 20));
    expect(lines).toHaveLength(1 + 40 + 1 + 1 + 45 + 1);
  });

  test('PDF: tagged, with the lot file attached, the same bytes again', async () => {
    const fonts = await reportFonts();
    const [one, again] = [await lotPdf(demo, 'a4', fonts), await lotPdf(demo, 'a4', fonts)];
    expect(Buffer.compare(one, again)).toBe(0);
    const raw = Buffer.from(one).toString('latin1');
    expect(raw).toContain('/StructTreeRoot');
    expect(raw).toContain('evencast-lot.json');
  });

  test('what was left out is named, and stands in the lot file', () => {
    const judged = { ...demo.lot, dice: demo.lot.dice.filter((d) => d.label !== 'H-27') };
    const html = text(lotHtml({ ...input(judged), whole: demo.lot, number: demo.number }));
    expect(html).toContain('<dt><bdi>Left out by hand</bdi></dt><dd><bdi>H-27</bdi></dd>');
    expect(html).not.toContain('lies apart');
    expect(html).toContain(Buffer.from(lotText(demo.lot)).toString('base64'));
  });

  test('an empty lot and a single die make a report, too', () => {
    for (const n of [0, 1]) {
      const lot = { ...demo.lot, dice: demo.lot.dice.slice(0, n) };
      expect(text(lotHtml(input(lot)))).toContain('Lot report');
      expect(text(lotHtml(input(lot)))).not.toContain('NaN');
    }
  });
});

describe('hostile text', () => {
  const evil = '<img src=x onerror=alert(1)>"\u202e';
  const base = demoLot();
  const lot: Lot = {
    ...base,
    name: evil,
    note: '</main><script>alert(1)</script>',
    timeUnit: '<b>',
    dice: base.dice.map((d, i) =>
      i === 0 ? { ...d, label: '=HYPERLINK("http://x")' } : i === 1 ? { ...d, label: evil } : d,
    ),
  };
  test('stands as text in the HTML', () => {
    const html = text(lotHtml(input(lot)));
    expect(html).not.toMatch(/<img|<script|<b>/);
    expect(html).not.toContain('\u202e');
    expect(html).toContain('&lt;script&gt;');
  });
  test('is no formula in the CSV', () => {
    const csv = text(lotCsv(lot, analyseLot(lot)));
    expect(csv).toContain(`"'=HYPERLINK(""http://x"")"`);
    expect(csv).not.toMatch(/\n=/);
  });
});
