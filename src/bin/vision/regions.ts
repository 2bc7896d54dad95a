import { convexHull } from '../../geometry/outline.ts';
import { blankCells, borderCells, CELLS, changes, colourOf, smoothed, stageLook, strange, usualOf } from './cells.ts';
import { areaOf } from '../../geometry/polygon.ts';
import { floodedGround, GROUND, inradiusOf } from './mask.ts';
import { barWidth, boxRound, withoutLines, withoutLinesIn, type Parted } from './thin.ts';
import { coreOf, joined, once, THING, thingOf, type Part, type Thing } from './thing.ts';
import { reduced, spansOf, windowOf, type Window } from '../../vision/stage-window.ts';
import type { CardMap } from '../../vision/card-map.ts';
import { withArena, type Cv } from '../../vision/cv.ts';
import type { Picture } from '../../vision/picture.ts';
import { stageBorder } from '../../vision/region.ts';

export const BIN_REGION = {
  /** Reduced pixels across the stage's longer side, about. */
  across: 400,
  /** Share of the stage's half width and height that is looked at. */
  inner: 0.965,
  /** Width of gaps in an outline that are closed, reduced px. */
  closing: 5,
  /** Specks of strange colour up to this width are noise, reduced px. */
  opening: 5,
} as const;

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
  const window = windowOf(border, picture, BIN_REGION.across);
  const { w, h } = window;
  if (w < 16 || h < 16) return { things: [], colour: [128, 128, 128] };
  const spans = spansOf(border, window);
  const { planes, steep } = calmed(reduced(picture, window), window, spans);
  const mask = morphed(cv, steep, window, 'close', BIN_REGION.closing);
  const edge = borderCells(window, spans);
  const usual = usualOf(planes, edge);
  const blank = (cells: readonly number[], share: number): number[] =>
    blankCells(planes, mask, cells, usual, stageLook(planes, usual), share, w);
  const seeds = blank(edge, CELLS.border);
  const colours = morphed(cv, strange(planes, seeds, window, spans), window, 'open', BIN_REGION.opening);
  for (let k = 0; k < mask.length; k++) mask[k]! |= colours[k]!;
  const scene: Scene = { window, spans, closed: closedTo(mask, spans, window), colours, blank };
  const flooded = floodedGround(mask, seeds, spans, w, h);
  return {
    things: thingsOf(scene, withoutLines(flooded, window, spans), false),
    colour: colourOf(planes, flooded, window, spans),
  };
}

/** What the things of a photo are cut out of. */
interface Scene {
  readonly window: Window;
  readonly spans: Int32Array;
  /** 1 where no flood goes. */
  readonly closed: Uint8Array;
  readonly colours: Uint8Array;
  /** Cells among those given that look like the stage, or like so large a share of it in shadow. */
  readonly blank: (cells: readonly number[], share: number) => number[];
}

/** Things of what was parted, largest first; those that are not `inner` ones may each be looked at again from within. */
function thingsOf(scene: Scene, { ground, parts: all, thin }: Parted, inner: boolean): Thing[] {
  const { window, spans, colours } = scene;
  const parts = all.filter((p) => p.area >= THING.least / 2);
  return joined(parts.map((p) => ({ ...p, hull: convexHull(p.ends) })))
    .filter((p) => areaOf(p.hull) >= THING.least)
    .map((p) => ({
      ...thingOf(p, ground, window, spans),
      thin: p.labels.every((l) => thin.has(l)),
      hollow: once(() => isHollow(scene, ground, p)),
      core: once(() => coreOf(p, ground, colours, window, spans)),
      within: inner ? [] : [false, true].map((stage) => once(() => thingsWithin(scene, ground, p, stage))),
    }))
    .sort((a, b) => b.area - a.area);
}

/** A part, its cells and what lies round it. */
type Own = Pick<Part, 'labels' | 'hull'>;

/**
 * What is left of a part once some of its cells are flooded. The stage does not reach them, or they were none of its: nor does it reach what
 * they reach, so that nothing else has to be flooded.
 */
