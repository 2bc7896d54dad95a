import { convexHull } from '../geometry/outline.ts';
import { median } from '../maths/linear.ts';
import { floodedGround, GROUND, labelled, partMiddles } from './bin-mask.ts';
import type { CardMap } from './card-map.ts';
import { withArena, type Cv } from './cv.ts';
import type { Picture } from './picture.ts';
import { crossedAt, stageBorder } from './region.ts';

/** One thing on the stage, roughly: a die, several that touch, a hand, a coin. */
export interface Thing {
  /** Picture pixels per reduced pixel: the outline is good to about two of these. */
  readonly grain: number;
  /** Its convex outline, [u, v] per point about a reduced pixel apart, clockwise as drawn, px of the picture. */
  readonly outline: Float64Array;
  /** 1 for points that follow the border of what is looked at, and not the thing. */
  readonly cut: Uint8Array;
  /** Area of the convex outline, px^2, and the share of it that the thing itself covers. */
  readonly area: number;
  readonly solidity: number;
  /** The single things that it seems to be made of, where it is not plainly convex; those that touch have a cut where they meet. */
  readonly parts: () => readonly Thing[];
  /** The part of it whose colour no shade of the stage has, where that is a good deal less than the whole: a die without its hard shadow. */
  readonly core: () => Thing | null;
}

export const BIN_REGION = {
  /** Reduced pixels across the stage's longer side, about. */
  across: 400,
  /** Share of the stage's half width and height that is looked at. */
  inner: 0.965,
  /** Change over two reduced pixels, three colours and both directions summed, that is an edge, display values: at least this, and so many medians. */
  change: 22,
  medians: 6,
  /** Width of gaps in an outline that are closed, and the least area of a thing, reduced px. */
  closing: 5,
  /** Specks of strange colour up to this width are noise, reduced px. */
  opening: 5,
  least: 60,
  /** Shares of a thing between which its core is worth a look of its own. */
  core: [0.2, 0.9],
  /** Share of its hull that a plain thing covers at least. */
  solid: 0.95,
  /** A thing so many times as long as wide is no single die. */
  long: 1.25,
  /** Points so near to where two things meet belong to neither, reduced px. */
  meeting: 7,
  /** Points of an outline so near to the border follow it, reduced px. */
  border: 3,
  /** Shade of the stage under which a cell is no shadow, and difference of colour, display values and share of the usual, that is a thing's. */
  darkest: 0.28,
  strangeness: 24,
  share: 0.35,
  /** How far the stage's border may differ from itself: display values, and a share for shade. */
  blank: 12,
  shade: 0.16,
  /** The blur reaches past an edge by about this, reduced px. */
  blur: 0.8,
} as const;

/** The reduced window that is looked at. */
interface Window {
  readonly x0: number;
  readonly y0: number;
  readonly w: number;
  readonly h: number;
  readonly factor: number;
}

/** What lies on a stage, and the stage itself. */
export interface BinStage {
  /** Largest first. */
  readonly things: readonly Thing[];
  /** Median display values of the bare stage: red, green, blue. */
  readonly colour: readonly [number, number, number];
}

/**
 * Things on the stage.
 *
 * Steep changes of any colour close round each thing, and what the stage's border does not reach through the rest is a thing. The stage
 * is blank and shadows are soft; where an outline has gaps and the inside is reached, the thing's edges alone remain, whose hull is
 * its outline still.
 */
