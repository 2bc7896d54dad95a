import { CARD, CARD_SADDLES } from '../geometry/card.ts';
import { cardMap } from './card-map.ts';
import type { FoundMarker } from './markers.ts';
import { lumaPatch, type Patch, type Picture } from './picture.ts';

/** Points of the card seen in one photo; the arrays run side by side. */
export interface CardSight {
  /** [x, y] per point, mm as designed, card frame. */
  readonly card: Float64Array;
  /** [u, v] per point, px. */
  readonly picture: Float64Array;
}

/** Radius of the search window, px, and how far it keeps from the markers' corners, which are blurred too. */
export const SADDLE_WINDOW = { least: 3, largest: 24, margin: 2 } as const;

/** Largest move from the predicted to the refined place, in shares of the window's radius. */
const LARGEST_MOVE = 1;

/**
 * Sub-pixel positions of the points where four squares meet, predicted from the markers.
 *
 * Each is the point that best lies on all gradients round it (Forstner and Gulch 1987; the scheme of OpenCV's cornerSubPix). A saddle
 * is point-symmetric, so neither blur nor tone curve nor ink spread moves it.
 */
export function saddlePoints(picture: Picture, markers: readonly FoundMarker[]): CardSight {
  const predict = cardMap(
    markers.flatMap((m) => Array.from(m.marker.corners)),
    markers.flatMap((m) => Array.from(m.corners)),
  )?.at;
  const card: number[] = [];
  const seen: number[] = [];
  if (!predict) return { card: new Float64Array(0), picture: new Float64Array(0) };
  const gap = (CARD.square - CARD.marker) / 2;
  for (let i = 0; i < CARD_SADDLES.length; i += 2) {
    const x = CARD_SADDLES[i]!;
    const y = CARD_SADDLES[i + 1]!;
    const at = predict(x, y);
    // The window must not reach the markers, whose corners stand one gap from both sides of their squares.
    const corners = [
      predict(x + gap, y + gap),
      predict(x - gap, y + gap),
      predict(x - gap, y - gap),
      predict(x + gap, y - gap),
    ];
    const room = Math.min(...corners.map((c) => Math.hypot(c[0] - at[0], c[1] - at[1]))) - SADDLE_WINDOW.margin;
    const p = refined(picture, at[0], at[1], Math.min(SADDLE_WINDOW.largest, Math.max(SADDLE_WINDOW.least, room)));
    if (!p) continue;
    card.push(x, y);
    seen.push(...p);
  }
  return { card: Float64Array.from(card), picture: Float64Array.from(seen) };
}

/**
 * The saddle near (u, v), or null where there is none.
 *
 * The weights fall to zero at the window's edge: where they end abruptly, what lies there (a marker's side) counts on one side and not
 * on the other, with the longest lever.
 */
function refined(picture: Picture, u: number, v: number, radius: number): readonly [number, number] | null {
  const reach = Math.ceil(radius) + 1;
  const { width, height } = picture;
  if (u < 2 * reach || v < 2 * reach || u > width - 1 - 2 * reach || v > height - 1 - 2 * reach) return null;
  const patch = lumaPatch(picture, u - 2 * reach, v - 2 * reach, u + 2 * reach, v + 2 * reach);
  let [x, y] = [u, v];
  for (let step = 0; step < 20; step++) {
    const move = meetingPoint(patch, x, y, radius);
    if (!move) return null;
    x += move[0];
    y += move[1];
    if (Math.hypot(x - u, y - v) > LARGEST_MOVE * radius) return null;
    if (move[0] ** 2 + move[1] ** 2 < 1e-8) break;
  }
  return [x, y];
}

/** From (x, y) to the point that best lies on all gradients round it, px; null where the window holds no two directions. */
function meetingPoint(
  { left, top, width: w, data: d }: Patch,
  x: number,
  y: number,
  radius: number,
): readonly [number, number] | null {
  let [a, b, c, p, q] = [0, 0, 0, 0, 0];
  for (let j = Math.ceil(y - radius); j <= y + radius; j++)
    for (let i = Math.ceil(x - radius); i <= x + radius; i++) {
      const weight = 1 - ((i - x) ** 2 + (j - y) ** 2) / (radius * radius);
      if (weight <= 0) continue;
      const k = (j - top) * w + (i - left);
      // Sobel gradients: central difference, smoothed across.
      const gx = 2 * (d[k + 1]! - d[k - 1]!) + d[k + 1 - w]! - d[k - 1 - w]! + d[k + 1 + w]! - d[k - 1 + w]!;
      const gy = 2 * (d[k + w]! - d[k - w]!) + d[k + w - 1]! - d[k - w - 1]! + d[k + w + 1]! - d[k - w + 1]!;
      const [xx, xy, yy] = [weight * gx * gx, weight * gx * gy, weight * gy * gy];
      a += xx;
      b += xy;
      c += yy;
      p += xx * (i - x) + xy * (j - y);
      q += xy * (i - x) + yy * (j - y);
    }
  const det = a * c - b * b;
  // A blank or one-directional window has no saddle.
  if (!(det > 0.05 * (a + c) ** 2 * 0.25) || a + c < 1e3) return null;
  return [(c * p - b * q) / det, (a * q - b * p) / det];
}
