import { nth } from '../maths/linear.ts';
import { LUMA, type Picture } from './picture.ts';
import { aligned, passingMemory, type PixelMemory } from './pixel-memory.ts';

/** Where pixels beside an edge lie in the picture: its start, its directions along and across to the white, how far its middle sags across. */
export interface Band {
  readonly ax: number;
  readonly ay: number;
  readonly tx: number;
  readonly ty: number;
  readonly nx: number;
  readonly ny: number;
  readonly length: number;
  readonly sag: number;
  /** Pixels that lie in it, or not. */
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
}

/** How pixels beside an edge are sorted: where plateaus begin, how far pixels and how far bins reach from it, and the width of a bin, px. */
export interface Sorting {
  readonly band: number;
  readonly plateau: number;
  readonly reach: number;
  readonly step: number;
  readonly bins: number;
}

/** Numbers that tell of an edge, and of those the first that is the same for all; see `assembly/pixels/beside.ts`. */
const NUMBERS = 16;
const OF_ALL = 8;
/** Numbers of 4 bytes that tell of a row. */
const ROW = 4;
/** Steps by which medians are sought: of one display value. */
const STEPS = 256;

/** Fixed places in the memory, bytes: what tells of an edge, counts, steps and bins; from the last on, what one edge asks for. */
const EDGE = 0;
const COUNTS = EDGE + 8 * NUMBERS;
const STEPS_AT = COUNTS + 16;
const SUMS = STEPS_AT + 4 * STEPS;

/** Where the lists of an edge's pixels stand, bytes. */
interface Places {
  readonly rows: number;
  readonly pixels: number;
  readonly dark: number;
  readonly light: number;
  readonly found: number;
  readonly lumas: number;
  readonly bins: number;
  readonly end: number;
}

/** Pixels beside edges of one picture, edge by edge, and what is summed up of them by their distance. It stands in passing memory. */
export class EdgePixels {
  readonly #picture: Picture;
  readonly #memory: PixelMemory = passingMemory();
  /** The picture's memory, four bytes at once, from some before its first pixel on; the last four may have been cut off. */
  readonly #fours: Int32Array;
  readonly #before: number;
  readonly #last: number;
  readonly #bins: number;
  #at!: Places;

  constructor(picture: Picture, { band, plateau, reach, step, bins }: Sorting) {
    const { buffer, byteOffset, length } = picture.data;
    this.#picture = picture;
    this.#before = byteOffset & 3;
    this.#fours = new Int32Array(buffer, byteOffset - this.#before, (this.#before + length) >> 2);
    this.#last = cutOff(picture.data, (this.#before + length) & 3);
    this.#bins = bins;
    this.#memory.reserve(SUMS + 16 * bins);
    this.#memory.doubles.set([band, plateau, reach, step, bins, ...LUMA], EDGE / 8 + OF_ALL);
    this.#memory.doubles.fill(0, SUMS / 8, SUMS / 8 + 2 * bins);
  }

