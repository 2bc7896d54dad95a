import { utf8 } from '../record/bytes.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { visible } from '../record/plain-text.ts';
import type { ReportRecord } from '../record/record.ts';

/** What a spreadsheet takes for the beginning of a formula, blanks before it or not (also in their wide forms). */
const FORMULA = /^[\s\u00a0\u3000]*[=+\-@|%\uff1d\uff0b\uff0d\uff20\u2212\t\r]/;

/** A cell of text: shown as it is, but never a formula; an apostrophe before it keeps a spreadsheet from running it. */
export function textCell(t: string): string {
  const shown = visible(t);
  return quoted(FORMULA.test(shown) ? `'${shown}` : shown);
}

const quoted = (t: string): string => (/[",;\r\n']/.test(t) || t !== t.trim() ? `"${t.replaceAll('"', '""')}"` : t);

type Cell = string | number | null;

/**
 * A report's numbers as CSV (RFC 4180, UTF-8 with its mark): what, name, value, u, U95, unit, and from-to where it is an interval.
 *
 * Numbers have a decimal point and are not rounded.
 */
export function csvReport({ number, digest, data }: ReportRecord): Uint8Array {
  const { result, about, assessment, rolls, photos } = data;
  const rows: Cell[][] = [['what', 'name', 'value', 'u', 'U95', 'low', 'high', 'unit', 'remark']];
  const text = (what: string, name: string, remark: string): void =>
    void rows.push([what, name, null, null, null, null, null, null, remark]);
  const length = (what: string, name: string, value: number, u: number, remark = ''): void =>
    void rows.push([what, name, value, u, COVERAGE_FACTOR * u, null, null, 'mm', remark]);
  text('report', 'number', number);
  text('report', 'sha256 of data', digest.data);
  text('report', 'die', result.die.kind);
  for (const [key, value] of Object.entries(about)) if (value !== '') text('about', key, value as string);
  length('mean axis', '', result.meanAxis.value, result.meanAxis.u);
  length('range of axes', '', result.rangeOfAxes.value, result.rangeOfAxes.u);
  length('mean corner radius', '', result.meanCornerRadius.value, result.meanCornerRadius.u);
  // A spreadsheet would take a bare "1-6" for a day of June.
  for (const a of result.axes) length('axis', `axis ${a.name}`, a.length, a.u);
  for (const c of result.corners) length('corner radius', `corner ${c.name}`, c.radius, c.u);
  for (const e of result.edges) length('edge radius', `edge ${e.name}`, e.radius, e.u);
  for (const f of result.faces) {
    length('face distance', f.name, f.distance, f.u);
    rows.push(['land', f.name, f.land, null, null, null, null, 'mm2', '']);
  }
  for (const f of rolls?.faces ?? [])
    rows.push(['chance', f.name, f.p, null, null, f.low, f.high, '1', '95 % interval']);
  for (const f of assessment.findings)
    rows.push([
      'limit',
      f.key,
      f.value,
      f.u,
      COVERAGE_FACTOR * f.u,
      f.low,
      f.high,
      f.key === 'chances' ? 'of even' : 'mm',
      `${f.verdict}; within ${f.probability}`,
    ]);
  if (assessment.verdict !== null) text('verdict', data.rule.kind, assessment.verdict);
  for (const p of result.photos) text('photo', p.photo, p.remark === null ? p.status : `${p.status}: ${p.remark}`);
  for (const p of photos) text('sha256 of photo', p.photo, p.sha256);
  const line = (r: readonly Cell[]): string =>
    r.map((c) => (c === null ? '' : typeof c === 'number' ? String(c) : textCell(c))).join(',');
  return utf8(`\ufeff${rows.map(line).join('\r\n')}\r\n`);
}
