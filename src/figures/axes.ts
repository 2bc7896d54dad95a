import { compareAxes } from './axis-comparison.ts';
import { COVERAGE_FACTOR } from '../judging/decision.ts';
import { INK, Pen, type Drawing } from './drawing.ts';
import type { ReportData } from '../formats/report.ts';
import type { Language } from '../text/language.ts';
import { FIGURE_WORDS } from './figure-words.ts';
import { decimalsOf, roundStep, ticks, toldIn } from './scale.ts';

const LEFT = 46;
const RIGHT = 14;
const HEAD = 30;

/**
 * Each axis' deviation from the mean of all, with U95. Below, from the shortest axis on, the range that was found and under it the most that is allowed: lengths to
 * compare, no zone in which an axis would have to lie. Then how far all could move together, and the mean axis on the scale of its own limits.
 */
export function axesFigure(
  data: Pick<ReportData, 'result' | 'tolerance'>,
  width: number,
  language: Language = 'en',
): Drawing {
  const words = FIGURE_WORDS[language].axes;
  const told = toldIn(language);
  const { result, tolerance } = data;
  const { deviations } = compareAxes(
    result.axes.map((a) => a.length),
    result.axesCovariance,
  );
  const pen = new Pen();
  const row = result.axes.length > 6 ? 13 : 17;
  const um = deviations.map(({ value, u }) => ({ value: 1000 * value, U: 1000 * COVERAGE_FACTOR * u }));
  const values = um.map((v) => v.value);
  const most = tolerance.range?.high ?? null;
  const limit = most === null ? null : 1000 * most;
  const least = Math.min(...values);
  const widest = 1.08 * Math.max(1, ...um.map((v) => Math.abs(v.value) + v.U));
  // A limit far wider than the axes' own differences would press them together: then its bracket leaves the drawing.
  const reach = limit === null ? widest : Math.max(widest, Math.min(1.08 * (least + limit), 3 * widest));
  const x = (v: number): number => (LEFT + width - RIGHT) / 2 + (v / reach) * ((width - RIGHT - LEFT) / 2);
  const bottom = HEAD + row * um.length;
  const step = roundStep(2 * reach, Math.max(4, Math.floor(width / 60)));
  for (const t of ticks(-reach, reach, step)) {
    pen.line(x(t), HEAD - 4, x(t), bottom, t === 0 ? { width: 0.8 } : { width: 0.3, colour: INK.light });
    pen.text(told(t, decimalsOf(step), true), x(t), HEAD - 8, { size: 7, anchor: 'middle', colour: INK.grey });
  }
  pen.text(words.deviation, x(0), 9, { size: 7, anchor: 'middle', colour: INK.grey });
  pen.text(words.shorter, LEFT, 9, { size: 7, colour: INK.grey });
  pen.text(words.longer, width - RIGHT, 9, { size: 7, anchor: 'end', colour: INK.grey });
  um.forEach(({ value, U }, i) => {
    const y = HEAD + row * (i + 0.5);
    pen.text(result.axes[i]!.name, 0, y + 3, { size: 8, bold: true });
    pen.whisker(x(value - U), x(value + U), y);
    pen.dot(x(value), y, 2.4);
  });
  pen.line(0, bottom, width, bottom, { width: 0.5, colour: INK.grey });
  const shared = 1000 * COVERAGE_FACTOR * result.meanAxis.u;
  const under =
    limit === null
      ? bottom
      : rangeBrackets(pen, { x, least, most: Math.max(...values), limit, right: width - RIGHT, language }, bottom);
  const y = under + 11;
  const end = Math.min(shared, reach * 0.98);
  pen.whisker(x(-end), x(end), y, shared > end ? 0 : 3, { width: 0.9, colour: INK.grey, dash: [3, 2] });
  pen.text(words.alike, 0, y + 3, { size: 7, colour: INK.grey });
  pen.text(`\u00b1 ${told(shared, shared < 10 ? 1 : 0)} \u00b5m`, x(0), y + 11, {
    size: 7,
    anchor: 'middle',
    colour: INK.grey,
  });
  if (!tolerance.size) return pen.drawing(width, under + 26);
  return sizePanel(pen, data, width, under + 32, language);
}

/** Found and allowed range as two brackets, both from the shortest axis on. @returns Where they end, from above. */
function rangeBrackets(
  pen: Pen,
  {
    x,
    least,
    most,
    limit,
    right,
    language,
  }: {
    readonly x: (v: number) => number;
    readonly least: number;
    readonly most: number;
    readonly limit: number;
    readonly right: number;
    readonly language: Language;
  },
  top: number,
): number {
  const words = FIGURE_WORDS[language].axes;
  const told = toldIn(language);
  const rows = [
    [words.range, most - least, []],
    [words.atMost, limit, [4, 2]],
  ] as const;
  rows.forEach(([name, length, dash], i) => {
    const y = top + 12 + 12 * i;
    const end = Math.min(x(least + length), right);
    pen.line(x(least), y, end, y, { width: 1, dash });
    pen.line(x(least), y - 3, x(least), y + 3, { width: 1 });
    if (end < right) pen.line(end, y - 3, end, y + 3, { width: 1 });
    pen.text(name, 0, y + 3, { size: 7, colour: INK.grey });
    const label = `${told(length, length < 10 ? 1 : 0)} \u00b5m`;
    const room = end + 40 < right;
    pen.text(label, room ? end + 5 : end - 3, room ? y + 3 : y - 2, {
      size: 7,
      anchor: room ? 'start' : 'end',
      colour: INK.grey,
    });
  });
  return top + 27;
}

function sizePanel(
  pen: Pen,
  { result, tolerance }: Pick<ReportData, 'result' | 'tolerance'>,
  width: number,
  top: number,
  language: Language,
): Drawing {
  const words = FIGURE_WORDS[language].axes;
  const told = toldIn(language);
  const { low, high } = tolerance.size!;
  const { value, u } = result.meanAxis;
  const U = COVERAGE_FACTOR * u;
  const ends = [value - U, value + U, ...[low, high].filter((v) => v !== null)];
  const pad = 0.12 * Math.max(0.01, Math.max(...ends) - Math.min(...ends));
  const [from, to] = [Math.min(...ends) - pad, Math.max(...ends) + pad];
  const x = (v: number): number => LEFT + ((v - from) / (to - from)) * (width - RIGHT - LEFT);
  const y = top + 20;
  const [a, b] = [x(low ?? from), x(high ?? to)];
  pen.rectangle(a, y - 8, b - a, 16, { width: 0.9, dash: [4, 2] }, INK.pale);
  pen.hatch(a, y - 8, b - a, 16, 5, { width: 0.35, colour: INK.light });
  const step = roundStep(to - from, 7);
  for (const t of ticks(from, to, step)) {
    pen.line(x(t), y + 8, x(t), y + 12, { width: 0.5, colour: INK.grey });
    pen.text(told(t, decimalsOf(step)), x(t), y + 20, { size: 7, anchor: 'middle', colour: INK.grey });
  }
  pen.text(words.meanAxis, (LEFT + width - RIGHT) / 2, top + 6, { size: 7, anchor: 'middle', colour: INK.grey });
  pen.text(words.mean, 0, y + 3, { size: 8, bold: true });
  pen.whisker(x(value - U), x(value + U), y, 4);
  pen.dot(x(value), y, 2.4);
  return pen.drawing(width, y + 26);
}
