import type { PhotoOutline } from '../formats/result.ts';

/** How many neighbours on each side share in a point's drawn departure. */
const NEIGHBOURS = 3;
/** A point whose departure is this many times as doubtful as the usual one says nothing that could be drawn. */
const FAINT = 3;
/** Neighbours further apart than this many usual distances have a gap between them. */
const GAP = 4;

const middle = (values: Float64Array): number => values.slice().sort()[values.length >> 1] ?? 0;

/** Departures averaged over neighbours, each by its sharpness (1 / sigma^2); NaN where the edge is too faint. Px of the photo. */
export function departures({ residuals, sigmas }: PhotoOutline): Float64Array {
  const n = residuals.length;
  const value = new Float64Array(n);
  const sigma = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    let [sum, weight, spread] = [0, 0, 0];
    for (let d = -NEIGHBOURS; d <= NEIGHBOURS; d++) {
      const i = (((k + d) % n) + n) % n;
      const w = (NEIGHBOURS + 1 - Math.abs(d)) / sigmas[i]! ** 2;
      sum += w * residuals[i]!;
      weight += w;
      spread += (w * sigmas[i]!) ** 2;
    }
    value[k] = sum / weight;
    sigma[k] = Math.sqrt(spread) / weight;
  }
  const limit = FAINT * middle(sigma);
  return value.map((v, k) => (sigma[k]! <= limit ? v : NaN));
}

/** Root mean square of the departures, each by its sharpness, px of the photo; 0 without any. */
export function departureRms({ residuals, sigmas }: PhotoOutline): number {
  let [sum, weight] = [0, 0];
  residuals.forEach((r, i) => {
    sum += (r / sigmas[i]!) ** 2;
    weight += 1 / sigmas[i]! ** 2;
  });
  return weight > 0 ? Math.sqrt(sum / weight) : 0;
}

/** For each point whether there is a gap between it and the next one round the outline. */
export function gapsAfter({ points }: PhotoOutline): boolean[] {
  const n = points.length / 2;
  const apart = Float64Array.from({ length: n }, (_, k) => {
    const next = (k + 1) % n;
    return Math.hypot(points[2 * next]! - points[2 * k]!, points[2 * next + 1]! - points[2 * k + 1]!);
  });
  const gap = GAP * middle(apart);
  return Array.from(apart, (distance) => distance > gap);
}

/** The size of a set's departures (px of the photo) save for the odd one: 95 of 100 are smaller. 0 without any. */
export function usualLargest(outline: PhotoOutline): number {
  const sizes = departures(outline)
    .filter((d) => !Number.isNaN(d))
    .map(Math.abs)
    .sort();
  return sizes[Math.floor(0.95 * sizes.length)] ?? 0;
}
