import { boxAround, crossedAt, middleOf } from '../geometry/polygon.ts';
import { nthCounted } from '../maths/linear.ts';
import { maskOf, partsIn } from './mask.ts';
import { gradientOverBends } from './plane-smoothing.ts';

/** Which reduced pixels inside the border are steep: 255, else 0; their squared gradients (display values per reduced px), rows from the top, and the one from which on they count. */
export interface Steep {
  readonly mask: Uint8Array;
  readonly squared: Int32Array;
  readonly level: number;
  /** The plane of green, sums of four pixels, and how often it was smoothed. */
  readonly green: Int16Array;
  readonly passes: number;
  /** How many medians of the gradient count as none. */
  readonly medians: number;
}

/** A die's outline is still the same one where without the grain beside it it is so much of the area. */
const SAME_AREA = 0.75;

/** Things, largest first, and whether no grain beside them is left in their outlines. */
export interface ThingsOf<T> {
  readonly found: readonly T[];
  readonly clear: boolean;
}

/**
 * Things again without the grain that stands out beside the first of them, where that leaves it whole: a die that the stage hardly differs from
 * would lose edges with it. Where it has gaps then and hardly less of an area, its hull is kept as the `spare` one: only the die's own shape can tell
 * a lost edge from grain that is gone.
 */
export function withoutGrain<
  T extends {
    readonly hull: readonly number[];
    readonly solid: boolean;
    readonly trimmed: boolean;
    readonly area: number;
    readonly spare: readonly number[] | null;
  },
>(
  first: readonly T[],
  again: (mask: Uint8Array) => readonly T[],
  cleared: (hull: readonly number[]) => Uint8Array | null,
): ThingsOf<T> {
  const [was] = first;
  if (!was?.solid) return { found: first, clear: true };
  const mask = cleared(was.hull);
  if (!mask) return { found: first, clear: true };
  const found = again(mask);
  const [is] = found;
  const alike = is !== undefined && is.area > SAME_AREA * was.area;
  if (alike && is.solid) return { found, clear: true };
  const spared = alike && !was.trimmed ? [{ ...was, spare: is.hull }, ...first.slice(1)] : first;
  return { found: spared, clear: false };
}

/** The ring beside a thing whose grain is looked at, shares of the thing's hull, and how many sectors of it; fewest cells of a sector. */
const BESIDE = { from: 1.06, to: 1.4, sectors: 12, cells: 30 } as const;
/** Grain beside a thing counts where its level is so many times the whole stage's (squares), and raises it by no more than that. */
const GRAINIER = { from: 1.4 ** 2, most: 3 ** 2 } as const;

/**
 * The steep places again, by the grain right beside a thing: null where that is the whole stage's and few specks stand out.
 *
 * A stage that is burnt, or smoothed by a portrait mode, has less grain than its shaded part beside the die.
 */
export function clearOfGrain(hull: readonly number[], steep: Steep, w: number, h: number): Uint8Array | null {
  const { mask, squared, level } = steep;
  const ring = ringRound(hull, w, h);
  countBends(ring, steep, w);
  const levels = levelsBeside(steep);
  const most = Math.max(...levels);
  if (most < GRAINIER.from * level) return chains(mask, w, h, SPECKLED);
  const out = mask.slice();
  for (let y = ring.y0; y <= ring.y1; y++)
    for (let x = ring.x0, k = y * w + x; x <= ring.x1; x++, k++)
      if (out[k]! > 0 && squared[k]! <= most && squared[k]! <= levels[sectorOf(ring, x, y)]!) out[k] = 0;
  return chains(out, w, h, 0);
}

/** The ring beside a thing: its borders, its middle, and its first and last cells inside the window. */
interface Ring {
  readonly outer: readonly number[];
  readonly inner: readonly number[];
  readonly cx: number;
  readonly cy: number;
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
}

