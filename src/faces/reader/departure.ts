/** How a place's departure from skin is told. */
export const DEPARTURE = {
  /** Variance of the root of light that is believed of any skin. */
  floor: 2e-5,
  /** Rounds in which the skin's colours are found; every so-many-th place is asked. */
  rounds: 6,
  every: 2,
  /** Squared distance, in squared standard deviations, from which a place departs; and the most that is told. */
  from: 4,
  most: 3,
} as const;

/**
 * How far each place of a grid departs from the colours that its skin has, whatever they are: one colour, clouds, two that swirl. Print
 * departs, and so does a groove that has lost its ink, whether darker or lighter; what is far off counts hardly more than what is near.
 *
 * Distance by the skin's own covariance (Mahalanobis 1936), that being the one of a Cauchy distribution of the face's colours, so that the
 * few that are print hardly count (Kent and Tyler 1991; the estimate bears a quarter of strangers).
 *
 * @param rgb  Differences from the light behind, three per place.
 * @returns    Half the log of 1 + the squared distance over {@link DEPARTURE}.from, at most {@link DEPARTURE}.most.
 */
export function departures(rgb: Float32Array, mask: Float32Array): Float32Array {
  const out = new Float32Array(mask.length);
  let skin = spreadOf(rgb, mask, null);
  for (let round = 0; round < DEPARTURE.rounds && skin; round++) skin = spreadOf(rgb, mask, skin);
  if (!skin) return out;
  for (let k = 0; k < mask.length; k++)
    if (mask[k] !== 0) out[k] = Math.min(DEPARTURE.most, 0.5 * Math.log1p(squareAt(rgb, k, skin) / DEPARTURE.from));
  return out;
}

/** Mean and inverse covariance (xx, xy, xz, yy, yz, zz). */
type Spread = readonly [mean: readonly [number, number, number], inverse: Float64Array];

function squareAt(rgb: Float32Array, k: number, [mean, q]: Spread): number {
  const a = rgb[3 * k]! - mean[0];
  const b = rgb[3 * k + 1]! - mean[1];
  const c = rgb[3 * k + 2]! - mean[2];
  return a * (q[0]! * a + 2 * (q[1]! * b + q[2]! * c)) + b * (q[3]! * b + 2 * q[4]! * c) + q[5]! * c * c;
}

/** Mean and spread of the asked places, each weighted by how near it lies by an earlier spread. */
function spreadOf(rgb: Float32Array, mask: Float32Array, before: Spread | null): Spread | null {
  let [asked, n, x, y, z, xx, xy, xz, yy, yz, zz] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let k = 0; k < mask.length; k += DEPARTURE.every) {
    if (mask[k] === 0) continue;
    asked++;
    const w = before ? 4 / (1 + squareAt(rgb, k, before)) : 1;
    const a = rgb[3 * k]!;
    const b = rgb[3 * k + 1]!;
    const c = rgb[3 * k + 2]!;
    n += w;
    x += w * a;
    y += w * b;
    z += w * c;
    xx += w * a * a;
    xy += w * a * b;
    xz += w * a * c;
    yy += w * b * b;
    yz += w * b * c;
    zz += w * c * c;
  }
  if (!(n > 0)) return null;
  [x, y, z] = [x / n, y / n, z / n];
  // A Cauchy distribution's scatter is what its weighted sums give over the number of places, not over the weights.
  const over = before ? asked : n;
  const { floor } = DEPARTURE;
  const inverse = inverseOf(
    (xx - n * x * x) / over + floor,
    (xy - n * x * y) / over,
    (xz - n * x * z) / over,
    (yy - n * y * y) / over + floor,
    (yz - n * y * z) / over,
    (zz - n * z * z) / over + floor,
  );
  return inverse && [[x, y, z], inverse];
}

function inverseOf(a: number, b: number, c: number, d: number, e: number, f: number): Float64Array | null {
  const [p, q, r] = [d * f - e * e, c * e - b * f, b * e - c * d];
  const det = a * p + b * q + c * r;
  if (!(det > 0)) return null;
  return Float64Array.of(
    p / det,
    q / det,
    r / det,
    (a * f - c * c) / det,
    (b * c - a * e) / det,
    (a * d - b * b) / det,
  );
}
