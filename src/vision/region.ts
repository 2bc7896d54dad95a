import { tuple } from '../maths/tuple.ts';
import { CARD } from '../geometry/card.ts';
import { convexHull } from '../geometry/outline.ts';
import { areaOf, contains, crossedAt, resampled } from '../geometry/polygon.ts';
import { upperMedian } from '../maths/linear.ts';
import type { CardMap } from './card-map.ts';
import { coveredBy, mostlyOwn, type Core } from './covered-outline.ts';
import { withArena, type Cv } from './cv.ts';
import type { Picture } from './picture.ts';
import { smoothPlane } from './plane-smoothing.ts';
import { clearOfGrain, withoutGrain, type Steep, type ThingsOf } from './steep-grain.ts';
import { solidPart, type Part } from './solid-part.ts';
import { wholeThings } from './whole-things.ts';
import { planesFor, reduce, windowOf, type Planes, type Window } from './stage-window.ts';

/** Rough outlines of what stands on the blank stage. */
export interface Region {
  /** Picture pixels per reduced pixel: the outline is good to about two of these. */
  readonly grain: number;
  /** Closed convex outline of one thing, [u, v] per point about `REGION.step` reduced pixels apart, px of the full picture. */
  readonly outline: Float64Array;
  readonly area: number;
  /** Whether it reaches the border of the stage. */
  readonly cut: boolean;
  /** Whether it is a filled convex thing by itself; else its outline has gaps, or it is a line. */
  readonly solid: boolean;
  /** Whether something thin that touches it was taken off. */
  readonly trimmed: boolean;
  /** Per point of the outline, 1 where that lay, so that the outline is not the thing's own; null where nothing was taken off. */
  readonly covered: Uint8Array | null;
  /** Another outline that it may have, where grain or a crumb beside it could not be told from it; as `outline`. */
  readonly spare: Float64Array | null;
}

export const REGION = {
  /** Reduced pixels across the stage's longer side, about. */
  across: 540,
  /** Share of the stage's half width and height that is looked at; the rest is the ring's shadow and blur. */
  inner: 0.965,
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
  closing: 9,
  least: 45,
  /** Most things on a stage that are looked at; dice, with what dust and shadows lie beside them, are far fewer. */
  most: 250,
  /** A part is solid where its core fills this share of its own hull, and is these shares of the part's size and its hull's area. */
  convex: 0.88,
  core: 0.35,
  part: 0.15,
  /** A part is a line where its hull is less than this share of the square over its size. */
  line: 0.15,
  /** Its hull may be this much larger than its core's before what makes it so is taken off. */
  hull: 1.08,
  /** Its core's hull is another outline that it may have where its own is so much larger: a core lacks the tips of corners, 1 to 3 % of undisturbed dice. */
  bulge: 1.03,
  /** A hole is the bare stage where its mean colour is no further from it than this, display values. */
  stage: 7,
  /** Or where it is the stage in shade: no darker than this share of it, and no colour's share further from another's. */
  shade: 0.78,
  hue: 0.03,
} as const;

/** Corners of the stage in the picture, px; the sides are followed in steps, since the lens bends them. */
export function stageBorder(map: CardMap, share: number): number[] {
  const w = (CARD.stageWidth / 2) * share;
  const h = (CARD.stageHeight / 2) * share;
  const corners = [
    [-w, -h],
    [w, -h],
    [w, h],
    [-w, h],
  ] as const;
  const out: number[] = [];
  for (let c = 0; c < 4; c++)
    for (let k = 0; k < 16; k++) {
      const [a, b, t] = [corners[c]!, corners[(c + 1) % 4]!, k / 16];
      out.push(...map.at(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])));
    }
  return out;
}

/**
 * Things on the stage, largest first: the convex hulls of steep gradients inside it.
 *
 * The stage is blank and shadows are soft, so every steep gradient belongs to a thing on it; colour distance fails on black and on
 * clear dice. Parts closer together than `joint` of the larger one's size are one thing (a number on a face, a highlight).
 */
