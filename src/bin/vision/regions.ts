import { convexHull } from '../../geometry/outline.ts';
import { blankBorder, changes, colourOf, smoothed, strange } from './cells.ts';
import { areaOf } from '../../geometry/polygon.ts';
import { floodedGround } from './mask.ts';
import { withoutLines } from './thin.ts';
import { coreOf, joined, once, THING, thingOf, type Thing } from './thing.ts';
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
  const seeds = blankBorder(planes, mask, window, spans);
  const colours = morphed(cv, strange(planes, seeds, window, spans), window, 'open', BIN_REGION.opening);
  for (let k = 0; k < mask.length; k++) mask[k]! |= colours[k]!;
  const { ground, parts: all, thin } = withoutLines(cv, floodedGround(mask, seeds, spans, w, h), window, spans);
  const parts = all.filter((p) => p.area >= THING.least / 2);
  const things = joined(parts.map((p) => ({ ...p, hull: convexHull(p.ends) })))
    .filter((p) => areaOf(p.hull) >= THING.least)
    .map((p) => ({ ...thingOf(p, ground, window, spans), thin: p.labels.every((l) => thin.has(l)), core: once(() => coreOf(p, ground, colours, window, spans)) }))
    .sort((a, b) => b.area - a.area);
  return { things, colour: colourOf(planes, ground, window, spans) };
}

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
