import { crossedAt } from '../geometry/polygon.ts';
import { nthCounted, upperMedian } from '../maths/linear.ts';
import type { Picture } from './picture.ts';
import { smoothPlane } from './plane-smoothing.ts';
import type { Stage } from './solid-part.ts';
import { planesFor, reduce, type Planes, type Window } from './stage-window.ts';
import type { Steep } from './steep-grain.ts';

export const STEEP = {
  /** Gradient that counts as an edge, display values per reduced px: at least this, and this many medians of the stage. */
  gradient: 6,
  medians: 7,
  /** A level so high is grain's (undisturbed sets have 4 to 12): the picture is smoothed until it is lower, by so many passes at most. */
  noisy: 14,
  passes: 6,
  /** Medians that count then: of half a million cells of grain alone none is more than 3 of them. */
  mediansOfGrain: 5,
  /** The least gradient that counts where the picture is smoothed for gaps. */
  gentle: 3,
} as const;

/** How the bare stage is told. */
export const BARE = {
  /** A hole is the bare stage where its mean colour is no further from it than this, display values. */
  stage: 7,
  /** Or where it is the stage in shade: no darker than this share of it, and no colour's share further from another's. */
  shade: 0.78,
  hue: 0.03,
} as const;

/** One reduced pixel in so many is asked for the stage's median gradient. */
const MEDIAN_STRIDE = 7;

/**
 * Which reduced pixels inside the border are steep; of a noisy picture, once it is smoothed (by `least` passes at least): its grain would else raise the level above
 * what a die's edge rises by, and its outline falls apart.
 */
export function steepPlaces(picture: Picture, window: Window, rows: Int32Array, least: number): Steep {
  const { w, h } = window;
  const { planes, steep } = roomFor(w * h);
  reduce(picture, window, planes);
  let passes = 0;
  let usual = gradients(planes, steep, rows, w, h);
  while (passes < least || (STEEP.medians * usual > STEEP.noisy && passes < STEEP.passes)) {
    for (const plane of planes) smoothPlane(plane, w, h);
    usual = gradients(planes, steep, rows, w, h);
    passes++;
  }
  const medians = passes > 0 ? STEEP.mediansOfGrain : STEEP.medians;
  const gentlest = least > 0 ? STEEP.gentle : STEEP.gradient;
  const level = (32 * Math.max(gentlest, medians * usual)) ** 2;
  const mask = new Uint8Array(w * h);
  for (let k = 0; k < mask.length; k++) if (steep[k]! > level) mask[k] = 255;
  return { mask, squared: steep, level, green: planes[1], passes, medians };
}

/** Sets the squared gradients inside the border, the largest of three colours; returns the middle one, display values per reduced px. */
function gradients(planes: Planes, steep: Int32Array, rows: Int32Array, w: number, h: number): number {
  steep.fill(0, 0, w * h);
  for (const plane of planes) {
    for (let y = 1; y < h - 1; y++) {
      const from = Math.max(1, rows[2 * y]!);
      const to = Math.min(w - 1, rows[2 * y + 1]!);
      if (to > from) steepen(plane, steep, w, y * w + from, y * w + to);
    }
  }
  const values = new Float32Array(Math.ceil((w * h) / MEDIAN_STRIDE));
  let count = 0;
  for (let y = 0; y < h; y++) {
    const first = y * w + rows[2 * y]!;
    const end = y * w + rows[2 * y + 1]!;
    for (let k = MEDIAN_STRIDE * Math.ceil(first / MEDIAN_STRIDE); k < end; k += MEDIAN_STRIDE)
      values[count++] = steep[k]!;
  }
  // Of sums of four pixels: 8 times Sobel's weights, 4 times the mean.
  return count === 0 ? 0 : Math.sqrt(upperMedian(values.subarray(0, count))) / 32;
}

/** Room for the colours and the gradients of a window, kept from call to call. */
const roomOf = (cells: number): { readonly planes: Planes; readonly steep: Int32Array } => ({
  planes: planesFor(cells),
  steep: new Int32Array(cells),
});
let room = roomOf(0);
function roomFor(cells: number): typeof room {
  if (room.steep.length < cells) room = roomOf(cells);
  return room;
}

