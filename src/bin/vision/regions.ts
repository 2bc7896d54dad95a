import { convexHull } from '../../geometry/outline.ts';
import { blankCells, borderCells, CELLS, changes, colourOf, smoothed, stageLook, strange, usualOf } from './cells.ts';
import { areaOf } from '../../geometry/polygon.ts';
import { floodedGround, GROUND, inradiusOf } from './mask.ts';
import { barWidth, THIN, withoutLines, type LineWidth } from './thin.ts';
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
  const scene: Scene = { window, spans, mask, colours, seeds, blank };
  const flooded = floodedGround(mask, seeds, spans, w, h);
  return { things: thingsOf(scene, flooded, null), colour: colourOf(planes, flooded, window, spans) };
}

/** What the things of a photo are cut out of. */
interface Scene {
  readonly window: Window;
  readonly spans: Int32Array;
  readonly mask: Uint8Array;
  readonly colours: Uint8Array;
  readonly seeds: readonly number[];
  /** Cells among those given that look like the stage, or like so large a share of it in shadow. */
  readonly blank: (cells: readonly number[], share: number) => number[];
}

/** Things in what was not flooded, largest first; where no width of lines is given each may be looked at again from within. */
function thingsOf(scene: Scene, flooded: Int32Array, line: LineWidth | null): Thing[] {
  const { window, spans, colours } = scene;
  const { ground, parts: all, thin } = withoutLines(flooded, window, spans, line ?? THIN);
  const parts = all.filter((p) => p.area >= THING.least / 2);
  return joined(parts.map((p) => ({ ...p, hull: convexHull(p.ends) })))
    .filter((p) => areaOf(p.hull) >= THING.least)
    .map((p) => ({
      ...thingOf(p, ground, window, spans),
      thin: p.labels.every((l) => thin.has(l)),
      hollow: once(() => isHollow(scene, ground, p)),
      core: once(() => coreOf(p, ground, colours, window, spans)),
      within: line ? [] : [false, true].map((stage) => once(() => thingsWithin(scene, ground, p, stage))),
    }))
    .sort((a, b) => b.area - a.area);
}

/** What is left of a part once some of its cells are flooded. */
function leftOf(
  { window, spans, mask, seeds }: Scene,
  ground: Int32Array,
  labels: readonly number[],
  inner: readonly number[],
): Int32Array {
  // prettier-ignore
  const mine = new Set(labels);
  const flooded = floodedGround(mask, [...seeds, ...inner], spans, window.w, window.h);
  for (let k = 0; k < flooded.length; k++) if (!mine.has(ground[k]!)) flooded[k] = GROUND;
  return flooded;
}

function cellsOf(ground: Int32Array, labels: readonly number[]): number[] {
  const mine = new Set(labels);
  const cells: number[] = [];
  for (let k = 0; k < ground.length; k++) if (mine.has(ground[k]!)) cells.push(k);
  return cells;
}

/**
 * Things of a thing, once bars that join them are taken away, and where `stage` is set what looks like the stage in it is flooded too: the
 * inside of a ring, a shadow between dice.
 */
function thingsWithin(
  scene: Scene,
  ground: Int32Array,
  { labels, hull }: Pick<Part, 'labels' | 'hull'>,
  stage: boolean,
): Thing[] {
  // prettier-ignore
  const inner = stage ? scene.blank(cellsOf(ground, labels), CELLS.within) : [];
  if (stage && inner.length === 0) return [];
  const line = barWidth(inradiusOf(ground, labels, hull, scene.window.w));
  return thingsOf(scene, leftOf(scene, ground, labels, inner), line);
}

/** Whether nothing but lines is left of a part without what looks like the stage in its full light. */
function isHollow(scene: Scene, ground: Int32Array, { labels }: Pick<Part, 'labels'>): boolean {
  const inner = scene.blank(cellsOf(ground, labels), NO_SHADE);
  if (inner.length === 0) return false;
  const { parts, thin } = withoutLines(leftOf(scene, ground, labels, inner), scene.window, scene.spans);
  return parts.every((p) => thin.has(p.label));
}

/** A share that no shade has: the stage in its full light alone. */
const NO_SHADE = 2;

/** Planes and their steep changes; of a noisy picture smoothed. */
function calmed(
  planes: readonly Int16Array[],
  window: Window,
  spans: Int32Array,
): { planes: readonly Int16Array[]; steep: Uint8Array } {
  const found = changes(planes, window, spans);
  if (!found.noisy) return { planes, steep: found.steep };
  const calm = smoothed(planes, window);
  return { planes: calm, steep: changes(calm, window, spans).steep };
}

function morphed(cv: Cv, mask: Uint8Array, { w, h }: Window, how: 'open' | 'close', size: number): Uint8Array {
  return withArena(cv, (arena) => {
    const out = arena.mat();
    cv.morphologyEx(arena.mat(h, w, 'u8', mask), out, how, 'box', size);
    return out.data.slice();
  });
}
