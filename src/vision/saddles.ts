import { CARD, CARD_SADDLES, isBlack, type CardMarker } from '../geometry/card.ts';
import { cardMap, type CardMap } from './card-map.ts';
import type { FoundMarker } from './markers.ts';
import type { Picture } from './picture.ts';
import { SmoothPatch, type Ellipse } from './smooth-patch.ts';

/** Points of the card seen in one photo; the arrays run side by side. */
export interface CardSight {
  /** [x, y] per point, mm as designed, card frame. */
  readonly card: Float64Array;
  /** [u, v] per point, px. */
  readonly picture: Float64Array;
}

/**
 * The search window is a circle on the card, an ellipse in the picture.
 *
 * It keeps `margin` px from the markers' corners, which are blurred too and would catch the search. Its short half axis is at least
 * `least` px, else the saddle (of a small or much foreshortened card) is left out; its long one at most `largest` px.
 */
export const SADDLE_WINDOW = { margin: 1.5, least: 2, largest: 18 } as const;

/** Largest move from the predicted to the refined place, in shares of the window's short half axis and px; most are smaller than the usual one. */
const LARGEST_MOVE = { share: 0.6, px: 6, usual: 2 } as const;

/** Most that a saddle may differ from itself turned by half a turn: mean square over the variance of the window. */
const ASYMMETRY = 0.05;

/** A move below which a saddle stands, px: the next would be some five times smaller. */
const SETTLED = 2e-3;

/** Gaussian that takes the noise from the gradients: in shares of the window's short half axis, at most so many px. */
const SMOOTHING = { share: 0.1, most: 1 } as const;

/**
 * Sub-pixel positions of the points where four squares meet, predicted from the markers.
 *
 * Each is the point that best lies on all gradients round it (Forstner and Gulch 1987; the scheme of OpenCV's cornerSubPix). A saddle
 * is point-symmetric, so neither blur nor tone curve nor ink spread moves it; where a covered square or a shadow's border makes it
 * otherwise, it is left out. So is one with no marker seen beside it, as the prediction is good near markers only.
 */
export function saddlePoints(picture: Picture, markers: readonly FoundMarker[]): CardSight {
  const map = mapOf(markers);
  const card: number[] = [];
  const seen: number[] = [];
  if (!map) return { card: new Float64Array(0), picture: new Float64Array(0) };
  for (let i = 0; i < CARD_SADDLES.length; i += 2) {
    const x = CARD_SADDLES[i]!;
    const y = CARD_SADDLES[i + 1]!;
    if (!isBesideOne(markers, x, y)) continue;
    const at = map.at(x, y);
    const window = windowAt(x, y, map);
    const p = window && refined(picture, at[0], at[1], window);
    if (!p) continue;
    card.push(x, y);
    seen.push(p[0], p[1]);
  }
  return { card: Float64Array.from(card), picture: Float64Array.from(seen) };
}

/** Where the markers say that the picture shows the card. */
function mapOf(markers: readonly FoundMarker[]): CardMap | null {
  const card: number[] = [];
  const seen: number[] = [];
  for (const { marker, corners } of markers) {
    card.push(...marker.corners);
    seen.push(...corners);
  }
  return cardMap(card, seen);
}

function isBesideOne(markers: readonly FoundMarker[], x: number, y: number): boolean {
  for (const { marker } of markers) if (isBeside(marker, x, y)) return true;
  return false;
}

/** Whether a marker's square has a corner at this place of the card. */
const isBeside = ({ corners }: CardMarker, x: number, y: number): boolean =>
  Math.max(Math.abs((corners[0]! + corners[4]!) / 2 - x), Math.abs((corners[1]! + corners[5]!) / 2 - y)) <
  0.6 * CARD.square;