function leftOf({ window: { w, h }, closed }: Scene, cells: readonly number[], inner: readonly number[]): Int32Array {
  const left = new Int32Array(w * h).fill(GROUND);
  for (const k of cells) left[k] = 0;
  if (inner.length === 0) return left;
  const done = closed.slice();
  const stack: number[] = [];
  const reach = (k: number): void => {
    if (done[k] !== 0) return;
    done[k] = 1;
    left[k] = GROUND;
    stack.push(k);
  };
  for (const seed of inner) {
    reach(seed);
    for (let k = stack.pop(); k !== undefined; k = stack.pop()) {
      reach(k - 1);
      reach(k + 1);
      reach(k - w);
      reach(k + w);
    }
  }
  return left;
}

/** 1 where no flood goes: edges, and what lies off the stage. */
function closedTo(mask: Uint8Array, spans: Int32Array, { w, h }: Window): Uint8Array {
  const closed = new Uint8Array(w * h).fill(1);
  for (let y = 0; y < h; y++)
    for (let k = y * w + spans[2 * y]!; k <= y * w + spans[2 * y + 1]!; k++) if (mask[k] === 0) closed[k] = 0;
  return closed;
}

function cellsOf(ground: Int32Array, { labels, hull }: Own, { w, h }: Window): number[] {
  const mine = new Uint8Array(1 + Math.max(...labels));
  for (const label of labels) mine[label] = 1;
  const cells: number[] = [];
  const box = boxRound(hull, { w, h });
  for (let y = box.top; y < box.top + box.h; y++)
    for (let k = y * w + box.left; k < y * w + box.left + box.w; k++) if (mine[ground[k]!] === 1) cells.push(k);
  return cells;
}

/**
 * Things of a thing, once bars that join them are taken away, and where `stage` is set what looks like the stage in it is flooded too: the
 * inside of a ring, a shadow between dice.
 */
function thingsWithin(scene: Scene, ground: Int32Array, own: Own, stage: boolean): Thing[] {
  const cells = cellsOf(ground, own, scene.window);
  const inner = stage ? scene.blank(cells, CELLS.within) : [];
  if (stage && inner.length === 0) return [];
  const line = barWidth(inradiusOf(ground, own.labels, own.hull, scene.window.w));
  const left = leftOf(scene, cells, inner);
  const parted = withoutLinesIn(boxRound(own.hull, scene.window), left, scene.window, scene.spans, line);
  return thingsOf(scene, parted, true);
}

/** Whether nothing but lines is left of a part without what looks like the stage in its full light. */
function isHollow(scene: Scene, ground: Int32Array, own: Own): boolean {
  const { window, spans } = scene;
  const cells = cellsOf(ground, own, window);
  const inner = scene.blank(cells, NO_SHADE);
  if (inner.length === 0) return false;
  const { parts, thin } = withoutLinesIn(boxRound(own.hull, window), leftOf(scene, cells, inner), window, spans);
  return parts.every((p) => thin.has(p.label));
}

/** A share that no shade has: the stage in its full light alone. */
const NO_SHADE = 2;

/** Planes and their steep changes; of a noisy picture smoothed, twice where it was sharpened besides. */
function calmed(
  planes: readonly Int16Array[],
  window: Window,
  spans: Int32Array,
): { planes: readonly Int16Array[]; steep: Uint8Array } {
  let calm = planes;
  let found = changes(calm, window, spans);
  for (const noise of [CELLS.noisy, CELLS.noisier]) {
    if (found.noise <= noise) break;
    calm = smoothed(calm, window);
    found = changes(calm, window, spans);
  }
  return { planes: calm, steep: found.steep };
}

function morphed(cv: Cv, mask: Uint8Array, { w, h }: Window, how: 'open' | 'close', size: number): Uint8Array {
  return withArena(cv, (arena) => {
    const out = arena.mat();
    cv.morphologyEx(arena.mat(h, w, 'u8', mask), out, how, 'box', size);
    return out.data.slice();
  });
}