export function stageRegions(cv: Cv, picture: Picture, map: CardMap, joint = 0.62): Region[] {
  const border = stageBorder(map, REGION.inner);
  const window = windowOf(border, picture, REGION.across);
  const { x0, y0, w, h, factor } = window;
  if (w < 8 || h < 8) return [];
  const rows = rowsInside(border, x0, y0, w, h, factor);
  const isInside = (x: number, y: number, by: number): boolean =>
    [y - by, y + by].every((v) => {
      const row = 2 * Math.min(h - 1, Math.max(0, Math.round(v)));
      return Math.round(x) - by >= rows[row]! && Math.round(x) + by < rows[row + 1]!;
    });
  const asked = (passes: number): ThingsOf<Thing> => {
    const steep = steepPlaces(picture, window, rows, passes);
    const isStage = stageLike(rows, w, h);
    return withoutGrain(
      things(cv, steep.mask, w, h, joint, isStage),
      (mask) => things(cv, mask, w, h, joint, isStage),
      (hull) => clearOfGrain(cv, hull, steep, w, h),
    );
  };
  // The blur reaches past the edge by about its sigma: draw the hull in by that.
  const full = (hull: readonly number[]): Float64Array =>
    Float64Array.from(inwards(resampled(hull), 1.4), (v, i) => (v + 0.5) * factor - 0.5 + (i % 2 === 0 ? x0 : y0));
  const found = wholeThings(asked, (thing) => mostlyOwn(coverOf(thing)));
  return found.map((thing) => {
    const { hull, area, solid, trimmed, spare } = thing;
    // A core lies within what it is the core of.
    const cut = hull.some((v, i) => i % 2 === 0 && !isInside(v, hull[i + 1]!, trimmed ? REGION.closing : 0));
    return {
      grain: factor,
      outline: full(hull),
      area: area * factor * factor,
      cut,
      solid,
      trimmed,
      covered: coverOf(thing),
      spare: spare && full(spare),
    };
  });
}

/** Per point of a thing's outline, 1 where something lay; null where nothing was taken off. */
const coverOf = ({ hull, area, trimmed, core }: Thing): Uint8Array | null =>
  trimmed && core ? coveredBy(resampled(hull), core, Math.sqrt(area)) : null;

/** One reduced pixel in so many is asked for the stage's median gradient. */
const MEDIAN_STRIDE = 7;

/**
 * Which reduced pixels inside the border are steep; of a noisy picture, once it is smoothed (by `least` passes at least): its grain would else raise the level above
 * what a die's edge rises by, and its outline falls apart.
 */