  /** Takes the pixels of one edge; those of the one before are forgotten. */
  look(band: Band): void {
    const { x0, x1, y0, y1, ax, ay, tx, ty, nx, ny, length, sag } = band;
    const { channels } = this.#picture;
    const at = (this.#at = placesOf(SUMS + aligned(16 * this.#bins), x1 - x0 + 1, y1 - y0 + 1, channels));
    const memory = this.#memory;
    memory.reserve(at.end);
    memory.doubles.set([ax, ay, tx, ty, nx, ny, length, sag], EDGE / 8);
    memory.run.rowsBeside(at.rows, EDGE, x0, x1, y0, y1);
    touchRows(this.#fours, this.#before, this.#picture, band, memory.words, at.rows / 4);
    copyRows(this.#fours, this.#last, this.#before, this.#picture, band, memory.words, at.rows / 4, at.pixels / 4);
    memory.run.beside(COUNTS, at.dark, at.light, at.lumas, at.bins, EDGE, at.rows, y0, y1, channels);
  }

  /** How many of the edge's pixels lie in bins. */
  get binned(): number {
    return this.#count(2);
  }

  /** Median luma of the edge's dark pixels, and of its light ones; NaN where there are none. */
  get black(): number {
    return this.#median(this.#at.dark, this.#count(0));
  }

  get white(): number {
    return this.#median(this.#at.light, this.#count(1));
  }

  /** Whether more than a share of the light pixels lie below a level. */
  lightBelow(level: number, share: number): boolean {
    const lights = this.#count(1);
    return this.#memory.run.countBelow(this.#at.light, lights, level) > Math.floor(lights * share);
  }

  /** Adds the edge's pixels to the sums of their bins. */
  add(): void {
    this.#memory.run.addBinned(SUMS, this.#at.bins, this.#at.lumas, this.binned);
  }

  /** Sum of a bin's luma, and of how many pixels. */
  sum(bin: number): number {
    return this.#memory.doubles[SUMS / 8 + 2 * bin]!;
  }

  count(bin: number): number {
    return this.#memory.doubles[SUMS / 8 + 2 * bin + 1]!;
  }

  #count(k: 0 | 1 | 2): number {
    return this.#memory.words[COUNTS / 4 + k]!;
  }

  #median(list: number, count: number): number {
    if (count === 0) return NaN;
    const { run, doubles, words } = this.#memory;
    const { found } = this.#at;
    const held = run.middling(found, STEPS_AT, COUNTS + 12, list, count);
    const middle = doubles.subarray(found / 8, found / 8 + held);
    const k = (count >> 1) - words[COUNTS / 4 + 3]!;
    const upper = nth(middle, k);
    if (count % 2 === 1) return upper;
    let lower = -Infinity;
    for (let i = 0; i < k; i++) if (middle[i]! > lower) lower = middle[i]!;
    return (lower + upper) / 2;
  }
}

function placesOf(rows: number, across: number, down: number, channels: number): Places {
  // Lists are written two at a time.
  const list = aligned(8 * across * down);
  const pixels = rows + aligned(4 * ROW * down);
  const dark = pixels + aligned((across * channels + 8) * down);
  const lumas = dark + 3 * list;
  const bins = lumas + list;
  return {
    ...{ rows, pixels, dark, light: dark + list, found: dark + 2 * list, lumas, bins },
    end: bins + aligned(across * down),
  };
}

/** The last bytes of a picture, so many, as the lowest of four. */
function cutOff(data: Uint8Array | Uint8ClampedArray, bytes: number): number {
  let four = 0;
  for (let k = 0; k < bytes; k++) four |= data[data.length - bytes + k]! << (8 * k);
  return four;
}

/**
 * Asks for both ends of a band's rows, which lie pages apart: all at once, where a copy would wait for one row after the other. What is seen goes to the
 * rows' last number, else nobody would look.
 */
function touchRows(
  fours: Int32Array,
  before: number,
  { width, channels }: Picture,
  { y0, y1 }: Band,
  to: Int32Array,
  rows: number,
): void {
  const end = fours.length - 1;
  let seen = 0;
  for (let v = y0, row = rows; v <= y1; v++, row += ROW) {
    const start = before + v * width * channels;
    seen |= fours[(start + to[row]! * channels) >> 2]!;
    seen |= fours[Math.min(end, (start + to[row + 1]! * channels) >> 2)]!;
  }
  to[rows + ROW - 1] = seen;
}

/** Copies the pixels of a band's rows, and writes where the first of each stands. Four bytes at once: rows are too short to be copied as lists. */
function copyRows(
  fours: Int32Array,
  last: number,
  before: number,
  { width, channels }: Picture,
  { y0, y1 }: Band,
  to: Int32Array,
  rows: number,
  pixels: number,
): void {
  let free = pixels;
  for (let v = y0, row = rows; v <= y1; v++, row += ROW) {
    const start = before + v * width * channels;
    const first = start + to[row]! * channels;
    const end = (start + (to[row + 1]! + 1) * channels + 3) >> 2;
    to[row + 2] = 4 * free + (first & 3);
    const whole = Math.min(end, fours.length);
    for (let k = first >> 2; k < whole; k++) to[free++] = fours[k]!;
    if (end > whole) to[free++] = last;
  }
}