export function binThings(cv: Cv, picture: Picture, map: CardMap): BinStage {
  const border = stageBorder(map, BIN_REGION.inner);
  const window = windowOf(border, picture);
  const { w, h } = window;
  if (w < 16 || h < 16) return { things: [], colour: [128, 128, 128] };
  const spans = spansOf(border, window);
  const planes = reduced(picture, window);
  const steep = changes(planes, window, spans);
  const mask = morphed(cv, steep, window, 'close', BIN_REGION.closing);
  const seeds = blankBorder(planes, mask, window, spans);
  const colours = morphed(cv, strange(planes, seeds, window, spans), window, 'open', BIN_REGION.opening);
  for (let k = 0; k < mask.length; k++) mask[k]! |= colours[k]!;
  const ground = floodedGround(mask, seeds, spans, w, h);
  const parts = labelled(ground, spans, w, h).filter((p) => p.area >= BIN_REGION.least / 2);
  const things = joined(parts.map((p) => ({ ...p, hull: convexHull(p.ends) })))
    .filter((p) => areaOf(p.hull) >= BIN_REGION.least)
    .map((p) => ({ ...thingOf(p, ground, window, spans), core: once(() => coreOf(p, ground, colours, window, spans)) }))
    .sort((a, b) => b.area - a.area);
  return { things, colour: colourOf(planes, ground, window, spans) };
}

/** Median colour of the cells that the stage's border reaches, display values. */
function colourOf(
  planes: readonly Int16Array[],
  ground: Int32Array,
  { w, h }: Window,
  spans: Int32Array,
): [number, number, number] {
  const cells: number[] = [];
  for (let y = 1; y < h - 1; y++)
    for (let k = y * w + spans[2 * y]!, end = y * w + spans[2 * y + 1]!; k <= end; k += 7)
      if (ground[k] === GROUND) cells.push(k);
  // Planes are sums of four pixels.
  return planes.map((p) => (cells.length > 0 ? median(cells.map((k) => p[k]!)) / 4 : 128)) as [number, number, number];
}

function morphed(cv: Cv, mask: Uint8Array, { w, h }: Window, how: 'open' | 'close', size: number): Uint8Array {
  return withArena(cv, (arena) => {
    const out = arena.mat();
    cv.morphologyEx(arena.mat(h, w, 'u8', mask), out, how, 'box', size);
    return out.data.slice();
  });
}

function windowOf(border: readonly number[], picture: Picture): Window {
  const xs = border.filter((_, i) => i % 2 === 0);
  const ys = border.filter((_, i) => i % 2 === 1);
  const x0 = Math.max(0, Math.floor(Math.min(...xs)));
  const y0 = Math.max(0, Math.floor(Math.min(...ys)));
  const x1 = Math.min(picture.width - 1, Math.ceil(Math.max(...xs)));
  const y1 = Math.min(picture.height - 1, Math.ceil(Math.max(...ys)));
  const factor = Math.max(1, Math.round(Math.max(x1 - x0, y1 - y0) / BIN_REGION.across));
  return { x0, y0, w: Math.floor((x1 - x0) / factor), h: Math.floor((y1 - y0) / factor), factor };
}

/** First and last reduced pixel of each row that lies on the stage; last < first where none does. */
function spansOf(border: readonly number[], { x0, y0, w, h, factor }: Window): Int32Array {
  const out = new Int32Array(2 * h);
  for (let y = 0; y < h; y++) {
    const [left, right] = crossedAt(border, y0 + (y + 0.5) * factor - 0.5);
    out[2 * y] = Math.max(1, Math.ceil((left - x0) / factor) + 1);
    out[2 * y + 1] = Math.min(w - 2, Math.floor((right - x0) / factor) - 1);
    if (!(out[2 * y + 1]! >= out[2 * y]!) || y === 0 || y === h - 1) out.set([1, 0], 2 * y);
  }
  return out;
}

/** 255 where colours change steeply, and 0. */
function changes(planes: readonly Int16Array[], { w, h }: Window, spans: Int32Array): Uint8Array {
  const [p, q, r] = planes as [Int16Array, Int16Array, Int16Array];
  const sum = new Uint16Array(w * h);
  const sample: number[] = [];
  for (let y = 1; y < h - 1; y++)
    for (let k = y * w + spans[2 * y]!, end = y * w + spans[2 * y + 1]!; k <= end; k++) {
      sum[k] =
        Math.abs(p[k + 1]! - p[k - 1]!) +
        Math.abs(p[k + w]! - p[k - w]!) +
        Math.abs(q[k + 1]! - q[k - 1]!) +
        Math.abs(q[k + w]! - q[k - w]!) +
        Math.abs(r[k + 1]! - r[k - 1]!) +
        Math.abs(r[k + w]! - r[k - w]!);
      if (k % 31 === 0) sample.push(sum[k]!);
    }
  // Sums of four pixels: in quarters of display values.
  const level = Math.max(4 * BIN_REGION.change, BIN_REGION.medians * (sample.length > 0 ? median(sample) : 0));
  const out = new Uint8Array(w * h);
  for (let k = 0; k < out.length; k++) out[k] = sum[k]! > level ? 255 : 0;
  return out;
}

