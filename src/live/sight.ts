import { CARD } from '../geometry/card.ts';
import { cross, dot, norm, scaled, type Vec3 } from '../geometry/vec.ts';
import { homographyOf, mapped, type Homography } from '../maths/homography.ts';
import { findMarkers, type FoundMarker } from '../vision/markers.ts';
import type { Picture } from '../vision/picture.ts';
import { reducedGrey } from '../vision/reduced-grey.ts';
import { stageRegions } from '../vision/region.ts';
import { cardBlur, cardLight } from './light.ts';
import { FOCAL_SHARE, liveNumbers, type LiveDie, type LiveNumbers } from './live-numbers.ts';
import { ACCEPT } from '../measure/look.ts';

/** What one frame of a live camera shows of the card; all places in px of the frame. */
export interface LiveSight {
  readonly width: number;
  readonly height: number;
  readonly markers: number;
  /** Corners of the printed ring and of the stage: top left, top right, bottom right, bottom left as the card is read. */
  readonly ring: readonly number[];
  readonly stage: readonly number[];
  /** Whether the whole ring lies inside the frame. */
  readonly whole: boolean;
  /** Longer side of the ring over the frame's, as far as they can be told apart: how much of the frame the card fills. */
  readonly fill: number;
  /** Lean of the camera, radians, and from which side it looks: 0 from the card's lower edge, positive from its right. */
  readonly lean: number;
  readonly from: number;
  /** Blur of the card's own edges, px of the frame, one standard deviation; null where none could be judged. */
  readonly blur: number | null;
  /** Display values: the brightest of the bare stage, and how far white and black of the print are apart. */
  readonly stageLevel: number;
  readonly contrast: number;
  /** Things on the stage. */
  readonly things: number;
  /** Middle and size of the largest, px; null where nothing stands there. */
  readonly die: { readonly x: number; readonly y: number; readonly size: number } | null;
  /** What the die's faces say, where they were asked and one die lies there; null where they do not say it surely. */
  readonly numbers?: LiveNumbers | null;
}

/** What is wanted of a frame before it is worth a photo. */
export const LIVE = {
  /** Markers from which the card counts as found, of 44 or so. */
  markers: 12,
  /** The card fills at least this share of the frame. */
  fill: 0.66,
  /** The lean is within this of the wanted one, radians. */
  lean: 0.105,
  /** The camera looks from within this of the card's lower edge, radians; leans below the second tell no side. */
  from: 0.6,
  fromMatters: 0.14,
  blur: 1.9,
  /** Stage levels outside these are burnt or dark; black and white of the print are apart by the third. */
  burnt: ACCEPT.burnt,
  dark: 45,
  contrast: 60,
  /** Movement of the card that counts as still, share of the frame's width, over this time, s; over more time in proportion. */
  still: 0.00225,
  stillOver: 0.045,
} as const;

/** What to tell the person, the first that holds; 'good' is worth a photo. */
export type LiveAdvice =
  | 'no-card'
  | 'card-cut'
  | 'too-far'
  | 'burnt'
  | 'dark'
  | 'no-die'
  | 'several-dice'
  | 'wrong-side'
  | 'lean-more'
  | 'lean-less'
  | 'blur'
  | 'hold-still'
  | 'good';

/** Searches are made in frames reduced to about so many px of width, as with photos. */
const SEARCH_WIDTH = 860;

/**
 * Looks for the card in a frame; null where too few of its markers are seen.
 *
 * @param die  Whose numbers are to be read as well, which takes some ten times as long; null for none.
 */
export function liveSight(frame: Picture, die: LiveDie | null = null): LiveSight | null {
  const factor = Math.max(1, Math.round(frame.width / SEARCH_WIDTH));
  const { found } = findMarkers(reducedGrey(frame, factor));
  const h = found.length >= LIVE.markers ? markerMap(found) : null;
  if (h === null) return null;
  const at = (x: number, y: number): readonly [number, number] => mapped(h, x, y);
  const depth = (x: number, y: number): number => h[6]! * x + h[7]! * y + h[8]!;
  const ring = corners(h, CARD.width / 2, CARD.height / 2);
  const things = stageRegions(frame, { at, depth });
  const large = things.filter((r) => r.area > ACCEPT.secondThing * things[0]!.area);
  const { level, contrast } = cardLight(frame, h);
  return {
    width: frame.width,
    height: frame.height,
    markers: found.length,
    ring,
    stage: corners(h, CARD.stageWidth / 2, CARD.stageHeight / 2),
    whole: ring.every((v, i) => v > 0 && v < (i % 2 === 0 ? frame.width : frame.height) - 1),
    fill: fillOf(ring, frame),
    ...sideOf(h, frame),
    blur: cardBlur(frame, h),
    stageLevel: level,
    contrast,
    things: large.length,
    die: large.length > 0 ? middleOf(large[0]!.outline, large[0]!.area) : null,
    ...(die === null ? {} : { numbers: large.length === 1 ? liveNumbers(frame, h, large[0]!, die) : null }),
  };
}

/** How near to the wanted lean a frame of a sweep is worth a photo, radians: what a look tells of the lean is no better. */
export const SWEEP_HIT = 0.012;

