import { CARD } from '../geometry/card.ts';
import { drawnTowards, resampled } from '../geometry/polygon.ts';
import type { CardMap } from './card-map.ts';
import { coveredBy, mostlyOwn } from './covered-outline.ts';
import type { Picture } from './picture.ts';
import { thingsIn, THINGS, type Thing } from './stage-things.ts';
import { windowOf, type Window } from './stage-window.ts';
import { clearOfGrain, withoutGrain, type ThingsOf } from './steep-grain.ts';
import { BareStage, rowsInside, steepPlaces } from './steep-places.ts';
import { wholeThings } from './whole-things.ts';

/** Rough outlines of what stands on the blank stage. */
export interface Region {
  /** Picture pixels per reduced pixel: the outline is good to about two of these. */
  readonly grain: number;
  /** Closed convex outline of one thing, [u, v] per point about a reduced pixel apart, px of the full picture. */
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
  /** Most things on a stage that are looked at; dice, with what dust and shadows lie beside them, are far fewer. */
  most: 250,
  /** The blur reaches past the edge by about its sigma: hulls are drawn in by that, reduced px. */
  blur: 1.4,
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
export function stageRegions(picture: Picture, map: CardMap, joint = 0.62): Region[] {
  const border = stageBorder(map, REGION.inner);
  const window = windowOf(border, picture, REGION.across);
  const { w, h } = window;
  if (w < 8 || h < 8) return [];
  const rows = rowsInside(border, window);
  const asked = (passes: number): ThingsOf<Thing> => {
    const steep = steepPlaces(picture, window, rows, passes);
    const stage = new BareStage(rows, window);
    return withoutGrain(
      thingsIn(steep.mask, w, h, joint, stage),
      (mask) => thingsIn(mask, w, h, joint, stage),
      (hull) => clearOfGrain(hull, steep, w, h),
    );
  };
  return wholeThings(asked, (thing) => mostlyOwn(coverOf(thing))).map((thing) => regionOf(thing, window, rows));
}

function regionOf(thing: Thing, window: Window, rows: Int32Array): Region {
  const { hull, area, solid, trimmed, spare } = thing;
  const { factor } = window;
  // A core lies within what it is the core of.
  const margin = trimmed ? THINGS.closing : 0;
  return {
    grain: factor,
    outline: inPicture(hull, window),
    area: area * factor * factor,
    cut: !isInside(hull, rows, window.h, margin),
    solid,
    trimmed,
    covered: coverOf(thing),
    spare: spare && inPicture(spare, window),
  };
}

/** Whether a hull lies so far inside the stage's border, reduced px. */
function isInside(hull: readonly number[], rows: Int32Array, h: number, by: number): boolean {
  for (let k = 0; k < hull.length; k += 2) {
    const x = Math.round(hull[k]!);
    for (const y of [hull[k + 1]! - by, hull[k + 1]! + by]) {
      const row = 2 * Math.min(h - 1, Math.max(0, Math.round(y)));
      if (x - by < rows[row]! || x + by >= rows[row + 1]!) return false;
    }
  }
  return true;
}

/** The outline of a hull, px of the full picture. */
function inPicture(hull: readonly number[], { x0, y0, factor }: Window): Float64Array {
  const xy = resampled(hull);
  const [cx, cy] = meanOf(xy);
  const out = Float64Array.from(drawnTowards(xy, cx, cy, REGION.blur));
  for (let k = 0; k < out.length; k++) out[k] = (out[k]! + 0.5) * factor - 0.5 + (k % 2 === 0 ? x0 : y0);
  return out;
}

function meanOf(xy: readonly number[]): readonly [number, number] {
  const n = xy.length / 2;
  let cx = 0;
  let cy = 0;
  for (let i = 0; i < n; i++) {
    cx += xy[2 * i]! / n;
    cy += xy[2 * i + 1]! / n;
  }
  return [cx, cy];
}

/** Per point of a thing's outline, 1 where something lay; null where nothing was taken off. */
const coverOf = ({ hull, area, trimmed, core }: Thing): Uint8Array | null =>
  trimmed && core ? coveredBy(resampled(hull), core, Math.sqrt(area)) : null;
