import { crossedAt } from '../geometry/polygon.ts';
import { nthCounted } from '../maths/linear.ts';
import type { Picture } from './picture.ts';
import type { Stage } from './solid-part.ts';
import { MEDIAN_STRIDE, StagePlanes } from './stage-planes.ts';
import type { Planes, Window } from './stage-window.ts';
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

/**
 * Which reduced pixels inside the border are steep; of a noisy picture, once it is smoothed (by `least` passes at least): its grain would else raise the level above
 * what a die's edge rises by, and its outline falls apart. The next call takes the place of what is told of each pixel.
 */
export function steepPlaces(picture: Picture, window: Window, rows: Int32Array, least: number): Steep {
  const planes = (reducedLast = new StagePlanes(picture, window, rows));
  let passes = 0;
  let usual = planes.usualGradient();
  while (passes < least || (STEEP.medians * usual > STEEP.noisy && passes < STEEP.passes)) {
    planes.smooth();
    usual = planes.usualGradient();
    passes++;
  }
  const medians = passes > 0 ? STEEP.mediansOfGrain : STEEP.medians;
  const gentlest = least > 0 ? STEEP.gentle : STEEP.gradient;
  const level = (32 * Math.max(gentlest, medians * usual)) ** 2;
  return { mask: planes.above(level), squared: planes.squared, level, green: planes.colours[1], passes, medians };
}

/** What was reduced last. */
let reducedLast: StagePlanes | undefined;

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
    const planes = reducedLast!.colours;
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
