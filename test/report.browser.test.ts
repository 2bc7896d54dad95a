import { expect, test } from 'vitest';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { openReport } from '../src/report/check/open-report.ts';
import { visible, typed, TYPED } from '../src/report/record/plain-text.ts';
import { reportRecord, type PhotoDigest, type ReportInput } from '../src/report/record/record.ts';
import { sha256Hex } from '../src/report/record/sha256.ts';
import { CLASSES, NO_LIMITS } from '../src/judging/tolerance.ts';
import { VERSION } from '../src/report/record/version.ts';
import { reportClient } from '../src/ui/report/report-client.ts';
import { pngOf } from '../src/ui/report/shop-png.ts';
import { HOSTILE } from './support/hostile-texts.ts';
import { madeResult } from './support/made-result.ts';
import { MADE_INPUT, MADE_PDF, MADE_RECORD } from './support/report-digest.ts';

const input = (more: Partial<ReportInput>): ReportInput => ({
  about: { reportedOn: '2026-01-03' },
  result: madeResult('d6'),
  job: null,
  photos: [],
  tolerance: NO_LIMITS,
  rule: { kind: 'guard' },
  version: VERSION,
  ...more,
});

/** The value of a call; its failure is a bug. */
function value<T>(r: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly error: unknown }): T {
  if (!r.ok) throw new Error(JSON.stringify(r.error));
  return r.value;
}

test('the worker makes the very bytes that Node makes, opens them again and sees a change', async () => {
  const client = reportClient();
  try {
    const record = value(await client.call((api) => api.record(MADE_INPUT)));
    const fixed = value(await client.call((api) => api.form(MADE_RECORD, 'pdf', 'seller', 'a4', 'en')));
    expect(sha256Hex(fixed)).toBe(MADE_PDF);
    const pdf = value(await client.call((api) => api.form(record, 'pdf', 'seller', 'a4', 'en')));
    const photo = value(await client.call((api) => api.digest('01.jpg', new Uint8Array([1, 2, 3]).buffer)));
    expect(photo).toEqual(record.data.photos[0]);
    const opened = value(value(await client.call((api) => api.check(pdf, [photo]))));
    expect(opened.record).toEqual(record);
    expect(opened.checks.map((c) => c.agrees)).toEqual([true, true, true, null, true]);
    const html = value(await client.call((api) => api.form(record, 'html', 'lab', 'a4', 'en')));
    const changed = html.slice();
    changed[new TextDecoder('latin1').decode(html).indexOf('Mean axis')]! ^= 1;
    const other: readonly PhotoDigest[] = [{ ...photo, sha256: '0'.repeat(64) }];
    const seen = value(value(await client.call((api) => api.check(changed, other))));
    expect(seen.checks.map((c) => c.agrees)).toEqual([true, true, false, null, false]);
    const fault = value(await client.call((api) => api.check(new Uint8Array([1, 2, 3]), null)));
    expect(fault).toEqual({ ok: false, error: { code: 'no-report' } });
  } finally {
    client.dispose();
  }
});

test('a key made here signs, and the signature is valid when opened', async () => {
  const client = reportClient();
  try {
    const record = value(await client.call((api) => api.record(input({}))));
    const key = value(value(await client.call((api) => api.newKey())));
    const signed = value(value(await client.call((api) => api.sign(record, key))));
    const html = value(await client.call((api) => api.form(signed, 'html', 'buyer', 'a4', 'en')));
    const opened = value(value(await client.call((api) => api.check(html, null))));
    expect(opened.checks.find((c) => c.kind === 'signature')).toMatchObject({ agrees: true, code: 'signed' });
  } finally {
    client.dispose();
  }
});

test('hostile text is text in the document that the browser makes of an HTML report', () => {
  for (const given of HOSTILE) {
    const about = { die: given, measuredBy: given, maker: given, note: given, reportedOn: '2026-01-03' };
    const record = reportRecord(
      input({ about, result: madeResult('d6', [given, 'b.jpg']), tolerance: CLASSES.moulded }),
    );
    const html = new TextDecoder().decode(htmlReport(record, 'lab'));
    const page = new DOMParser().parseFromString(html, 'text/html');
    expect(page.querySelectorAll('script, img, iframe, object, embed, form, base, [onload], [onerror]')).toHaveLength(
      0,
    );
    expect(page.querySelectorAll('a')).toHaveLength(1);
    expect(page.querySelectorAll('h1')).toHaveLength(1);
    const kept = visible(typed(given, TYPED.line));
    expect([...page.querySelectorAll('bdi')].some((e) => e.textContent === kept)).toBe(true);
    const link = page.querySelector('a')!;
    const opened = openReport(new TextEncoder().encode(html));
    expect(opened.ok && atob(link.href.split(',')[1]!)).toBe(
      opened.ok && Array.from(opened.value.json, (b) => String.fromCharCode(b)).join(''),
    );
  }
});

test('the picture for a shop comes out in full size, with ink on it', async () => {
  const client = reportClient();
  try {
    const record = value(await client.call((api) => api.record(input({}))));
    const svg = value(await client.call((api) => api.form(record, 'svg', 'buyer', 'a4', 'en')));
    const bitmap = await createImageBitmap(await pngOf(svg));
    expect([bitmap.width, bitmap.height]).toEqual([1200, 800]);
    const canvas = new OffscreenCanvas(1200, 800);
    const context = canvas.getContext('2d')!;
    context.drawImage(bitmap, 0, 0);
    const { data } = context.getImageData(0, 0, 1200, 800);
    let dark = 0;
    for (let i = 0; i < data.length; i += 4) if (data[i]! < 100) dark++;
    // Letters and lines cover some per cent of it.
    expect(dark / (1200 * 800)).toBeGreaterThan(0.02);
    expect(dark / (1200 * 800)).toBeLessThan(0.3);
  } finally {
    client.dispose();
  }
});
