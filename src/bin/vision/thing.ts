import { convexHull } from '../../geometry/outline.ts';
import { areaOf, contains, drawnIn, middleOf, resampled } from '../../geometry/polygon.ts';
import { partMiddles } from './mask.ts';
import type { Window } from '../../vision/stage-window.ts';

export const THING = {
  /** Least area of a thing, reduced px. */
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
  /** The blur reaches past an edge by about this, reduced px. */
  blur: 0.8,
} as const;

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
  /** Whether it is but a line: a hair, the border of a shadow, or the rim of something whose inside looks like the stage. */
  readonly thin: boolean;
  /** Whether it is but a line round bare stage: the ring of a cup. */
  readonly hollow: () => boolean;
  /** The single things that it seems to be made of, where it is not plainly convex; those that touch have a cut where they meet. */
  readonly parts: () => readonly Thing[];
  /** The part of it whose colour no shade of the stage has, where that is a good deal less than the whole: a die without its hard shadow. */
  readonly core: () => Thing | null;
  /** Ways in which it may be made of several: without bars that join them; and without what looks like the stage in it. */
  readonly within: readonly (() => readonly Thing[])[];
}

/** Connected cells that belong together: their numbers, the ends of their runs in each row, and their convex hull, [x, y] each, reduced px. */
export interface Part {
  readonly labels: readonly number[];
  readonly area: number;
  readonly ends: readonly number[];
  readonly hull: number[];
}

/** Parts whose middle lies in another's hull belong to it: a number on a face, an arc of a broken outline. */
export function joined(parts: readonly Omit<Part, 'labels'>[] & readonly { readonly label: number }[]): Part[] {
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

export function thingOf(part: Part, ground: Int32Array, window: Window, spans: Int32Array): Thing {
  const solidity = Math.min(1, part.area / areaOf(part.hull));
  const whole = placed(part.hull, solidity, window, (x, y) => nearBorder(x, y, spans));
  if (solidity >= THING.solid && elongation(part.hull) < THING.long) return whole;
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
export function once<T>(work: () => T): () => T {
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
  if (hull.length < 6 || areaOf(hull) < THING.least) return null;
  return placed(hull, 1, window, (x, y) => nearBorder(x, y, spans) || within(x, y) < THING.meeting);
}

/** What of a part has a colour of its own. */
export function coreOf(
  part: Part,
  ground: Int32Array,
  colours: Uint8Array,
  window: Window,
  spans: Int32Array,
): Thing | null {
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
  if (area < THING.core[0] * part.area || area > THING.core[1] * part.area) return null;
  const hull = convexHull(ends);
  if (hull.length < 6 || areaOf(hull) < THING.least || areaOf(hull) > THING.core[1] * areaOf(part.hull)) return null;
  return placed(hull, Math.min(1, area / areaOf(hull)), window, (x, y) => nearBorder(x, y, spans));
}

function placed(
  hull: readonly number[],
  solidity: number,
  { x0, y0, factor }: Window,
  isCut: (x: number, y: number) => boolean,
): Thing {
  const points = drawnIn(resampled(hull), THING.blur);
  const cut = new Uint8Array(points.length / 2);
  for (let i = 0; i < cut.length; i++) cut[i] = isCut(points[2 * i]!, points[2 * i + 1]!) ? 1 : 0;
  const outline = Float64Array.from(points, (v, i) => (v + 0.5) * factor - 0.5 + (i % 2 === 0 ? x0 : y0));
  return {
    grain: factor,
    outline,
    cut,
    area: areaOf(hull) * factor * factor,
    solidity,
    thin: false,
    hollow: () => false,
    parts: () => [],
    core: () => null,
    within: [],
  };
}

function nearBorder(x: number, y: number, spans: Int32Array): boolean {
  const m = THING.border;
  const inside = (u: number, v: number): boolean => {
    const row = Math.round(v);
    return row >= 0 && 2 * row < spans.length && u >= spans[2 * row]! && u <= spans[2 * row + 1]!;
  };
  return !(inside(x - m, y) && inside(x + m, y) && inside(x, y - m) && inside(x, y + m));
}
