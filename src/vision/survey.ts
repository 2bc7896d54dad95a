import { CARD } from '../geometry/card.ts';
import { median } from '../maths/linear.ts';
import { failure, success, type Result } from '../result.ts';
import { CARD_POINTS_NEEDED } from './calibration.ts';
import { cardMap, type CardMap } from './card-map.ts';
import { edgeSpread, type EdgeSpread } from './card-response.ts';
import { findMarkers, type MarkerSight } from './markers.ts';
import { croppedAround, type Crop, type Picture } from './picture.ts';
import { reducedGrey } from './reduced-grey.ts';
import { REGION, stageRegions, type Region } from './region.ts';
import { saddlePoints, type CardSight } from './saddles.ts';
import { stageLight, type StageLight } from './stage-light.ts';
import { SRGB } from './tone.ts';
import { stageGrain, type StageGrain } from './stage-grain.ts';

/** All that is kept of a photo once it has been looked at: a crop round the die, and what its card says. */
export interface Survey {
  readonly width: number;
  readonly height: number;
  readonly sight: CardSight;
  readonly markers: number;
  readonly spread: EdgeSpread | null;
  /** Median display value of the bare stage, per channel. */
  readonly stage: readonly [number, number, number];
  /** Things on the stage, largest first. */
  readonly regions: readonly Region[];
  readonly crop: Crop;
  /** Grain of the stage beside the die; null where too little of it is seen. */
  readonly grain: StageGrain | null;
  readonly light: StageLight;
}

export type SurveyFailure =
  | {
      readonly code: 'no-card' | 'few-markers' | 'other-card' | 'mirrored';
      readonly seen: number;
      readonly needed: number;
    }
  | { readonly code: 'card-points'; readonly seen: number; readonly needed: number }
  | { readonly code: 'no-die' | 'crowded-stage'; readonly seen: number; readonly needed: number };

/** Fewest markers from which the card is believed. */
export const MARKERS_NEEDED = 6;
/** Widths to which a photo is reduced for the search of markers, coarse first, px. */
const SEARCH_WIDTHS = [660, 1400, 2600] as const;
/** Markers that make a finer search needless. */
const MARKERS_ENOUGH = 30;
/** Kept round the die, px. */
const CROP_MARGIN = 40;

/** Finds card and die in one photo. */
export function survey(picture: Picture): Result<Survey, SurveyFailure> {
  const sighted = markersIn(picture);
  if (sighted.found.length < MARKERS_NEEDED) return failure(cardFault(sighted));
  const sight = saddlePoints(picture, sighted.found);
  const points = sight.card.length / 2;
  const map = cardMap(sight.card, sight.picture);
  if (!map || points < CARD_POINTS_NEEDED)
    return failure({ code: 'card-points', seen: points, needed: CARD_POINTS_NEEDED });
  const things = stageRegions(picture, map);
  if (things.length > REGION.most) return failure({ code: 'crowded-stage', seen: things.length, needed: REGION.most });
  const regions = dieFirst(things);
  const first = regions[0];
  if (!first) return failure({ code: 'no-die', seen: 0, needed: 1 });
  const crop = croppedAround(picture, first.outline, CROP_MARGIN);
  const stage = stageColour(picture, map);
  return success({
    width: picture.width,
    height: picture.height,
    sight,
    markers: sighted.found.length,
    spread: edgeSpread(picture, map),
    stage,
    regions,
    crop,
    grain: stageGrain(crop, first.outline),
    light: stageLight(picture, map, stage, first.outline, SRGB),
  });
}

/** A thing counts as the die before larger ones that reach over the ring where it is this share of their size. */
const WHOLE_SHARE = 0.15;

/** The things on a stage with the die first: the largest that is solid and stands whole on it, else the largest. */
function dieFirst(regions: readonly Region[]): Region[] {
  const whole = regions.find((r) => r.solid && !r.cut);
  const largest = regions[0];
  if (!whole || !largest || (largest.solid && !largest.cut) || whole.area < WHOLE_SHARE * largest.area)
    return [...regions];
  return [whole, ...regions.filter((r) => r !== whole)];
}

export function markersIn(picture: Picture): MarkerSight {
  let best: MarkerSight = { found: [], mirrored: 0, foreign: 0 };
  let last = 0;
  for (const width of SEARCH_WIDTHS) {
    const factor = Math.max(1, Math.round(picture.width / width));
    if (factor === last) continue;
    last = factor;
    const sight = findMarkers(reducedGrey(picture, factor));
    if (
      sight.found.length > best.found.length ||
      (best.found.length === 0 && sight.mirrored + sight.foreign > best.mirrored + best.foreign)
    )
      best = sight;
    if (best.found.length >= MARKERS_ENOUGH) break;
  }
  return best;
}

export function cardFault(s: MarkerSight): SurveyFailure {
  const seen = s.found.length;
  if (s.mirrored > Math.max(3, 2 * seen)) return { code: 'mirrored', seen: s.mirrored, needed: MARKERS_NEEDED };
  if (seen === 0 && s.foreign >= 8) return { code: 'other-card', seen: s.foreign, needed: MARKERS_NEEDED };
  return { code: seen === 0 ? 'no-card' : 'few-markers', seen, needed: MARKERS_NEEDED };
}

/** Median of the stage along its border, where nothing stands. */
export function stageColour(picture: Picture, map: CardMap): [number, number, number] {
  const values: number[][] = [[], [], []];
  for (let t = -0.85; t <= 0.86; t += 0.1)
    for (const e of [-0.85, 0.85])
      for (const [a, b] of [
        [t, e],
        [e, t],
      ] as const) {
        const [u, v] = map.at((a * CARD.stageWidth) / 2, (b * CARD.stageHeight) / 2);
        const x = Math.round(u);
        const y = Math.round(v);
        if (x < 0 || y < 0 || x >= picture.width || y >= picture.height) continue;
        for (let c = 0; c < 3; c++) values[c]!.push(picture.data[(y * picture.width + x) * picture.channels + c]!);
      }
  return values.map((v) => (v.length > 0 ? median(v) : 128)) as [number, number, number];
}
