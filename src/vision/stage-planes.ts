import { upperMedian } from '../maths/linear.ts';
import type { Picture } from './picture.ts';
import { aligned, newMemory, type PixelMemory } from './pixel-memory.ts';
import { SumRows, type Planes, type Window } from './stage-window.ts';

/** One reduced pixel in so many is asked for the stage's median gradient. */
export const MEDIAN_STRIDE = 7;

let made: PixelMemory | undefined;
/** Room for the gradients of which the median is sought, kept from call to call. */
let sampled = new Float32Array(0);

/** Where a window's planes, squared gradients, marks and rows inside the border, and what passes stand in the memory, bytes. */
interface Places {
  readonly planes: readonly [number, number, number];
  readonly squared: number;
  readonly mask: number;
  readonly rows: number;
  readonly passing: number;
}

function placesOf({ w, h }: Window): Places {
  const plane = aligned(2 * w * h);
  const squared = 3 * plane;
  const mask = squared + aligned(4 * w * h);
  const rows = mask + aligned(w * h);
  return { planes: [0, plane, 2 * plane], squared, mask, rows, passing: rows + aligned(8 * h) };
}

/** A window of a picture, reduced, and its gradients; one at a time in each thread, the next takes its place. */
export class StagePlanes {
  readonly #memory: PixelMemory;
  readonly #window: Window;
  readonly #rows: Int32Array;
  readonly #at: Places;
  /** Sums of four pixels. */
  readonly colours: Planes;
  /** Squared gradients, the largest of three colours, 32 times as large as Sobel's of display values per reduced px; 0 outside the border. */
  readonly squared: Int32Array;

  /** @param rows  First reduced pixel inside the border and the one after the last, per row. */
  constructor(picture: Picture, window: Window, rows: Int32Array) {
    const { w, h } = window;
    const memory = (made ??= newMemory());
    const at = placesOf(window);
    const sums = new SumRows(picture, window);
    memory.reserve(at.passing + Math.max(sums.room, 8 * w + 64));
    const { buffer } = memory.bytes;
    const planeAt = (c: 0 | 1 | 2): Int16Array => new Int16Array(buffer, at.planes[c], w * h);
    this.#memory = memory;
    this.#window = window;
    this.#rows = rows;
    this.#at = at;
    this.colours = [planeAt(0), planeAt(1), planeAt(2)];
    this.squared = new Int32Array(buffer, at.squared, w * h);
    new Int32Array(buffer, at.rows, 2 * h).set(rows);
    const [red, green, blue] = at.planes;
    for (let y = 0; y < h; y++) {
      const o = 2 * y * w;
      sums.sum(memory, y, red + o, green + o, blue + o, at.passing);
    }
  }

  /** Smooths the colours by one binomial pass; cells along the window's border stay. */
  smooth(): void {
    const { w, h } = this.#window;
    for (const plane of this.#at.planes) this.#memory.run.smoothPlane(plane, w, h, this.#at.passing);
  }

  /** Sets the squared gradients; returns the middle one inside the border, display values per reduced px. */
  usualGradient(): number {
    const { w, h } = this.#window;
    const { planes, squared, rows } = this.#at;
    this.#memory.run.gradients(squared, ...planes, rows, w, h);
    const most = Math.ceil((w * h) / MEDIAN_STRIDE);
    if (sampled.length < most) sampled = new Float32Array(most);
    const count = takeSamples(this.squared, this.#rows, w, h);
    // Of sums of four pixels: 8 times Sobel's weights, 4 times the mean.
    return count === 0 ? 0 : Math.sqrt(upperMedian(sampled.subarray(0, count))) / 32;
  }

  /** 255 where squared gradients are more than a level, else 0. */
  above(level: number): Uint8Array {
    const { w, h } = this.#window;
    const { squared, mask } = this.#at;
    this.#memory.run.above(mask, squared, w * h, Math.floor(level));
    return this.#memory.bytes.subarray(mask, mask + w * h);
  }
}

function takeSamples(squared: Int32Array, rows: Int32Array, w: number, h: number): number {
  let count = 0;
  for (let y = 0; y < h; y++) {
    const first = y * w + rows[2 * y]!;
    const end = y * w + rows[2 * y + 1]!;
    for (let k = MEDIAN_STRIDE * Math.ceil(first / MEDIAN_STRIDE); k < end; k += MEDIAN_STRIDE)
      sampled[count++] = squared[k]!;
  }
  return count;
}