/** Raises `steep` to the squared gradient of one colour, from place k to `end` of one row. */
function steepen(plane: Int16Array, steep: Int32Array, w: number, k: number, end: number): void {
  // Each column's smoothed sum and its difference serve three places in turn.
  let before = (plane[k - w - 1]! + 2 * plane[k - 1]! + plane[k + w - 1]!) | 0;
  let here = (plane[k - w]! + 2 * plane[k]! + plane[k + w]!) | 0;
  let fallBefore = (plane[k + w - 1]! - plane[k - w - 1]!) | 0;
  let fallHere = (plane[k + w]! - plane[k - w]!) | 0;
  for (; k < end; k++) {
    const above = plane[k - w + 1]!;
    const below = plane[k + w + 1]!;
    const next = (above + 2 * plane[k + 1]! + below) | 0;
    const fallNext = (below - above) | 0;
    const dx = (next - before) | 0;
    const dy = (fallBefore + 2 * fallHere + fallNext) | 0;
    const v = (Math.imul(dx, dx) + Math.imul(dy, dy)) | 0;
    if (v > steep[k]!) steep[k] = v;
    before = here;
    here = next;
    fallBefore = fallHere;
    fallHere = fallNext;
  }
}

/** First reduced pixel inside a convex border (given in full pixels) and the one after the last, per row. */
export function rowsInside(border: readonly number[], { x0, y0, w, h, factor }: Window): Int32Array {
  const out = new Int32Array(2 * h);
  for (let y = 0; y < h; y++) {
    const [left, right] = crossedAt(border, y0 + (y + 0.5) * factor - 0.5);
    if (!(right > left)) continue;
    // Two reduced pixels off the border.
    out[2 * y] = Math.max(0, Math.ceil((left + 0.5 - x0) / factor - 0.5 + 2));
    out[2 * y + 1] = Math.max(out[2 * y]!, Math.min(w, Math.floor((right + 0.5 - x0) / factor - 0.5 - 2) + 1));
  }
  return out;
}

/** The stage of the window that was reduced last. */
export class BareStage implements Stage {
  readonly #rows: Int32Array;
  readonly #w: number;
  readonly #h: number;
  #colour: readonly number[] | null = null;

  constructor(rows: Int32Array, { w, h }: Window) {
    this.#rows = rows;
    this.#w = w;
    this.#h = h;
  }

  isBare(cells: Int32Array, across: number, left: number, top: number): boolean {
    const { planes } = room;
    let [near, least, most] = [true, Infinity, -Infinity];
    for (let c = 0; c < 3; c++) {
      const mean = this.#mean(planes[c]!, cells, across, left, top);
      const usual = this.#usual(planes)[c]!;
      // Of sums of four pixels.
      if (!(Math.abs(mean - usual) < 4 * BARE.stage)) near = false;
      const share = mean / Math.max(1, usual);
      least = Math.min(least, share);
      most = Math.max(most, share);
    }
    return near || (least > BARE.shade && most < 1.02 && most - least < BARE.hue);
  }

  #usual(planes: Planes): readonly number[] {
    return (this.#colour ??= planes.map((plane) => middleOn(plane, this.#rows, this.#w, this.#h)));
  }

  #mean(plane: Int16Array, cells: Int32Array, across: number, left: number, top: number): number {
    let sum = 0;
    for (const k of cells) sum += plane[(top + Math.floor(k / across)) * this.#w + left + (k % across)]!;
    return sum / cells.length;
  }
}

/** Upper median of a plane on the stage: sums of four pixels are whole and small. 0 of nothing. */
function middleOn(plane: Int16Array, rows: Int32Array, w: number, h: number): number {
  const counts = new Int32Array(4 * 255 + 1);
  let all = 0;
  for (let y = 0; y < h; y++)
    for (let k = y * w + rows[2 * y]!; k < y * w + rows[2 * y + 1]!; k += MEDIAN_STRIDE, all++) counts[plane[k]!]!++;
  return all === 0 ? 0 : nthCounted(counts, all >> 1);
}