function windowAt(x: number, y: number, map: CardMap): Ellipse | null {
  const { margin, least, largest } = SADDLE_WINDOW;
  const gap = (CARD.square - CARD.marker) / 2;
  // The markers' nearest corners stand one gap from both sides of the two white squares that meet here.
  const rising = isBlack((x + CARD.width / 2) / CARD.square - 1, (CARD.height / 2 - y) / CARD.square - 1);
  const along = towards(map, x, y, gap, rising ? gap : -gap);
  const across = towards(map, x, y, gap, rising ? -gap : gap);
  const share = 1 - margin / Math.hypot(along[0], along[1]);
  const area = Math.abs(along[0] * across[1] - along[1] * across[0]);
  const squares = along[0] ** 2 + along[1] ** 2 + across[0] ** 2 + across[1] ** 2;
  // Half axes of the ellipse with these two conjugate half diameters, by their product and sum of squares.
  const spread = Math.sqrt(Math.max(0, squares * squares - 4 * area * area));
  const long = Math.sqrt((squares + spread) / 2);
  const scale = Math.min(share, largest / long);
  const short = (scale * area) / long;
  if (!(short >= least)) return null;
  const k = 1 / (scale * area) ** 2;
  return {
    xx: k * (along[1] ** 2 + across[1] ** 2),
    xy: -k * (along[0] * along[1] + across[0] * across[1]),
    yy: k * (along[0] ** 2 + across[0] ** 2),
    width: scale * Math.hypot(along[0], across[0]),
    height: scale * Math.hypot(along[1], across[1]),
    short,
  };
}

/** How a step on the card from (x, y) shows, px. */
function towards(map: CardMap, x: number, y: number, dx: number, dy: number): readonly [number, number] {
  const a = map.at(x + dx, y + dy);
  const b = map.at(x - dx, y - dy);
  return [(a[0] - b[0]) / 2, (a[1] - b[1]) / 2];
}

/**
 * The saddle near (u, v), or null where there is none.
 *
 * The weights fall to zero at the window's edge: where they end abruptly, what lies there (a marker's side) counts on one side and not
 * on the other, with the longest lever.
 */
function refined(picture: Picture, u: number, v: number, window: Ellipse): readonly [number, number] | null {
  const most = Math.min(LARGEST_MOVE.px, LARGEST_MOVE.share * window.short);
  const near = refinedWithin(picture, u, v, window, Math.min(LARGEST_MOVE.usual, most));
  return near === 'further' && most > LARGEST_MOVE.usual
    ? orNone(refinedWithin(picture, u, v, window, most))
    : orNone(near);
}

type Place = readonly [number, number] | null;
const orNone = (found: Place | 'further'): Place => (found === 'further' ? null : found);

/** The same within `most` px of (u, v); 'further' where the search leads further off. */
function refinedWithin(picture: Picture, u: number, v: number, window: Ellipse, most: number): Place | 'further' {
  const reach = most + 2;
  const [x0, y0] = [u - window.width - reach, v - window.height - reach];
  const [x1, y1] = [u + window.width + reach, v + window.height + reach];
  if (x0 < 0 || y0 < 0 || x1 > picture.width - 1 || y1 > picture.height - 1) return null;
  const sigma = Math.min(SMOOTHING.most, SMOOTHING.share * window.short);
  const patch = new SmoothPatch(picture, x0, y0, x1, y1, sigma);
  let [x, y] = [u, v];
  for (let step = 0; step < 20; step++) {
    const move = meetingPoint(patch, x, y, window);
    if (!move) return null;
    x += move[0];
    y += move[1];
    if (Math.hypot(x - u, y - v) > most) return 'further';
    if (move[0] ** 2 + move[1] ** 2 < SETTLED ** 2) break;
  }
  return asymmetry(patch, x, y, window) < ASYMMETRY ? [x, y] : null;
}

/** Mean square difference between a window and itself turned by half a turn about (x, y), over its variance. */
function asymmetry(patch: SmoothPatch, x: number, y: number, window: Ellipse): number {
  const at = patch.halfTurnSums(x, y, window);
  const { doubles } = patch;
  const sum = doubles[at + 1]!;
  return doubles[at + 3]! / (doubles[at + 2]! - (sum * sum) / doubles[at]!);
}

/** From (x, y) to the point that best lies on all gradients round it, px; null where the window holds no two directions. */
function meetingPoint(patch: SmoothPatch, x: number, y: number, window: Ellipse): readonly [number, number] | null {
  const at = patch.gradientSums(x, y, window);
  const { doubles } = patch;
  const [a, b, c] = [doubles[at]!, doubles[at + 1]!, doubles[at + 2]!];
  const [p, q] = [doubles[at + 3]!, doubles[at + 4]!];
  const det = a * c - b * b;
  // A blank or one-directional window has no saddle.
  if (!(det > 0.05 * (a + c) ** 2 * 0.25) || a + c < 1e3) return null;
  return [(c * p - b * q) / det, (a * q - b * p) / det];
}
