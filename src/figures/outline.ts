import type { PhotoOutline } from '../formats/result.ts';
import { INK, Pen, polyline, type Drawing } from './drawing.ts';
import type { ReportResult } from '../formats/report.ts';
import { departures, gapsAfter, usualLargest } from './departures.ts';
import type { Language } from '../text/language.ts';
import { FIGURE_WORDS } from './figure-words.ts';
import { roundStep } from './scale.ts';

export const ENLARGEMENTS = [1, 2, 5, 10, 20, 50, 100, 200, 500] as const;
interface Box {
  readonly left: number;
  readonly top: number;
  readonly side: number;
}

function boxOf({ model }: PhotoOutline): Box {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let k = 0; k + 1 < model.length; k += 2) {
    [left, right] = [Math.min(left, model[k]!), Math.max(right, model[k]!)];
    [top, bottom] = [Math.min(top, model[k + 1]!), Math.max(bottom, model[k + 1]!)];
  }
  const side = Math.max(right - left, bottom - top, 1e-6);
  return { left: (left + right - side) / 2, top: (top + bottom - side) / 2, side };
}

/** The largest enlargement at which the departures of all photos, save for the odd one, stay near the die. */
export function fittingEnlargement(photos: ReportResult['photos']): number {
  const most = photos.flatMap(({ outline }) => {
    if (outline === null || outline.model.length < 6) return [];
    return [usualLargest(outline) / boxOf(outline).side];
  });
  return ENLARGEMENTS.filter((e) => e * Math.max(1e-6, ...most) <= 0.09).at(-1) ?? 1;
}

/** Share of a drawing's width that departures have round the die. */
const ROOM = 0.13;

/** Points per mm at which the outlines of all photos fit into drawings of one width: side by side they bear the same bars. */
export const commonScale = (photos: ReportResult['photos'], width: number): number =>
  Math.min(
    ...photos.flatMap(({ outline, scale }) =>
      outline === null || scale === null || outline.model.length < 6
        ? []
        : [((1 - 2 * ROOM) * width) / (boxOf(outline).side * scale)],
    ),
  );

/**
 * A photo's fitted outline with the measured edge's departures enlarged, as a roundness plot does; both scales are drawn.
 *
 * @param scale  mm per px at the die.
 * @param perMm  Points of the drawing per mm, see {@link commonScale}; as large as the drawing where left out.
 */
export function outlineFigure(
  outline: PhotoOutline,
  scale: number,
  enlargement: number,
  width: number,
  perMm?: number,
  language: Language = 'en',
): Drawing {
  const pen = new Pen();
  const box = boxOf(outline);
  const k = perMm === undefined ? ((1 - 2 * ROOM) * width) / box.side : perMm * scale;
  const room = (width - k * box.side) / 2;
  const at = (u: number, v: number): readonly [number, number] => [room + (u - box.left) * k, room + (v - box.top) * k];
  const { model, points, normals, residuals } = outline;
  const fitted: (readonly [number, number])[] = [];
  const every = Math.max(1, Math.floor(model.length / 2 / 260));
  for (let i = 0; i + 1 < model.length; i += 2 * every) fitted.push(at(model[i]!, model[i + 1]!));
  pen.path(polyline(fitted, true), { width: 0.5, colour: INK.grey, dash: [2, 1.5] }, INK.pale);
  const shown = departures(outline);
  const n = residuals.length;
  const gaps = gapsAfter(outline);
  let run: (readonly [number, number])[] = [];
  const flush = (): void => {
    if (run.length > 1) pen.path(polyline(run), { width: 0.9 });
    run = [];
  };
  for (let j = 0; j <= n && n > 0; j++) {
    const i = j % n;
    if (Number.isNaN(shown[i]!) || (j > 0 && gaps[j - 1])) flush();
    if (Number.isNaN(shown[i]!)) continue;
    const out = enlargement * shown[i]! - residuals[i]!;
    run.push(at(points[2 * i]! + out * normals[2 * i]!, points[2 * i + 1]! + out * normals[2 * i + 1]!));
  }
  flush();
  scaleBars(pen, k / scale, enlargement, width, language);
  return pen.drawing(width, width + 16);
}

/** @param perMm  Points of the drawing per mm of the die. */
function scaleBars(pen: Pen, perMm: number, enlargement: number, width: number, language: Language): void {
  const words = FIGURE_WORDS[language].outline;
  const mark = language === 'de' ? ',' : '.';
  const bar = (x: number, per: number, label: (mm: number) => string, end: boolean): void => {
    const most = (0.36 * width) / per;
    const step = roundStep(most, 2);
    const length = (step <= most / 2 + 1e-9 && 2 * step <= most ? 2 * step : step) * per;
    const from = end ? x - length : x;
    pen.whisker(from, from + length, width + 2, 2.5, { width: 0.9 });
    pen.text(label(length / per), end ? x : from, width + 13, { size: 7, anchor: end ? 'end' : 'start' });
  };
  const mm = (v: number): string => `${String(Number(v.toPrecision(2))).replace('.', mark)} mm`;
  const narrow = width < 140;
  bar(2, perMm, (v) => (narrow ? mm(v) : words.die(mm(v))), false);
  bar(
    width - 2,
    perMm * enlargement,
    (v) => (narrow ? `${mm(v)} \u00d7 ${enlargement}` : words.deviation(mm(v), enlargement)),
    true,
  );
}
