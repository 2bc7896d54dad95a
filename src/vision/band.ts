import type { OutlineCurve } from '../geometry/outline.ts';
import type { Segments } from '../geometry/segments.ts';
import type { Crop } from './picture.ts';

export const BAND = {
  /** Pixels looked at inside and outside the outline: inside no more than a rounded rim shows before lamps mirror in it. */
  inside: 5,
  outside: 7,
} as const;

/** The pixels of a band round a curve, grouped by segment. */
export interface BandPixels {
  /** First pixel of each segment, and the end. */
  readonly start: Int32Array;
  /** Signed distance from the curve, px, positive outside; the plane's value, 0 to 255; sample of the curve; address in the crop's data. */
  readonly s: Float32Array;
  readonly y: Float32Array;
  readonly sample: Int32Array;
  readonly address: Int32Array;
}

/** Room for one number per pixel of a crop, kept from call to call; all 0 between calls. */
let owners = new Int32Array(0);
let asides = new Float32Array(0);

interface Claim {
  /** Pixels that belong to a sample, as places in the crop, and how many there are. */
  readonly places: Int32Array;
  readonly total: number;
  /** How many of them each segment has. */
  readonly counts: Int32Array;
}

/** Gives each pixel of the band to the sample it lies straight out from: `owners` then holds the sample and one. */
function claimed(crop: Crop, curve: OutlineCurve, { count, of }: Segments, every: number): Claim {
  const { left, top, width, height } = crop;
  if (owners.length < width * height) {
    owners = new Int32Array(width * height);
    asides = new Float32Array(width * height);
  }
  const counts = new Int32Array(count);
  let places = new Int32Array(16 * curve.count);
  let total = 0;
  for (let k = 0; k < curve.count; k++) {
    const segment = of[k]!;
    if (segment < 0 || segment % every !== 0) continue;
    const cx = curve.xy[2 * k]! - left;
    const cy = curve.xy[2 * k + 1]! - top;
    const nx = curve.normal[2 * k]!;
    const ny = curve.normal[2 * k + 1]!;
    // A pixel that this sample has asked for already stays as it is: mostly one of the two before.
    let [previous, earlier] = [-1, -1];
    for (let s = -BAND.inside; s <= BAND.outside; s += 0.6)
      for (let t = -0.4; t <= 0.5; t += 0.8) {
        const x = Math.floor(cx + s * nx - t * ny + 0.5);
        const y = Math.floor(cy + s * ny + t * nx + 0.5);
        if (x < 0 || y < 0 || x >= width || y >= height) continue;
        const o = y * width + x;
        const known = o === previous || o === earlier;
        earlier = previous;
        previous = o;
        if (known) continue;
        const d = Math.abs((y - cy) * nx - (x - cx) * ny);
        const before = owners[o]!;
        if (before > 0) {
          if (d >= asides[o]!) continue;
          counts[of[before - 1]!]!--;
        } else {
          if (total === places.length) places = grown(places);
          places[total++] = o;
        }
        counts[segment]!++;
        owners[o] = k + 1;
        asides[o] = d;
      }
  }
  return { places, total, counts };
}

function grown(list: Int32Array): Int32Array<ArrayBuffer> {
  const out = new Int32Array(2 * list.length);
  out.set(list);
  return out;
}

/** The band's pixels, one segment in `every`; `plane` weighs red, green and blue. */
export function bandPixels(
  crop: Crop,
  plane: readonly [number, number, number],
  curve: OutlineCurve,
  segments: Segments,
  every: number,
): BandPixels {
  const { places, total, counts } = claimed(crop, curve, segments, every);
  const start = new Int32Array(segments.count + 1);
  for (let i = 0; i < segments.count; i++) start[i + 1] = start[i]! + counts[i]!;
  const fill = Int32Array.from(start);
  const out = {
    start,
    s: new Float32Array(total),
    y: new Float32Array(total),
    sample: new Int32Array(total),
    address: new Int32Array(total),
  };
  const { data, channels, left, top, width } = crop;
  const [red, green, blue] = plane;
  for (let q = 0; q < total; q++) {
    const o = places[q]!;
    const k = owners[o]! - 1;
    owners[o] = 0;
    const m = fill[segments.of[k]!]!++;
    const y = Math.floor(o / width);
    const p = o * channels;
    out.s[m] =
      (o - y * width + left - curve.xy[2 * k]!) * curve.normal[2 * k]! +
      (y + top - curve.xy[2 * k + 1]!) * curve.normal[2 * k + 1]!;
    out.y[m] = red * data[p]! + green * data[p + 1]! + blue * data[p + 2]!;
    out.sample[m] = k;
    out.address[m] = p;
  }
  return out;
}
