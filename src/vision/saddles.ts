import { CARD, CARD_SADDLES } from '../geometry/card.ts';
import { cardMap } from './card-map.ts';
import type { FoundMarker } from './markers.ts';
import { lumaPatch, type Picture } from './picture.ts';

/** Points of the card seen in one photo; the arrays run side by side. */
export interface CardSight {
  /** [x, y] per point, mm as designed, card frame. */
  readonly card: Float64Array;
  /** [u, v] per point, px. */
  readonly picture: Float64Array;
}

/** Largest move from the predicted to the refined place, in shares of the search window's half width. */
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
    // The window must not reach the markers, which begin one gap away from the squares' sides.
    const ends = [predict(x + gap, y), predict(x, y + gap), predict(x - gap, y), predict(x, y - gap)];
    const half = Math.min(
      14,
      Math.max(3, Math.floor(1.3 * Math.min(...ends.map((e) => Math.hypot(e[0] - at[0], e[1] - at[1]))))),
    );
    const p = refined(picture, at[0], at[1], half);
    if (!p) continue;
    card.push(x, y);
    seen.push(...p);
  }
  return { card: Float64Array.from(card), picture: Float64Array.from(seen) };
}

function refined(picture: Picture, u: number, v: number, half: number): readonly [number, number] | null {
  const reach = half + 1;
  if (u < 2 * reach || v < 2 * reach || u > picture.width - 1 - 2 * reach || v > picture.height - 1 - 2 * reach)
    return null;
  const patch = lumaPatch(picture, u - 2 * reach, v - 2 * reach, u + 2 * reach, v + 2 * reach);
  const { width: w, data: d } = patch;
  let x = u;
  let y = v;
  const spread = 2 * (half * 0.55) ** 2;
  for (let step = 0; step < 20; step++) {
    let [a, b, c, p, q] = [0, 0, 0, 0, 0];
    const i0 = Math.ceil(x - half);
    const j0 = Math.ceil(y - half);
    for (let j = j0; j <= y + half; j++)
      for (let i = i0; i <= x + half; i++) {
        const k = (j - patch.top) * w + (i - patch.left);
        // Sobel gradients: central difference, smoothed across.
        const gx = 2 * (d[k + 1]! - d[k - 1]!) + d[k + 1 - w]! - d[k - 1 - w]! + d[k + 1 + w]! - d[k - 1 + w]!;
        const gy = 2 * (d[k + w]! - d[k - w]!) + d[k + w - 1]! - d[k - w - 1]! + d[k + w + 1]! - d[k - w + 1]!;
        const weight = Math.exp(-((i - x) ** 2 + (j - y) ** 2) / spread);
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
    const dx = (c * p - b * q) / det;
    const dy = (a * q - b * p) / det;
    x += dx;
    y += dy;
    if (Math.hypot(x - u, y - v) > LARGEST_MOVE * half) return null;
    if (dx * dx + dy * dy < 1e-8) break;
  }
  return [x, y];
}
