import { INK, Pen, type Drawing } from './drawing.ts';
import type { RollsData } from '../formats/report.ts';
import type { Limits } from '../judging/decision.ts';
import type { Language } from '../text/language.ts';
import { FIGURE_WORDS } from './figure-words.ts';
import { decimalsOf, roundStep, ticks, toldIn } from './scale.ts';

const LEFT = 34;
const RIGHT = 8;
const TOP = 18;

/** Each number's chance with its 95 % interval beside an even die's, and the limits where there are some. */
export function rollsFigure(
  { faces }: RollsData,
  limits: Limits | null,
  width: number,
  height = 150,
  language: Language = 'en',
): Drawing {
  const words = FIGURE_WORDS[language].rolls;
  const told = toldIn(language);
  const pen = new Pen();
  const even = 100 / faces.length;
  const bounds = [limits?.low ?? null, limits?.high ?? null].filter((v) => v !== null).map((v) => v * even);
  const all = [...faces.flatMap((f) => [100 * f.low, 100 * f.high]), even, ...bounds];
  const pad = 0.08 * Math.max(even * 0.01, Math.max(...all) - Math.min(...all));
  const [from, to] = [Math.max(0, Math.min(...all) - pad), Math.max(...all) + pad];
  const bottom = height - 26;
  const y = (v: number): number => bottom - ((v - from) / (to - from)) * (bottom - TOP);
  const gap = (width - LEFT - RIGHT) / faces.length;
  const x = (i: number): number => LEFT + gap * (i + 0.5);
  if (limits) {
    const [top, base] = [
      limits.high === null ? TOP : y(limits.high * even),
      limits.low === null ? bottom : y(limits.low * even),
    ];
    pen.rectangle(LEFT, top, width - LEFT - RIGHT, base - top, { width: 0.9, dash: [4, 2] }, INK.pale);
    pen.hatch(LEFT, top, width - LEFT - RIGHT, base - top, 5, { width: 0.35, colour: INK.light });
  }
  const step = roundStep(to - from, 6);
  for (const t of ticks(from, to, step)) {
    pen.line(LEFT, y(t), width - RIGHT, y(t), { width: 0.3, colour: INK.light });
    pen.text(told(t, decimalsOf(step)), LEFT - 5, y(t) + 2.5, { size: 7, anchor: 'end', colour: INK.grey });
  }
  pen.line(LEFT, y(even), width - RIGHT, y(even), { width: 0.9, dash: [2, 2] });
  pen.text(words.chance, 0, 8, { size: 7, colour: INK.grey });
  pen.text(words.even(told(even, 2)), width - RIGHT, 8, { size: 7, anchor: 'end', colour: INK.grey });
  faces.forEach(({ name, p, low, high }, i) => {
    pen.line(x(i), y(100 * low), x(i), y(100 * high), { width: 1 });
    for (const end of [low, high]) pen.line(x(i) - 3, y(100 * end), x(i) + 3, y(100 * end), { width: 1 });
    pen.dot(x(i), y(100 * p), 2.4);
    pen.text(name, x(i), bottom + 11, { size: 8, anchor: 'middle', bold: true });
  });
  pen.line(LEFT, bottom, width - RIGHT, bottom, { width: 0.5, colour: INK.grey });
  pen.text(words.number, (LEFT + width - RIGHT) / 2, height - 3, { size: 7, anchor: 'middle', colour: INK.grey });
  return pen.drawing(width, height);
}
