import type { PhotoOutline } from '../../measure/types.ts';
import { INK, Pen, polyline, type Drawing } from '../drawing.ts';
import type { ReportResult } from '../record.ts';
import { roundStep } from './scale.ts';

export const ENLARGEMENTS = [1, 2, 5, 10, 20, 50, 100, 200, 500] as const;
/** How many neighbours on each side share in a point's drawn departure. */
const NEIGHBOURS = 3;
/** A point this many times as doubtful as the usual one says nothing that could be drawn. */
const FAINT = 3;
/** Neighbours further apart than this many usual distances have a gap between them. */
const GAP = 4;

const middle = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;

/** Departures from the fitted outline averaged over neighbours by their sharpness; NaN where the edge is too faint. px. */
export function departures({ residuals, sigmas }: PhotoOutline): number[] {
  const n = residuals.length;
  const out = residuals.map((_, k) => {
    let [sum, weight, spread] = [0, 0, 0];
    for (let d = -NEIGHBOURS; d <= NEIGHBOURS; d++) {
      const i = (((k + d) % n) + n) % n;
      const w = (NEIGHBOURS + 1 - Math.abs(d)) / sigmas[i]! ** 2;
      sum += w * residuals[i]!;
      weight += w;
      spread += (w * sigmas[i]!) ** 2;
    }
    return { value: sum / weight, sigma: Math.sqrt(spread) / weight };
  });
  const limit = FAINT * middle(out.map((o) => o.sigma));
  return out.map((o) => (o.sigma <= limit ? o.value : NaN));
}

/** Root mean square of the departures, each by its sharpness, px; 0 without any. */
export function departureRms({ residuals, sigmas }: PhotoOutline): number {
  const weight = sigmas.reduce((s, v) => s + 1 / v ** 2, 0);
  return weight > 0 ? Math.sqrt(residuals.reduce((s, r, i) => s + (r / sigmas[i]!) ** 2, 0) / weight) : 0;
}

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
    const sizes = departures(outline).filter((d) => !Number.isNaN(d)).map(Math.abs).sort((a, b) => a - b); // prettier-ignore
    return [(sizes[Math.floor(0.95 * sizes.length)] ?? 0) / boxOf(outline).side];
  });
  return ENLARGEMENTS.filter((e) => e * Math.max(1e-6, ...most) <= 0.09).at(-1) ?? 1;
}

/**
 * A photo's fitted outline with the measured edge's departures enlarged, as a roundness plot does; both scales are drawn.
 *
 * @param scale  mm per px at the die.
 */
export function outlineFigure(outline: PhotoOutline, scale: number, enlargement: number, width: number): Drawing {
  const pen = new Pen();
  const room = 0.13 * width;
  const box = boxOf(outline);
  const k = (width - 2 * room) / box.side;
  const at = (u: number, v: number): readonly [number, number] => [room + (u - box.left) * k, room + (v - box.top) * k];
  const { model, points, normals, residuals } = outline;
  const fitted: (readonly [number, number])[] = [];
  const every = Math.max(1, Math.floor(model.length / 2 / 260));
  for (let i = 0; i + 1 < model.length; i += 2 * every) fitted.push(at(model[i]!, model[i + 1]!));
  pen.path(polyline(fitted, true), { width: 0.5, colour: INK.grey, dash: [2, 1.5] }, INK.pale);
  const shown = departures(outline);
  const n = residuals.length;
  const apart = residuals.map((_, i) => Math.hypot(points[2 * ((i + 1) % n)]! - points[2 * i]!, points[2 * ((i + 1) % n) + 1]! - points[2 * i + 1]!)); // prettier-ignore
  const gap = GAP * middle(apart);
  let run: (readonly [number, number])[] = [];
  const flush = (): void => {
    if (run.length > 1) pen.path(polyline(run), { width: 0.9 });
    run = [];
  };
  for (let j = 0; j <= n && n > 0; j++) {
    const i = j % n;
    if (Number.isNaN(shown[i]!) || (j > 0 && apart[j - 1]! > gap)) flush();
    if (Number.isNaN(shown[i]!)) continue;
    const out = enlargement * shown[i]! - residuals[i]!;
    run.push(at(points[2 * i]! + out * normals[2 * i]!, points[2 * i + 1]! + out * normals[2 * i + 1]!));
  }
  flush();
  scaleBars(pen, k / scale, enlargement, width);
  return pen.drawing(width, width + 16);
}

/** @param perMm  Points of the drawing per mm of the die. */
function scaleBars(pen: Pen, perMm: number, enlargement: number, width: number): void {
  const bar = (x: number, per: number, label: (mm: number) => string, end: boolean): void => {
    const most = (0.36 * width) / per;
    const step = roundStep(most, 2);
    const length = (step <= most / 2 + 1e-9 && 2 * step <= most ? 2 * step : step) * per;
    const from = end ? x - length : x;
    pen.whisker(from, from + length, width + 2, 2.5, { width: 0.9 });
    pen.text(label(length / per), end ? x : from, width + 13, { size: 7, anchor: end ? 'end' : 'start' });
  };
  const mm = (v: number): string => `${Number(v.toPrecision(2))} mm`;
  const narrow = width < 140;
  bar(2, perMm, (v) => (narrow ? mm(v) : `die: ${mm(v)}`), false);
  bar(width - 2, perMm * enlargement, (v) => (narrow ? `${mm(v)} \u00d7 ${enlargement}` : `deviation: ${mm(v)}, ${enlargement} times`), true); // prettier-ignore
}
