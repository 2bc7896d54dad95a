import { boxAround, crossedAt } from '../geometry/polygon.ts';
import { BlockRows } from './block-rows.ts';
import { aligned, passingMemory, type PixelMemory } from './pixel-memory.ts';
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

/** Red, green and blue of a window: sums of the four pixels that stand for each block. */
export type Planes = readonly [Int16Array, Int16Array, Int16Array];

/** The sums of a window of a picture. */
export function reduced(picture: Picture, window: Window): Planes {
  const { w, h } = window;
  const memory = passingMemory();
  const size = aligned(2 * w);
  const sums = new SumRows(picture, window);
  memory.reserve(3 * size + sums.room);
  const planes: Planes = [new Int16Array(w * h), new Int16Array(w * h), new Int16Array(w * h)];
  const row = [0, size, 2 * size].map((at) => new Int16Array(memory.bytes.buffer, at, w));
  for (let y = 0; y < h; y++) {
    sums.sum(memory, y, 0, size, 2 * size, 3 * size);
    for (let c = 0; c < 3; c++) planes[c]!.set(row[c]!, y * w);
  }
  return planes;
}

/** Sums of a window's blocks, row by row. */
export class SumRows {
  readonly #rows: BlockRows;
  readonly #count: number;
  readonly #across: number;
  readonly #right: number;
  /** What it asks for to have rows of pixels in, bytes. */
  readonly room: number;

  constructor(picture: Picture, window: Window) {
    this.#rows = new BlockRows(picture, window);
    this.#count = window.w;
    this.#across = window.factor * picture.channels;
    this.#right = this.#rows.step * picture.channels;
    this.room = 2 * this.#rows.room;
  }

  /** Sums row `y` into three places of a memory; from `at` on it has its room. */
  sum({ run, bytes }: PixelMemory, y: number, red: number, green: number, blue: number, at: number): void {
    const rows = this.#rows;
    const upper = rows.copyUpper(y, bytes, at);
    const lower = rows.copyLower(y, bytes, at + rows.room);
    run.sumRow(red, green, blue, upper, lower, this.#count, this.#across, this.#right);
  }
}
