import { boxAround, crossedAt } from '../geometry/polygon.ts';
import type { Picture } from './picture.ts';

/** A window of a picture, reduced: `w` x `h` blocks of `factor` pixels, the first at (x0, y0). */
export interface Window {
  readonly x0: number;
  readonly y0: number;
  readonly w: number;
  readonly h: number;
  readonly factor: number;
}

/** The window round a border, about `across` blocks on its longer side. */
export function windowOf(border: readonly number[], picture: Picture, across: number): Window {
  const box = boxAround(border);
  const x0 = Math.max(0, Math.floor(box.left));
  const y0 = Math.max(0, Math.floor(box.top));
  const x1 = Math.min(picture.width - 1, Math.ceil(box.right));
  const y1 = Math.min(picture.height - 1, Math.ceil(box.bottom));
  const factor = Math.max(1, Math.round(Math.max(x1 - x0, y1 - y0) / across));
  return { x0, y0, w: Math.floor((x1 - x0) / factor), h: Math.floor((y1 - y0) / factor), factor };
}

/** First and last reduced pixel of each row that lies on the stage; last < first where none does. */
export function spansOf(border: readonly number[], { x0, y0, w, h, factor }: Window): Int32Array {
  const out = new Int32Array(2 * h);
  for (let y = 0; y < h; y++) {
    const [left, right] = crossedAt(border, y0 + (y + 0.5) * factor - 0.5);
    out[2 * y] = Math.max(1, Math.ceil((left - x0) / factor) + 1);
    out[2 * y + 1] = Math.min(w - 2, Math.floor((right - x0) / factor) - 1);
    if (!(out[2 * y + 1]! >= out[2 * y]!) || y === 0 || y === h - 1) out.set([1, 0], 2 * y);
  }
  return out;
}

/** Sums of four pixels that stand for each block: red, green, blue. */
export function reduced(picture: Picture, window: Window): Planes {
  const planes = planesFor(window.w * window.h);
  reduce(picture, window, planes);
  return planes;
}

/** Red, green and blue of a window. */
export type Planes = readonly [Int16Array, Int16Array, Int16Array];

export const planesFor = (cells: number): Planes => [
  new Int16Array(cells),
  new Int16Array(cells),
  new Int16Array(cells),
];

/** The same into planes that are there, which may be larger. */
export function reduce(
  { data, channels: ch, width }: Picture,
  { x0, y0, w, h, factor }: Window,
  [red, green, blue]: Planes,
): void {
  const step = Math.max(1, factor >> 1);
  const right = step * ch;
  const down = step * width * ch;
  const across = factor * ch;
  for (let y = 0, k = 0; y < h; y++) {
    let p = ((y0 + y * factor) * width + x0) * ch;
    for (let x = 0; x < w; x++, k++, p += across) {
      const q = p + down;
      red[k] = data[p]! + data[p + right]! + data[q]! + data[q + right]!;
      green[k] = data[p + 1]! + data[p + right + 1]! + data[q + 1]! + data[q + right + 1]!;
      blue[k] = data[p + 2]! + data[p + right + 2]! + data[q + 2]! + data[q + right + 2]!;
    }
  }
}
