import { outlined } from './letter-outlines.ts';
import { INK, Pen, type Drawing } from '../../figures/drawing.ts';
import { compareAxes } from '../../figures/axis-comparison.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { decimalsOf, roundStep } from '../../figures/scale.ts';
import { axisName } from '../../text/axis-name.ts';
import type { Language } from '../../text/language.ts';
import { answerNumbers, answerText } from '../content/answer-words.ts';
import { answerOf } from '../record/answer.ts';
import type { Letters } from './letters.ts';
import { NUMBERS } from '../content/numbers.ts';
import { visible } from '../record/plain-text.ts';
import type { ReportRecord } from '../record/record.ts';
import { limitsName } from '../content/sections/verdict.ts';
import { REPORT_WORDS } from '../content/words/report-words.ts';
import { VERDICT_WORDS } from '../content/words/verdict-words.ts';
import { svg } from '../../figures/svg.ts';

/** Size of the picture; pixels are twice as many. */
export const SHOP_SIZE = { width: 600, height: 400, scale: 2 } as const;
/** Least size of its letters, px at 600 px of width. */
const LEAST = 14;

/** The small picture for a shop's page: what was measured, the axes, the verdict, the number to ask for. */
export function shopDrawing(record: ReportRecord, letters: Letters, language: Language = 'en'): Drawing {
  const words = REPORT_WORDS[language].shop;
  const { plusMinus } = NUMBERS[language];
  const { data, number } = record;
  const { result, assessment, about, tolerance } = data;
  const { width, height } = SHOP_SIZE;
  const pen = new Pen();
  const cut = (t: string, size: number, bold: boolean, room: number): string =>
    shortened(t, (s) => letters.lines(s, bold, Infinity)[0]!.reduce((w, x) => w + x.width + 0.3, 0) * size <= room);
  pen.rectangle(0, 0, width, height, { width: 0 }, '#ffffff');
  pen.rectangle(2, 2, width - 4, height - 4, { width: 2 });
  const name = about.die === '' ? words.die(result.die.kind) : `${result.die.kind}, ${visible(about.die)}`;
  pen.text(cut(name, 26, true, width - 40), 20, 42, { size: 26, bold: true });
  pen.line(20, 54, width - 20, 54, { width: 1.5 });
  const said = answerText(answerOf(result, data.rolls), language, answerNumbers(language));
  lines(visible(said), letters, 16, width - 40, 2).forEach((t, i) =>
    pen.text(t, 20, 78 + 21 * i, { size: 16, bold: true }),
  );
  pen.text(
    words.axes(
      plusMinus(result.meanAxis.value, result.meanAxis.u),
      plusMinus(result.rangeOfAxes.value, result.rangeOfAxes.u),
    ),
    20,
    122,
    { size: 15 },
  );
  pen.text(words.edges(plusMinus(result.meanCornerRadius.value, result.meanCornerRadius.u)), 20, 143, { size: 15 });
  chart(pen, record, 156, 300, language);
  const { verdict } = assessment;
  const word = verdict === null ? words.notJudged : VERDICT_WORDS[language].verdicts[verdict];
  pen.rectangle(20, 312, width - 40, 34, { width: 2, dash: verdict === 'undecided' ? [6, 4] : [] });
  if (verdict === 'fail') pen.rectangle(24, 316, width - 48, 26, { width: 1 });
  const limits = verdict === null ? '' : words.limits(limitsName(tolerance, language) || words.own);
  pen.text(cut(`${word}${limits}`, 18, true, width - 72), 34, 335, { size: 18, bold: true });
  pen.text(words.number(number), 20, 368, { size: LEAST, colour: INK.black });
  pen.text(words.caution, 20, 387, { size: LEAST, colour: INK.black });
  return pen.drawing(width, height);
}

/** Text in lines that fit; what is beyond the last is cut. */
function lines(t: string, letters: Letters, size: number, room: number, most: number): string[] {
  const out: string[] = [];
  let line = '';
  for (const word of t.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (letters.width(longer, true) * size <= room) line = longer;
    else {
      out.push(line);
      line = word;
    }
  }
  out.push(line);
  return out.length <= most ? out : [...out.slice(0, most - 1), `${out[most - 1]!}\u2026`];
}

function shortened(t: string, fits: (s: string) => boolean): string {
  if (fits(t)) return t;
  const letters = [...t];
  let n = letters.length;
  while (n > 1 && !fits(`${letters.slice(0, n).join('')}\u2026`)) n--;
  return `${letters.slice(0, n).join('')}\u2026`;
}

/** The axes' deviations with U95, as columns side by side. */
function chart(pen: Pen, { data: { result } }: ReportRecord, top: number, bottom: number, language: Language): void {
  const { told } = NUMBERS[language];
  const { deviations } = compareAxes(
    result.axes.map((a) => a.length),
    result.axesCovariance,
  );
  const um = deviations.map(({ value, u }) => ({ value: 1000 * value, U: 1000 * COVERAGE_FACTOR * u }));
  const reach = 1.1 * Math.max(1, ...um.map((v) => Math.abs(v.value) + v.U));
  const base = bottom - 22;
  const middle = (top + base) / 2;
  const y = (v: number): number => middle - (v / reach) * ((base - top) / 2);
  const left = 90;
  const gap = (SHOP_SIZE.width - 20 - left) / um.length;
  pen.line(left, y(0), SHOP_SIZE.width - 20, y(0), { width: 1 });
  pen.text(REPORT_WORDS[language].shop.mean, 20, y(0) + 5, { size: LEAST });
  const mark = roundStep(reach, 2);
  for (const v of [mark, -mark]) {
    pen.line(left, y(v), SHOP_SIZE.width - 20, y(v), { width: 0.7, colour: INK.light });
    pen.text(`${v > 0 ? '+' : '\u2212'}${told(mark, decimalsOf(mark))} \u00b5m`, 20, y(v) + 5, { size: LEAST });
  }
  um.forEach(({ value, U }, i) => {
    const x = left + gap * (i + 0.5);
    pen.line(x, y(value - U), x, y(value + U), { width: 1.6 });
    for (const end of [value - U, value + U]) pen.line(x - 5, y(end), x + 5, y(end), { width: 1.6 });
    pen.dot(x, y(value), 3.4);
    pen.text(visible(axisName(result.axes[i]!.name, language)), x, bottom - 4, {
      size: um.length > 8 ? LEAST : 16,
      anchor: 'middle',
      bold: true,
    });
  });
}

/** The picture as SVG whose letters are outlines: it looks the same whatever fonts a machine has. */
export const shopSvg = (record: ReportRecord, letters: Letters, language: Language = 'en'): string =>
  svg(shopDrawing(record, letters, language), REPORT_WORDS[language].file.title(record.number), (m) =>
    outlined(m, letters),
  );