/** Cells at the stage's border that look as most of it does: what is cut by the border lets nothing in. */
function blankBorder(planes: readonly Int16Array[], edges: Uint8Array, { w, h }: Window, spans: Int32Array): number[] {
  const border: number[] = [];
  for (let y = 1; y < h - 1; y++) {
    const [first, last] = [spans[2 * y]!, spans[2 * y + 1]!];
    const from = Math.max(first + 1, spans[2 * y - 2]!, spans[2 * y + 2]!);
    const to = Math.min(last - 1, spans[2 * y - 1]!, spans[2 * y + 3]!);
    for (let x = first; x <= last; x++) {
      if (x === from && to >= from) x = to + 1;
      border.push(y * w + x);
    }
  }
  const usual = planes.map((p) => median(border.map((k) => p[k]!)));
  const near = usual.map((u) => 4 * BIN_REGION.blank + BIN_REGION.shade * u);
  return border.filter((k) => planes.every((p, c) => Math.abs(p[k]! - usual[c]!) < near[c]!) && !nearEdge(edges, k, w));
}

/**
 * 255 at cells whose colour no shade of the stage has: a shadow scales all colours alike. It closes outlines that have gaps; a die of
 * the stage's own hue has edges alone.
 */
function strange(
  planes: readonly Int16Array[],
  seeds: readonly number[],
  { h, w }: Window,
  spans: Int32Array,
): Uint8Array {
  const mask = new Uint8Array(w * h);
  if (seeds.length === 0) return mask;
  const [red, green, blue] = planes as [Int16Array, Int16Array, Int16Array];
  const [sr, sg, sb] = planes.map((p) => median(seeds.map((k) => p[k]!))) as [number, number, number];
  const ss = sr * sr + sg * sg + sb * sb;
  const { darkest, strangeness, share } = BIN_REGION;
  const unlike = new Float32Array(w * h);
  const sample: number[] = [];
  for (let y = 1; y < h - 1; y++)
    for (let k = y * w + spans[2 * y]!, end = y * w + spans[2 * y + 1]!; k <= end; k++) {
      const r = red[k]!;
      const g = green[k]!;
      const b = blue[k]!;
      const shade = (r * sr + g * sg + b * sb) / ss;
      const dr = r - shade * sr;
      const dg = g - shade * sg;
      const db = b - shade * sb;
      const v = shade < darkest || shade > 2 - darkest ? 1e6 : dr * dr + dg * dg + db * db;
      unlike[k] = v;
      if (k % 17 === 0) sample.push(v);
    }
  const sorted = Float64Array.from(sample).sort();
  const level = Math.max((4 * strangeness) ** 2, share * share * (sorted[Math.floor(0.9 * sorted.length)] ?? 0));
  for (let k = 0; k < mask.length; k++) if (unlike[k]! > level) mask[k] = 255;
  return mask;
}

/** Whether an edge lies within two cells. */
function nearEdge(edges: Uint8Array, k: number, w: number): boolean {
  for (let j = -2; j <= 2; j++) for (let i = -2; i <= 2; i++) if (edges[k + j * w + i]) return true;
  return false;
}

/** Sums of four pixels that stand for each block: red, green, blue. */
function reduced({ data, channels: ch, width }: Picture, { x0, y0, w, h, factor }: Window): readonly Int16Array[] {
  const planes = [0, 1, 2].map(() => new Int16Array(w * h));
  const [red, green, blue] = planes as [Int16Array, Int16Array, Int16Array];
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
  return planes;
}

