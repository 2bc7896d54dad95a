import type { PhotoOutline } from '../../formats/result.ts';
import { departures, gapsAfter, usualLargest } from '../../figures/departures.ts';

/** A part of a photo, px of the photo; what is looked at. */
export interface View {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Width over height of every view. */
export const ASPECT = 4 / 3;

const at = (x: number, y: number): string => `${x.toFixed(2)} ${y.toFixed(2)}`;

/** Path data of the fitted outline, closed. */
export function modelPath({ model }: PhotoOutline): string {
  const points: string[] = [];
  for (let k = 0; k < model.length; k += 2) points.push(at(model[k]!, model[k + 1]!));
  return points.length === 0 ? '' : `M${points.join('L')}Z`;
}

/** Path data of the measured edge, its departures from the fitted outline enlarged; broken where there is none to draw. */
export function departurePath(outline: PhotoOutline, enlargement: number): string {
  const { points, normals, residuals } = outline;
  const n = residuals.length;
  const shown = departures(outline);
  const gaps = gapsAfter(outline);
  let path = '';
  let broken = true;
  for (let k = 0; k <= n && n > 0; k++) {
    const i = k % n;
    if (Number.isNaN(shown[i]!)) {
      broken = true;
      continue;
    }
    broken ||= k > 0 && gaps[k - 1]!;
    const out = enlargement * shown[i]! - residuals[i]!;
    path += broken ? 'M' : 'L';
    path += at(points[2 * i]! + out * normals[2 * i]!, points[2 * i + 1]! + out * normals[2 * i + 1]!);
    broken = false;
  }
  return path;
}

/** Share of its own movement by which an axis must move the outline for a point to bear on it. */
const BEARS = 0.3;

/** Path data of the stretches of the measured edge that move with an axis; `bearing` per point, see `fit/shot-evidence.ts`. */
export function bearingPath(outline: PhotoOutline, bearing: ArrayLike<number>): string {
  const { points } = outline;
  const n = points.length / 2;
  const gaps = gapsAfter(outline);
  let path = '';
  for (let k = 0; k < n; k++) {
    const m = (k + 1) % n;
    if (bearing[k]! < BEARS || bearing[m]! < BEARS || gaps[k]) continue;
    path += `M${at(points[2 * k]!, points[2 * k + 1]!)}L${at(points[2 * m]!, points[2 * m + 1]!)}`;
  }
  return path;
}

export const ENLARGEMENTS = [1, 5, 10, 20, 50, 100, 200, 500] as const;

/** The largest enlargement at which the departures of a set's photos, save for the odd one, stay near the die. */
export function fittingEnlargement(outlines: readonly PhotoOutline[]): number {
  const large = outlines.map((outline) => usualLargest(outline) / dieView(outline).width);
  const most = Math.max(1e-6, ...large);
  return ENLARGEMENTS.findLast((e) => e * most <= 0.06) ?? ENLARGEMENTS[0];
}

/** The die with some stage around it. */
export function dieView({ model }: PhotoOutline): View {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let k = 0; k < model.length; k += 2) {
    [left, right] = [Math.min(left, model[k]!), Math.max(right, model[k]!)];
    [top, bottom] = [Math.min(top, model[k + 1]!), Math.max(bottom, model[k + 1]!)];
  }
  const width = 1.3 * Math.max(right - left, ASPECT * (bottom - top));
  return around((left + right) / 2, (top + bottom) / 2, width);
}

export const photoView = (width: number, height: number): View =>
  around((width - 1) / 2, (height - 1) / 2, Math.max(width, ASPECT * height));

/** A view of some width with its middle there. */
export const around = (x: number, y: number, width: number): View => ({
  x: x - width / 2,
  y: y - width / ASPECT / 2,
  width,
  height: width / ASPECT,
});

/** The same middle, `factor` times as wide, never narrower than `least` px nor wider than `most`. */
export function zoomed(view: View, factor: number, least: number, most: number): View {
  const width = Math.min(most, Math.max(least, view.width * factor));
  return around(view.x + view.width / 2, view.y + view.height / 2, width);
}

/**
 * A round departure whose enlarged length is drawn as a scale.
 *
 * @param onScreen  Length on the screen of an enlarged departure of 1 px of the photo.
 * @param longest   Of the bar, on the screen.
 * @returns         The departure, px of the photo.
 */
export function scaleBar(onScreen: number, longest: number): number {
  const most = longest / onScreen;
  const power = 10 ** Math.floor(Math.log10(most));
  return [5, 2, 1].map((m) => m * power).find((value) => value <= most * (1 + 1e-9))!;
}
