import type { OutlineCurve } from '../geometry/outline.ts';
import type { Segments } from '../geometry/segments.ts';
import { edgeMemory } from './edge-memory.ts';
import { edgeRoom } from './edge-room.ts';
import type { Crop } from './picture.ts';

export const BAND = {
  /** Pixels looked at inside and outside the outline: inside no more than a rounded rim shows before lamps mirror in it. */
  inside: 5,
  outside: 7,
} as const;

/** Pixels that one sample asks for: one to each side, every 0.6 px along its normal. */
const ASKED = 2 * (Math.floor((BAND.inside + BAND.outside) / 0.6) + 1);

/** The pixels of a band round a curve, grouped by segment, in the edges' own memory: they hold until the next band is looked up. */
export interface BandPixels {
  /** First pixel of each segment, and the end. */
  readonly start: Int32Array;
  /** Signed distance from the curve, px, positive outside; the plane's value, 0 to 255. */
  readonly s: Float32Array;
  readonly y: Float32Array;
}

/**
 * The band's pixels, one segment in `every`; `plane` weighs red, green and blue. Each belongs to the sample that it lies straight out from.
 *
 * @param curvature  Of the outline at each sample, 1 / px.
 */
export function bandPixels(
  crop: Crop,
  plane: readonly [number, number, number],
  curve: OutlineCurve,
  { count, of }: Segments,
  curvature: Float64Array,
  every: number,
): BandPixels {
  const { left, top, width, height, channels } = crop;
  const samples = curve.count;
  const cells = width * height;
  const room = edgeRoom({ samples, segments: count, pixels: Math.min(ASKED * samples, cells), cells });
  const { run } = edgeMemory();
  room.xy.set(curve.xy);
  room.normal.set(curve.normal);
  room.curvature.set(curvature);
  room.of.set(of);
  const total = run.claim(samples, every, left, top, width, height, BAND.inside, BAND.outside);
  run.group(total, count, left, top, width, channels);
  takeShown(crop, plane, total, room.shown, room.y);
  return room;
}

/** Looks up what the pixels show, in place of their addresses. */
function takeShown(
  { data }: Crop,
  [red, green, blue]: readonly [number, number, number],
  total: number,
  shown: Int32Array,
  y: Float32Array,
): void {
  for (let m = 0; m < total; m++) {
    const p = shown[m]!;
    const r = data[p]!;
    const g = data[p + 1]!;
    const b = data[p + 2]!;
    shown[m] = (ONE << 24) | (b << 16) | (g << 8) | r;
    y[m] = red * r + green * g + blue * b;
  }
}

/** Counts the pixel where colours are summed. */
const ONE = 1;