interface Part {
  readonly labels: readonly number[];
  readonly area: number;
  readonly ends: readonly number[];
  readonly hull: number[];
}

/** Parts whose middle lies in another's hull belong to it: a number on a face, an arc of a broken outline. */
function joined(parts: readonly Omit<Part, 'labels'>[] & readonly { readonly label: number }[]): Part[] {
  const heads: Part[] = [];
  const bySize = [...parts].sort((a, b) => areaOf(b.hull) - areaOf(a.hull) || a.label - b.label);
  for (const p of bySize) {
    const [x, y] = middleOf(p.hull);
    const at = heads.findIndex((q) => contains(q.hull, x, y));
    const one = { labels: [p.label], area: p.area, ends: p.ends, hull: p.hull };
    if (at < 0) heads.push(one);
    else {
      const q = heads[at]!;
      const ends = [...q.ends, ...p.ends];
      heads[at] = { labels: [...q.labels, p.label], area: q.area + p.area, ends, hull: convexHull(ends) };
    }
  }
  return heads;
}

function thingOf(part: Part, ground: Int32Array, window: Window, spans: Int32Array): Thing {
  const solidity = Math.min(1, part.area / areaOf(part.hull));
  const whole = placed(part.hull, solidity, window, (x, y) => nearBorder(x, y, spans));
  if (solidity >= BIN_REGION.solid && elongation(part.hull) < BIN_REGION.long) return whole;
  const parts = once(() => {
    const middles = partMiddles(ground, part.labels, part.hull, window.w);
    if (middles.length < 4) return [];
    return middles
      .flatMap((_, i) => (i % 2 === 0 ? [partOf(part, middles, i, window, spans)] : []))
      .filter((p) => p !== null);
  });
  return { ...whole, parts };
}

/** Works a value out when it is first asked for. */
function once<T>(work: () => T): () => T {
  let value: { readonly it: T } | null = null;
  return () => (value ??= { it: work() }).it;
}

/** Length over width of an outline: roots of the two main moments of its points, evenly spaced. */
function elongation(hull: readonly number[]): number {
  const xy = resampled(hull);
  const n = xy.length / 2;
  let [mx, my, xx, xyy, yy] = [0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    mx += xy[2 * i]! / n;
    my += xy[2 * i + 1]! / n;
  }
  for (let i = 0; i < n; i++) {
    const [x, y] = [xy[2 * i]! - mx, xy[2 * i + 1]! - my];
    xx += x * x;
    xyy += x * y;
    yy += y * y;
  }
  const root = Math.hypot(xx - yy, 2 * xyy);
  return Math.sqrt((xx + yy + root) / Math.max(1e-9, xx + yy - root));
}

/** The part round one of the middles: what lies nearer to it than to any other. */
function partOf(part: Part, middles: readonly number[], i: number, window: Window, spans: Int32Array): Thing | null {
  const [mx, my] = [middles[i]!, middles[i + 1]!];
  /** How far a place lies on this middle's side of the nearest parting line. */
  const within = (x: number, y: number): number => {
    let least = Infinity;
    for (let j = 0; j < middles.length; j += 2) {
      if (j === i) continue;
      const [ox, oy] = [middles[j]!, middles[j + 1]!];
      const d = (x - ox) ** 2 + (y - oy) ** 2 - (x - mx) ** 2 - (y - my) ** 2;
      least = Math.min(least, d / 2 / Math.hypot(ox - mx, oy - my));
    }
    return least;
  };
  const ends: number[] = [];
  for (let k = 0; k < part.ends.length; k += 2)
    if (within(part.ends[k]!, part.ends[k + 1]!) > 0) ends.push(part.ends[k]!, part.ends[k + 1]!);
  const hull = convexHull(ends);
  if (hull.length < 6 || areaOf(hull) < BIN_REGION.least) return null;
  return placed(hull, 1, window, (x, y) => nearBorder(x, y, spans) || within(x, y) < BIN_REGION.meeting);
}

