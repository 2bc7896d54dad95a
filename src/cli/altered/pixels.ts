import sharp, { type Sharp } from 'sharp';
import { SRGB } from '../../vision/tone.ts';

/** A photo's pixels as stored, three channels of 8 bits, and its EXIF segment as it stands in the file (empty where it has none). */
export interface Pixels {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

export const sharpOf = ({ width, height, data }: Pixels): Sharp => sharp(data, { raw: { width, height, channels: 3 } });

export async function pixelsOf(image: Sharp): Promise<Pixels> {
  const { data, info } = await image.toColourspace('srgb').removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data };
}

/** Every value by itself. */
export const valued = (p: Pixels, change: (value: number, channel: number) => number): Pixels => {
  const tables = [0, 1, 2].map((c) => Uint8ClampedArray.from({ length: 256 }, (_, v) => change(v, c)));
  return { ...p, data: p.data.map((v, i) => tables[i % 3]![v]!) };
};

/** Every value's light (0 to 1) by itself. */
export const lit = (p: Pixels, change: (light: number, channel: number) => number): Pixels =>
  valued(p, (v, c) => SRGB.toDisplay(Math.min(1, Math.max(0, change(SRGB.toLight(v), c)))));

const LIGHT = Float32Array.from({ length: 256 }, (_, v) => SRGB.toLight(v));

/** Weights of neighbours, [dx, dy, weight] each. */
export type Kernel = readonly (readonly [number, number, number])[];

/** Spreads light by a kernel whose weights make 1. */
export function spreadLight(p: Pixels, kernel: Kernel): Pixels {
  const { width, height } = p;
  const light = new Float32Array(p.data.length);
  for (let k = 0; k < light.length; k++) light[k] = LIGHT[p.data[k]!]!;
  const data = new Uint8Array(light.length);
  const row = 3 * width;
  // One row after another, so that its sums stay at hand for all neighbours.
  const sum = new Float32Array(row);
  for (let y = 0; y < height; y++) {
    sum.fill(0);
    for (const [dx, dy, weight] of kernel) {
      const from = Math.min(height - 1, Math.max(0, y + dy)) * row;
      const low = Math.min(width, Math.max(0, -dx));
      const high = Math.max(low, Math.min(width, width - dx));
      for (let k = 3 * low, q = from + 3 * (low + dx), end = 3 * high; k < end; k++, q++) sum[k]! += weight * light[q]!;
      const beyond = (x: number): void => {
        const q = from + 3 * Math.min(width - 1, Math.max(0, x + dx));
        for (let c = 0; c < 3; c++) sum[3 * x + c]! += weight * light[q + c]!;
      };
      for (let x = 0; x < low; x++) beyond(x);
      for (let x = high; x < width; x++) beyond(x);
    }
    for (let k = 0; k < row; k++) data[y * row + k] = Math.round(SRGB.toDisplay(Math.min(1, sum[k]!)));
  }
  return { ...p, data };
}

/** Cubic interpolation after Catmull and Rom at the place that each pixel comes from; the border's pixels go on beyond it. */
export function warped(p: Pixels, from: (x: number, y: number) => readonly [number, number]): Pixels {
  const { width, height, data } = p;
  const out = new Uint8ClampedArray(data.length);
  const weights = (t: number): number[] => [
    0.5 * t * (t * (2 - t) - 1),
    0.5 * (t * t * (3 * t - 5) + 2),
    0.5 * t * (t * (4 - 3 * t) + 1),
    0.5 * t * t * (t - 1),
  ];
  for (let y = 0, o = 0; y < height; y++)
    for (let x = 0; x < width; x++, o += 3) {
      const [u, v] = from(x, y);
      const [i, j] = [Math.floor(u), Math.floor(v)];
      const [wx, wy] = [weights(u - i), weights(v - j)];
      for (let b = 0; b < 4; b++) {
        const row = Math.min(height - 1, Math.max(0, j + b - 1)) * width;
        for (let a = 0; a < 4; a++) {
          const q = 3 * (row + Math.min(width - 1, Math.max(0, i + a - 1)));
          const w = wx[a]! * wy[b]!;
          sums[0] = (a + b === 0 ? 0 : sums[0]!) + w * data[q]!;
          sums[1] = (a + b === 0 ? 0 : sums[1]!) + w * data[q + 1]!;
          sums[2] = (a + b === 0 ? 0 : sums[2]!) + w * data[q + 2]!;
        }
      }
      for (let c = 0; c < 3; c++) out[o + c] = sums[c]!;
    }
  return { width, height, data: new Uint8Array(out.buffer) };
}
const sums = new Float64Array(3);
