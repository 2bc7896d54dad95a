import { crossedAt, middleOf } from '../geometry/polygon.ts';
import { upperMedian } from '../maths/linear.ts';
import { withArena, type Cv } from './cv.ts';
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
export function clearOfGrain(
  cv: Cv,
  hull: readonly number[],
  { mask, squared, level, green, passes, medians }: Steep,
  w: number,
  h: number,
): Uint8Array | null {
  const { from, to, sectors, cells } = BESIDE;
  const [cx, cy] = middleOf(Float64Array.from(hull));
  const grown = (by: number): number[] => hull.map((v, i) => (i % 2 === 0 ? cx + by * (v - cx) : cy + by * (v - cy)));
  const [inner, outer] = [grown(from), grown(to)];
  const sectorOf = (x: number, y: number): number =>
    Math.floor(((Math.atan2(y - cy, x - cx) / (2 * Math.PI) + 1) % 1) * sectors);
  // A shadow's slope has a gradient but no second difference.
  const ofBends = gradientOverBends(passes);
  const values = Array.from({ length: sectors }, () => [] as number[]);
  const ends = (a: number, most: number): [number, number] => {
    const list = outer.filter((_, i) => i % 2 === a);
    return [Math.max(0, Math.floor(Math.min(...list))), Math.min(most - 1, Math.ceil(Math.max(...list)))];
  };
  const [[x0, x1], [y0, y1]] = [ends(0, w), ends(1, h)];
  for (let y = y0; y <= y1; y += 2) {
    const [from, to] = crossedAt(outer, y);
    const [gap, end] = crossedAt(inner, y);
    for (let x = Math.max(x0, Math.ceil(from)); x <= Math.min(x1, to); x += 2) {
      const k = y * w + x;
      if (squared[k]! > 0 && !(x >= gap && x <= end))
        values[sectorOf(x, y)]!.push(Math.abs(green[k - 1]! - 2 * green[k]! + green[k + 1]!));
    }
  }
  const levels = values.map((v) => {
    if (v.length < cells) return level;
    return Math.min(GRAINIER.most * level, (medians * ofBends * upperMedian(Float32Array.from(v))) ** 2);
  });
  const most = Math.max(...levels);
  const raised = levels.some((v) => v >= GRAINIER.from * level);
  const out = Uint8Array.from(mask);
  if (!raised) return chains(cv, out, w, h, SPECKLED);
  for (let y = y0; y <= y1; y++)
    for (let x = x0; x <= x1; x++) {
      const k = y * w + x;
      if (out[k]! > 0 && squared[k]! <= most && squared[k]! <= levels[sectorOf(x, y)]!) out[k] = 0;
    }
  return chains(cv, out, w, h, 0);
}

/** Steep places that hang together are an edge from so many on; fewer are grain that stands out of it. */
const CHAIN = 8;
/** Share of all steep places that are specks from which they are taken off though the grain beside the die is the stage's. */
const SPECKLED = 0.01;

/**
 * The mask without steep places that hang together with few others, null where these are no more than a share of all: a stage that is burnt, or smoothed by a portrait mode, has less grain than its
 * shaded part, whose own then stands out of the stage's middle gradient here and there.
 */
function chains(cv: Cv, mask: Uint8Array, w: number, h: number, least: number): Uint8Array | null {
  return withArena(cv, (arena) => {
    const [labels, stats, centroids] = [arena.mat(), arena.mat(), arena.mat()];
    const count = cv.connectedComponentsWithStats(arena.mat(h, w, 'u8', mask), labels, stats, centroids, 8);
    const [of, sizes] = [labels.data32S, stats.data32S];
    let [specks, all] = [0, 0];
    for (let label = 1; label < count; label++) {
      const area = sizes[5 * label + 4]!;
      all += area;
      if (area < CHAIN) specks += area;
    }
    if (specks <= least * all) return null;
    const out = new Uint8Array(mask.length);
    for (let k = 0; k < out.length; k++) if (mask[k]! > 0 && sizes[5 * of[k]! + 4]! >= CHAIN) out[k] = mask[k]!;
    return out;
  });
}
