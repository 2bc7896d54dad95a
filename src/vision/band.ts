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

interface Claim {
  readonly x0: number;
  readonly y0: number;
  readonly width: number;
  /** Sample that each cell belongs to, or -1. */
  readonly owner: Int32Array;
  readonly counts: Int32Array;
}

/** Gives each pixel of the band to the sample it lies straight out from. */
function claimed(crop: Crop, curve: OutlineCurve, { count, of }: Segments, every: number): Claim {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let k = 0; k < curve.count; k++) {
    x0 = Math.min(x0, curve.xy[2 * k]!);
    x1 = Math.max(x1, curve.xy[2 * k]!);
    y0 = Math.min(y0, curve.xy[2 * k + 1]!);
    y1 = Math.max(y1, curve.xy[2 * k + 1]!);
  }
  const margin = BAND.outside + 2;
  x0 = Math.max(crop.left, Math.floor(x0 - margin));
  y0 = Math.max(crop.top, Math.floor(y0 - margin));
  x1 = Math.min(crop.left + crop.width - 1, Math.ceil(x1 + margin));
  y1 = Math.min(crop.top + crop.height - 1, Math.ceil(y1 + margin));
  const width = Math.max(0, x1 - x0 + 1);
  const cells = width * Math.max(0, y1 - y0 + 1);
  const owner = new Int32Array(cells).fill(-1);
  const aside = new Float32Array(cells);
  const counts = new Int32Array(count);
  for (let k = 0; k < curve.count; k++) {
    const segment = of[k]!;
    if (segment < 0 || segment % every !== 0) continue;
    const cx = curve.xy[2 * k]!;
    const cy = curve.xy[2 * k + 1]!;
    const nx = curve.normal[2 * k]!;
    const ny = curve.normal[2 * k + 1]!;
    for (let s = -BAND.inside; s <= BAND.outside; s += 0.6)
      for (let t = -0.4; t <= 0.5; t += 0.8) {
        const x = Math.round(cx + s * nx - t * ny);
        const y = Math.round(cy + s * ny + t * nx);
        if (x < x0 || y < y0 || x > x1 || y > y1) continue;
        const o = (y - y0) * width + x - x0;
        const d = Math.abs((y - cy) * nx - (x - cx) * ny);
        if (owner[o]! >= 0 && d >= aside[o]!) continue;
        if (owner[o]! >= 0) counts[of[owner[o]!]!]!--;
        counts[segment]!++;
        owner[o] = k;
        aside[o] = d;
      }
  }
  return { x0, y0, width, owner, counts };
}

/** The band's pixels, one segment in `every`; `plane` weighs red, green and blue. */
export function bandPixels(
  crop: Crop,
  plane: readonly [number, number, number],
  curve: OutlineCurve,
  segments: Segments,
  every: number,
): BandPixels {
  const { x0, y0, width, owner, counts } = claimed(crop, curve, segments, every);
  const start = new Int32Array(segments.count + 1);
  for (let i = 0; i < segments.count; i++) start[i + 1] = start[i]! + counts[i]!;
  const total = start[segments.count]!;
  const fill = Int32Array.from(start);
  const out = {
    start,
    s: new Float32Array(total),
    y: new Float32Array(total),
    sample: new Int32Array(total),
    address: new Int32Array(total),
  };
  const { data, channels } = crop;
  for (let o = 0; o < owner.length; o++) {
    const k = owner[o]!;
    if (k < 0) continue;
    const m = fill[segments.of[k]!]!++;
    const x = x0 + (o % width);
    const y = y0 + Math.floor(o / width);
    const p = ((y - crop.top) * crop.width + x - crop.left) * channels;
    out.s[m] = (x - curve.xy[2 * k]!) * curve.normal[2 * k]! + (y - curve.xy[2 * k + 1]!) * curve.normal[2 * k + 1]!;
    out.y[m] = plane[0] * data[p]! + plane[1] * data[p + 1]! + plane[2] * data[p + 2]!;
    out.sample[m] = k;
    out.address[m] = p;
  }
  return out;
}
