import type { Patch } from './picture.ts';

/** Below this a Gaussian is no more than its middle pixel, px. */
const LEAST_SIGMA = 0.3;

/** Room for a window smoothed along one way, the window smoothed, and one line of it with what lies beyond both ends; kept from call to call. */
const roomOf = (pixels: number) => ({
  half: new Float32Array(pixels),
  whole: new Float32Array(pixels),
  line: new Float64Array(pixels),
});
let room = roomOf(0);

/** A window of luma smoothed by a Gaussian of `sigma` px; beyond its border the window goes on as it ends. The next call takes its data's place. */
export function smoothedPatch(patch: Patch, sigma: number): Patch {
  if (sigma < LEAST_SIGMA) return patch;
  const weights = gaussian(sigma);
  const { left, top, width, height, data } = patch;
  // A line of a narrow window may be longer than the window has pixels.
  const most = width * height + width + height + 2 * weights.length;
  if (room.half.length < most) room = roomOf(most);
  const { half, whole } = room;
  pass(data, half, weights, width, 1, height, width);
  pass(half, whole, weights, height, width, width, 1);
  return { left, top, width, height, data: whole };
}

function gaussian(sigma: number): Float64Array {
  const reach = Math.ceil(3 * sigma);
  const weights = new Float64Array(2 * reach + 1);
  let total = 0;
  for (let i = 0; i < weights.length; i++) {
    weights[i] = Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2));
    total += weights[i]!;
  }
  for (let i = 0; i < weights.length; i++) weights[i]! /= total;
  return weights;
}

/** Convolves `lines` lines of `length` values; neighbours in a line stand `step` apart, lines `apart`. */
function pass(
  from: Float32Array,
  to: Float32Array,
  kernel: Float64Array,
  length: number,
  step: number,
  lines: number,
  apart: number,
): void {
  const reach = (kernel.length - 1) / 2;
  const { line } = room;
  for (let n = 0; n < lines; n++) {
    const start = n * apart;
    for (let i = 0, k = start; i < length; i++, k += step) line[reach + i] = from[k]!;
    line.fill(line[reach]!, 0, reach);
    line.fill(line[reach + length - 1]!, reach + length, length + 2 * reach);
    for (let i = 0, k = start; i < length; i++, k += step) {
      let sum = kernel[reach]! * line[i + reach]!;
      for (let j = 1; j <= reach; j++) sum += kernel[reach + j]! * (line[i + reach - j]! + line[i + reach + j]!);
      to[k] = sum;
    }
  }
}