/** What of a part has a colour of its own. */
function coreOf(part: Part, ground: Int32Array, colours: Uint8Array, window: Window, spans: Int32Array): Thing | null {
  const { w, h } = window;
  const ys = part.hull.filter((_, i) => i % 2 === 1);
  const mine = new Set(part.labels);
  const ends: number[] = [];
  let area = 0;
  for (let y = Math.max(1, Math.min(...ys)); y <= Math.min(h - 2, Math.max(...ys)); y++)
    for (let k = y * w + spans[2 * y]!, last = y * w + spans[2 * y + 1]!; k <= last; k++) {
      if (!colours[k] || !mine.has(ground[k]!)) continue;
      area++;
      if (!colours[k - 1] || !colours[k + 1]) ends.push(k - y * w, y);
    }
  if (area < BIN_REGION.core[0] * part.area || area > BIN_REGION.core[1] * part.area) return null;
  const hull = convexHull(ends);
  if (hull.length < 6 || areaOf(hull) < BIN_REGION.least || areaOf(hull) > BIN_REGION.core[1] * areaOf(part.hull))
    return null;
  return placed(hull, Math.min(1, area / areaOf(hull)), window, (x, y) => nearBorder(x, y, spans));
}

function placed(
  hull: readonly number[],
  solidity: number,
  { x0, y0, factor }: Window,
  isCut: (x: number, y: number) => boolean,
): Thing {
  const points = drawnIn(resampled(hull), BIN_REGION.blur);
  const cut = new Uint8Array(points.length / 2);
  for (let i = 0; i < cut.length; i++) cut[i] = isCut(points[2 * i]!, points[2 * i + 1]!) ? 1 : 0;
  const outline = Float64Array.from(points, (v, i) => (v + 0.5) * factor - 0.5 + (i % 2 === 0 ? x0 : y0));
  return {
    grain: factor,
    outline,
    cut,
    area: areaOf(hull) * factor * factor,
    solidity,
    parts: () => [],
    core: () => null,
  };
}

function nearBorder(x: number, y: number, spans: Int32Array): boolean {
  const m = BIN_REGION.border;
  const inside = (u: number, v: number): boolean => {
    const row = Math.round(v);
    return row >= 0 && 2 * row < spans.length && u >= spans[2 * row]! && u <= spans[2 * row + 1]!;
  };
  return !(inside(x - m, y) && inside(x + m, y) && inside(x, y - m) && inside(x, y + m));
}

export const areaOf = (xy: ArrayLike<number>): number => {
  let s = 0;
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    s += xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
  }
  return Math.abs(s) / 2;
};

/** Whether a convex outline contains a point; either winding. */
export function contains(hull: ArrayLike<number>, x: number, y: number): boolean {
  let sign = 0;
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const t = (hull[j]! - hull[i]!) * (y - hull[i + 1]!) - (hull[j + 1]! - hull[i + 1]!) * (x - hull[i]!);
    if (t === 0) continue;
    if (sign !== 0 && Math.sign(t) !== sign) return false;
    sign = Math.sign(t);
  }
  return true;
}

/** Middle of the box round an outline. */
function middleOf(xy: readonly number[]): [number, number] {
  const u = xy.filter((_, i) => i % 2 === 0);
  const v = xy.filter((_, i) => i % 2 === 1);
  return [(Math.min(...u) + Math.max(...u)) / 2, (Math.min(...v) + Math.max(...v)) / 2];
}

function resampled(hull: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const length = Math.hypot(hull[j]! - hull[i]!, hull[j + 1]! - hull[i + 1]!);
    for (let s = 0; s < length; s++) {
      const t = s / length;
      out.push(hull[i]! + t * (hull[j]! - hull[i]!), hull[i + 1]! + t * (hull[j + 1]! - hull[i + 1]!));
    }
  }
  return out;
}

function drawnIn(xy: readonly number[], by: number): number[] {
  const [cx, cy] = middleOf(xy);
  return xy.map((v, k) => {
    const i = k >> 1;
    const d = Math.hypot(xy[2 * i]! - cx, xy[2 * i + 1]! - cy) || 1;
    return v - (by * (v - (k % 2 === 0 ? cx : cy))) / d;
  });
}
