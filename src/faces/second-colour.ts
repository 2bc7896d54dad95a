import { addSpread, grey, mirror, rootsOf } from './off-skin.ts';
import type { FacePixels } from './reader/window.ts';

type Three = [number, number, number];

/** Half the side of the box over which the second colour is averaged, px: its contrast is small. */
const BOX = 1;
/** Grey and contrast of the picture that shows it: middle, and what one standard deviation adds; roots of light. */
const SHOWN = { middle: 0.5, spread: 0.1 } as const;

/**
 * A face without the colours that vary most on it: on a die of two swirled colours that is the swirl, and what is left is the print.
 *
 * Roots of light (equal steps look equal) along the second of the pixels' principal directions of colour, as a grey picture of fixed
 * contrast. Source: principal components, Pearson (1901). Null where the face has no second direction.
 */
export function withoutMainColour<P extends FacePixels>(picture: P): P | null {
  const { light, mask, size } = picture;
  const roots = rootsOf(light);
  const mean: Three = [0, 0, 0];
  let n = 0;
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    n++;
    for (let e = 0; e < 3; e++) mean[e]! += roots[3 * k + e]!;
  }
  if (n < 50) return null;
  for (let e = 0; e < 3; e++) mean[e]! /= n;
  const spread = new Float64Array(9);
  for (let k = 0; k < mask.length; k++) if (mask[k]) addSpread(spread, roots, 3 * k, mean, n);
  mirror(spread);
  const first = principal(spread);
  const left = spread.map((v, i) => v - first.value * first.way[Math.floor(i / 3)]! * first.way[i % 3]!);
  const second = principal(left);
  if (!(second.value > 1e-9)) return null;
  const scale = 1 / Math.sqrt(second.value);
  const along = new Float32Array(mask.length);
  for (let k = 0; k < mask.length; k++)
    if (mask[k]) for (let e = 0; e < 3; e++) along[k]! += scale * second.way[e]! * (roots[3 * k + e]! - mean[e]!);
  const out = new Float32Array(light.length);
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    grey(out, k, Math.min(1, Math.max(0, SHOWN.middle + SHOWN.spread * boxed(along, mask, size, k))));
  }
  return { ...picture, light: out };
}

/** Largest principal value of a symmetric 3 x 3 matrix and its unit direction, by repeated squaring of the matrix. */
function principal(m: Float64Array): { readonly value: number; readonly way: Three } {
  let power = m;
  for (let round = 0; round < 8; round++) {
    const trace = power[0]! + power[4]! + power[8]!;
    if (!(trace > 0)) return { value: 0, way: [1, 0, 0] };
    power = squared(power, trace);
  }
  const widest = [0, 1, 2].reduce((p, q) => (power[4 * q]! > power[4 * p]! ? q : p));
  const column = [0, 1, 2].map((p) => power[3 * p + widest]!);
  const length = Math.hypot(...column) || 1;
  const way = column.map((v) => v / length) as Three;
  const value = way.reduce((s, v, p) => s + v * way.reduce((t, w, q) => t + m[3 * p + q]! * w, 0), 0);
  return { value, way };
}

/** The square of a 3 x 3 matrix over a scale. */
function squared(m: Float64Array, scale: number): Float64Array {
  const out = new Float64Array(9);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++) {
      let sum = 0;
      for (let k = 0; k < 3; k++) sum += (m[3 * i + k]! / scale) * (m[3 * k + j]! / scale);
      out[3 * i + j] = sum;
    }
  return out;
}

function boxed(values: Float32Array, mask: Uint8Array, size: number, at: number): number {
  let sum = 0;
  let n = 0;
  for (let j = -BOX; j <= BOX; j++)
    for (let k = at + j * size - BOX; k <= at + j * size + BOX; k++) {
      if (!mask[k]) continue;
      sum += values[k]!;
      n++;
    }
  return sum / n;
}