function steepPlaces(picture: Picture, window: Window, rows: Int32Array, least: number): Steep {
  const { w, h } = window;
  const { planes, steep } = roomFor(w * h);
  reduce(picture, window, planes);
  let passes = 0;
  let usual = gradients(planes, steep, rows, w, h);
  while (passes < least || (REGION.medians * usual > REGION.noisy && passes < REGION.passes)) {
    for (const plane of planes) smoothPlane(plane, w, h);
    usual = gradients(planes, steep, rows, w, h);
    passes++;
  }
  const medians = passes > 0 ? REGION.mediansOfGrain : REGION.medians;
  const gentlest = least > 0 ? REGION.gentle : REGION.gradient;
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
function rowsInside(
  border: readonly number[],
  x0: number,
  y0: number,
  w: number,
  h: number,
  factor: number,
): Int32Array {
  const out = new Int32Array(2 * h);
  for (let y = 0; y < h; y++) {
    const [left, right] = crossedAt(border, y0 + (y + 0.5) * factor - 0.5);
    if (!(right > left)) continue;
    // Two reduced pixels off the border.
    const place = (u: number): number => (u + 0.5 - x0) / factor - 0.5;
    out[2 * y] = Math.max(0, Math.ceil(place(left) + 2));
    out[2 * y + 1] = Math.max(out[2 * y]!, Math.min(w, Math.floor(place(right) - 2) + 1));
  }
  return out;
}

/** Tells whether cells of the window that was reduced last look like the bare stage. */
function stageLike(rows: Int32Array, w: number, h: number): (cells: readonly number[]) => boolean {
  const { planes } = room;
  let known: readonly number[] | null = null;
  return (cells) => {
    const stage = (known ??= planes.map((plane) => middleOn(plane, rows, w, h)));
    const mean = planes.map((plane) => {
      let sum = 0;
      for (const k of cells) sum += plane[k]!;
      return sum / cells.length;
    });
    // Of sums of four pixels.
    if (mean.every((v, c) => Math.abs(v - stage[c]!) < 4 * REGION.stage)) return true;
    const shares = mean.map((v, c) => v / Math.max(1, stage[c]!));
    const [least, most] = [Math.min(...shares), Math.max(...shares)];
    return least > REGION.shade && most < 1.02 && most - least < REGION.hue;
  };
}

/** Upper median of a plane on the stage, by counting: sums of four pixels are whole and small. 0 of nothing. */
function middleOn(plane: Int16Array, rows: Int32Array, w: number, h: number): number {
  const counts = new Int32Array(4 * 255 + 1);
  let all = 0;
  for (let y = 0; y < h; y++)
    for (let k = y * w + rows[2 * y]!; k < y * w + rows[2 * y + 1]!; k += MEDIAN_STRIDE, all++) counts[plane[k]!]!++;
  let [value, below] = [0, 0];
  while (all > 0 && below + counts[value]! <= all >> 1) below += counts[value++]!;
  return value;
}

/** A thing on the stage: its hull, reduced px. */
interface Thing {
  readonly hull: number[];
  readonly area: number;
  readonly solid: boolean;
  readonly trimmed: boolean;
  readonly core: Core | null;
  readonly spare: readonly number[] | null;
}

function things(
  cv: Cv,
  mask: Uint8Array,
  w: number,
  h: number,
  joint: number,
  isStage: (cells: readonly number[]) => boolean,
): Thing[] {
  return withArena(cv, (arena) => {
    const source = arena.mat(h, w, 'u8', mask);
    const closed = arena.mat();
    const labels = arena.mat();
    const stats = arena.mat();
    const centroids = arena.mat();
    cv.morphologyEx(source, closed, 'close', 'box', REGION.closing);
    const count = cv.connectedComponentsWithStats(closed, labels, stats, centroids, 8);
    const l = labels.data32S;
    const parts = partsOf(stats.data32S, count);
    const ends = endsByLabel(l, w, h, parts);
    const heads: { part: Part; core: Core | null; line: boolean; of: Set<number> }[] = [];
    for (const p of parts) {
      // What hangs together with a solid thing lies in its hull; parts of an outline with gaps lie anywhere near.
      const own = coreOf(l, w, p, isStage);
      const head = heads.find(({ part: q, core, line }) =>
        core
          ? contains(core.hull, p.x, p.y)
          : !(line && own !== null) && Math.hypot(p.x - q.x, p.y - q.y) < joint * q.size,
      );
      if (head) head.of.add(p.label);
      else {
        const of = new Set([p.label]);
        // A shadow's edge or a pencil line does not take a die beside it for its own.
        const line = own === null && areaOf(hullOf(ends, of)) < REGION.line * p.size ** 2;
        heads.push({ part: p, core: own, line, of });
      }
    }
    return heads
      .map(({ core, of }): Thing => {
        const hull = hullOf(ends, of);
        const [area, least] = [areaOf(hull), core ? areaOf(core.hull) : 0];
        // A face of a die whose outline has gaps is no die.
        const solid = core !== null && least > REGION.least && least > REGION.part * area;
        const trimmed = solid && area > REGION.hull * least;
        const spare = solid && !trimmed && area > REGION.bulge * least ? core.hull : null;
        return {
          hull: trimmed ? [...core!.hull] : hull,
          area: trimmed ? least : area,
          solid,
          trimmed,
          core,
          spare,
        };
      })
      .filter((t) => t.area >= REGION.least)
      .sort((a, b) => b.area - a.area);
  });
}

/** The parts that count, largest first. */
function partsOf(stats: Int32Array, count: number): Part[] {
  return Array.from({ length: count - 1 }, (_, i) => {
    const [left, top, width, height, area] = tuple(stats.subarray(5 * (i + 1)), 5);
    const [x, y, size] = [left + width / 2, top + height / 2, Math.max(width, height)];
    return { label: i + 1, left, top, width, height, x, y, size, area };
  })
    .filter((p) => p.area >= REGION.least / 4)
    .sort((a, b) => b.size - a.size || a.label - b.label);
}

/** A part's solid core; null where it has none that is most of it. */
function coreOf(
  labels: Int32Array,
  w: number,
  part: Part,
  isStage: (cells: readonly number[]) => boolean,
): Core | null {
  const { ends, area, off } = solidPart(labels, w, part, isStage);
  if (area === 0) return null;
  const hull = convexHull([...ends]);
  const [xs, ys] = [0, 1].map((a) => hull.filter((_, i) => i % 2 === a)) as [number[], number[]];
  const size = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys));
  return area > REGION.convex * areaOf(hull) && size > REGION.core * part.size ? { hull, ends, off } : null;
}

/** The ends of each row's runs of a label, [x, y] in turn, by label: all that a hull needs, from one walk over the cells. */
function endsByLabel(labels: Int32Array, w: number, h: number, parts: readonly Part[]): Map<number, number[]> {
  const ends = new Map(parts.map(({ label }) => [label, [] as number[]]));
  for (let y = 0, k = 0; y < h; y++) {
    let before = k > 0 ? labels[k - 1]! : 0;
    for (let x = 0; x < w; x++, k++) {
      const label = labels[k]!;
      if (label !== 0 && (before !== label || labels[k + 1] !== label)) ends.get(label)?.push(x, y);
      before = label;
    }
  }
  return ends;
}

/** Hull of all cells with one of these labels. */
const hullOf = (ends: ReadonlyMap<number, readonly number[]>, of: ReadonlySet<number>): number[] =>
  convexHull([...of].flatMap((label) => ends.get(label)!));

function inwards(xy: readonly number[], by: number): number[] {
  const n = xy.length / 2;
  let cx = 0;
  let cy = 0;
  for (let i = 0; i < n; i++) {
    cx += xy[2 * i]! / n;
    cy += xy[2 * i + 1]! / n;
  }
  return xy.map((v, k) => {
    const i = k >> 1;
    const d = Math.hypot(xy[2 * i]! - cx, xy[2 * i + 1]! - cy) || 1;
    return v - (by * (v - (k % 2 === 0 ? cx : cy))) / d;
  });
}