function ringRound(hull: readonly number[], w: number, h: number): Ring {
  const [cx, cy] = middleOf(hull);
  const outer = grown(hull, cx, cy, BESIDE.to);
  const { left, top, right, bottom } = boxAround(outer);
  const [x0, x1] = [Math.max(0, Math.floor(left)), Math.min(w - 1, Math.ceil(right))];
  const [y0, y1] = [Math.max(0, Math.floor(top)), Math.min(h - 1, Math.ceil(bottom))];
  return { outer, inner: grown(hull, cx, cy, BESIDE.from), cx, cy, x0, x1, y0, y1 };
}

/** A ring of [x, y] grown about its middle. */
function grown(ring: readonly number[], cx: number, cy: number, by: number): number[] {
  const out: number[] = [];
  for (let i = 0; i < ring.length; i += 2) out.push(cx + by * (ring[i]! - cx), cy + by * (ring[i + 1]! - cy));
  return out;
}

const sectorOf = ({ cx, cy }: Ring, x: number, y: number): number =>
  Math.floor(((Math.atan2(y - cy, x - cx) / (2 * Math.PI) + 1) % 1) * BESIDE.sectors);

/** Second differences of sums of four pixels are smaller than this. */
const BENDS = 4 * 2 * 255 + 1;
/** How often each second difference is found in each sector. */
const bends = new Int32Array(BESIDE.sectors * BENDS);

/** Counts second differences along every other row, at every other cell: a shadow's slope has a gradient but none of these. */
function countBends(ring: Ring, { squared, green }: Steep, w: number): void {
  bends.fill(0);
  for (let y = ring.y0; y <= ring.y1; y += 2) {
    const [from, to] = crossedAt(ring.outer, y);
    const [gap, end] = crossedAt(ring.inner, y);
    for (let x = Math.max(ring.x0, Math.ceil(from)); x <= Math.min(ring.x1, to); x += 2) {
      const k = y * w + x;
      if (squared[k]! > 0 && !(x >= gap && x <= end))
        bends[sectorOf(ring, x, y) * BENDS + Math.abs(green[k - 1]! - 2 * green[k]! + green[k + 1]!)]!++;
    }
  }
}

/** The level from which on steep places count, by sector. */
function levelsBeside({ level, passes, medians }: Steep): number[] {
  const ofBends = gradientOverBends(passes);
  const levels: number[] = [];
  for (let sector = 0; sector < BESIDE.sectors; sector++) {
    const counts = bends.subarray(sector * BENDS, (sector + 1) * BENDS);
    let all = 0;
    for (let k = 0; k < BENDS; k++) all += counts[k]!;
    levels.push(
      all < BESIDE.cells
        ? level
        : Math.min(GRAINIER.most * level, (medians * ofBends * nthCounted(counts, all >> 1)) ** 2),
    );
  }
  return levels;
}

/** Steep places that hang together are an edge from so many on; fewer are grain that stands out of it. */
const CHAIN = 8;
/** Share of all steep places that are specks from which they are taken off though the grain beside the die is the stage's. */
const SPECKLED = 0.01;

/**
 * The mask without steep places that hang together with few others, null where these are no more than a share of all: a stage that is burnt, or smoothed by a portrait mode, has less grain than its
 * shaded part, whose own then stands out of the stage's middle gradient here and there.
 */
function chains(mask: Uint8Array, w: number, h: number, least: number): Uint8Array | null {
  const { runs, of, areas } = partsIn(maskOf(mask, w, h));
  let [specks, all] = [0, 0];
  for (const area of areas) {
    all += area;
    if (area < CHAIN) specks += area;
  }
  if (specks <= least * all) return null;
  const out = mask.slice();
  for (let k = 0; k < of.length; k++)
    if (areas[of[k]!]! < CHAIN) out.fill(0, runs[3 * k]! * w + runs[3 * k + 1]!, runs[3 * k]! * w + runs[3 * k + 2]!);
  return out;
}
