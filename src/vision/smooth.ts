import type { Patch } from './picture.ts';

/** Below this a Gaussian is no more than its middle pixel, px. */
const LEAST_SIGMA = 0.3;

/** A window of luma smoothed by a Gaussian of `sigma` px; beyond its border the window goes on as it ends. */
export function smoothedPatch(patch: Patch, sigma: number): Patch {
  if (sigma < LEAST_SIGMA) return patch;
  const reach = Math.ceil(3 * sigma);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2)),
  );
  const total = kernel.reduce((sum, v) => sum + v, 0);
  const weights = kernel.map((v) => v / total);
  const { width, height, data } = patch;
  const across = pass(data, weights, width, 1, height, width);
  return { ...patch, data: pass(across, weights, height, width, width, 1) };
}

/** Convolves `lines` lines of `length` values; neighbours in a line stand `step` apart, lines `apart`. */
function pass(
  from: Float32Array,
  kernel: Float64Array,
  length: number,
  step: number,
  lines: number,
  apart: number,
): Float32Array {
  const out = new Float32Array(from.length);
  const reach = (kernel.length - 1) / 2;
  const line = new Float64Array(length + 2 * reach);
  for (let n = 0; n < lines; n++) {
    const start = n * apart;
    for (let i = 0, k = start; i < length; i++, k += step) line[reach + i] = from[k]!;
    line.fill(line[reach]!, 0, reach);
    line.fill(line[reach + length - 1]!, reach + length);
    for (let i = 0, k = start; i < length; i++, k += step) {
      let sum = kernel[reach]! * line[i + reach]!;
      for (let j = 1; j <= reach; j++) sum += kernel[reach + j]! * (line[i + reach - j]! + line[i + reach + j]!);
      out[k] = sum;
    }
  }
  return out;
}