/** Whether a sweep of the camera has come to the wanted lean, or passed it since the look before; the card must be whole and lit. */
export function sweptThrough(sight: LiveSight | null, wanted: number, before: LiveSight | null): boolean {
  if (sight === null || !['good', 'hold-still', 'lean-more', 'lean-less'].includes(liveAdvice(sight, wanted, before)))
    return false;
  if (Math.abs(sight.lean - wanted) < SWEEP_HIT) return true;
  // Leans are never below 0: through straight above there is no other side.
  return before !== null && sight.lean < wanted !== before.lean < wanted;
}

/** What to tell of a sight, for a photo that should lean by `lean` (any lean will do for null); `before` is a look's of `seconds` before. */
export function liveAdvice(
  sight: LiveSight | null,
  lean: number | null,
  before: LiveSight | null,
  seconds: number = LIVE.stillOver,
): LiveAdvice {
  if (sight === null) return 'no-card';
  if (!sight.whole) return 'card-cut';
  if (sight.fill < LIVE.fill) return 'too-far';
  if (sight.stageLevel >= LIVE.burnt) return 'burnt';
  if (sight.stageLevel < LIVE.dark || sight.contrast < LIVE.contrast) return 'dark';
  if (sight.things === 0) return 'no-die';
  if (sight.things > 1) return 'several-dice';
  const stand = lean === null ? null : standAdvice(sight, lean);
  if (stand !== null) return stand;
  if (movedShare(sight, before) > LIVE.still * Math.max(1, seconds / LIVE.stillOver)) return 'hold-still';
  if (sight.blur !== null && sight.blur > LIVE.blur) return 'blur';
  return 'good';
}

function standAdvice({ lean, from }: LiveSight, wanted: number): LiveAdvice | null {
  if (lean > LIVE.fromMatters && Math.abs(from) > LIVE.from) return 'wrong-side';
  if (lean < wanted - LIVE.lean) return 'lean-more';
  return lean > wanted + LIVE.lean ? 'lean-less' : null;
}

/** How far the card has moved between two looks, share of the frame's width; infinite where it was not seen before. */
export function movedShare(a: LiveSight, b: LiveSight | null): number {
  if (b === null || b.width !== a.width) return Infinity;
  return Math.max(...a.ring.map((v, i) => Math.abs(v - b.ring[i]!))) / a.width;
}

/** Whether the die was touched between two looks: taken away, or its place on the card changed by a twentieth of its size. */
export function touched(a: LiveSight | null, b: LiveSight | null): boolean {
  if (a === null || b === null || a.die === null || b.die === null || a.things !== b.things) return true;
  const [p, q] = [onCard(a), onCard(b)];
  if (p === null || q === null) return true;
  return Math.hypot(p[0] - q[0], p[1] - q[1]) > 1 || Math.abs(Math.log(a.die.size / b.die.size)) > 0.05;
}

/** Where the die's middle lies on the card, mm. */
function onCard({ ring, die }: LiveSight): readonly [number, number] | null {
  const [w, h] = [CARD.width / 2, CARD.height / 2];
  const back = homographyOf(ring, [-w, h, w, h, w, -h, -w, -h]);
  return back && die && mapped(back, die.x, die.y);
}

const markerMap = (found: readonly FoundMarker[]): Homography | null =>
  homographyOf(
    found.flatMap(({ marker }) => [...marker.corners]),
    found.flatMap(({ corners }) => [...corners]),
  );

const corners = (h: Homography, w: number, t: number): number[] =>
  [
    [-w, t],
    [w, t],
    [w, -t],
    [-w, -t],
  ].flatMap(([x, y]) => [...mapped(h, x!, y!)]);

function fillOf(ring: readonly number[], { width, height }: Picture): number {
  const span = (axis: 0 | 1): number => {
    const values = ring.filter((_, i) => i % 2 === axis);
    return Math.max(...values) - Math.min(...values);
  };
  return Math.max(span(0) / width, span(1) / height);
}

/**
 * Lean and side of the camera from a homography and a guessed focal length (Zhang, "A flexible new technique for camera
 * calibration", 2000, equation 2): its first two columns are the card's axes as the camera sees them, up to one scale.
 */
function sideOf(h: Homography, { width, height }: Picture): { lean: number; from: number } {
  const f = FOCAL_SHARE * Math.max(width, height);
  const column = (k: number): Vec3 => [
    (h[k]! - ((width - 1) / 2) * h[6 + k]!) / f,
    (h[3 + k]! - ((height - 1) / 2) * h[6 + k]!) / f,
    h[6 + k]!,
  ];
  const sign = h[8]! < 0 ? -1 : 1;
  const scale = (2 * sign) / (norm(column(0)) + norm(column(1)));
  const [x, y] = [scaled(column(0), scale), scaled(column(1), scale)];
  const t = scaled(column(2), scale);
  const up = cross(x, y);
  const length = norm(up);
  // The camera's place on the card: minus the shift, along the card's axes.
  const [ex, ey] = [-dot(x, t) / dot(x, x), -dot(y, t) / dot(y, y)];
  return { lean: Math.acos(Math.min(1, Math.abs(up[2]) / length)), from: Math.atan2(ex, -ey) };
}

function middleOf(outline: Float64Array, area: number): NonNullable<LiveSight['die']> {
  const mean = (axis: 0 | 1): number =>
    outline.reduce((s, v, i) => (i % 2 === axis ? s + v : s), 0) / (outline.length / 2);
  return { x: mean(0), y: mean(1), size: Math.sqrt(area) };
}
