import { choleskySolve, cholesky } from '../maths/linear.ts';
import type { FacePixels } from './reader/window.ts';

export const OFF_SKIN = {
  /** Skin alone is taken to lie beyond this share of the way from the middle to a face's edge. */
  rim: 0.8,
  /** Variance of the root of light that is believed of any skin: noise, and light that changes. */
  floor: 3e-4,
  /** Root of light where nothing departs, and what one standard deviation adds. */
  dark: 0.15,
  step: 0.08,
} as const;

/**
 * A face as the departure of its colours from those of its rim, where nothing is printed: skins of several colours become dark whatever
 * pattern they make, and print light.
 *
 * Source: Mahalanobis (1936), the distance by the rim's own covariance. Null where the rim shows too little.
 */
export function offSkin<P extends FacePixels>(picture: P): P | null {
  const { light, mask, size } = picture;
  const roots = softened(rootsOf(light), mask, size);
  const [mean, inverse] = skinOf(roots, mask, size) ?? [null, null];
  if (mean === null) return null;
  const out = new Float32Array(light.length);
  for (let k = 0; k < mask.length; k++) if (mask[k]) grey(out, k, departureAt(roots, 3 * k, mean, inverse));
  return { ...picture, light: out };
}

/** A pixel's root of light, by how far it departs. */
function departureAt(roots: Float32Array, at: number, mean: Float64Array, inverse: Float64Array): number {
  const x = roots[at]! - mean[0]!;
  const y = roots[at + 1]! - mean[1]!;
  const z = roots[at + 2]! - mean[2]!;
  let square = x * inverse[0]! * x + x * inverse[1]! * y + x * inverse[2]! * z;
  square = square + y * inverse[3]! * x + y * inverse[4]! * y + y * inverse[5]! * z;
  square = square + z * inverse[6]! * x + z * inverse[7]! * y + z * inverse[8]! * z;
  return Math.min(1, OFF_SKIN.dark + OFF_SKIN.step * Math.sqrt(Math.max(0, square)));
}

/** Makes a pixel grey, of a root of light. */
export function grey(light: Float32Array, k: number, root: number): void {
  const value = root * root;
  light[3 * k] = value;
  light[3 * k + 1] = value;
  light[3 * k + 2] = value;
}

/** Sums of products of colours' differences from a mean, of a share each, [3 x 3]; both halves are alike. */
export function addSpread(
  spread: Float64Array,
  roots: Float32Array,
  at: number,
  mean: ArrayLike<number>,
  n: number,
): void {
  const x = roots[at]! - mean[0]!;
  const y = roots[at + 1]! - mean[1]!;
  const z = roots[at + 2]! - mean[2]!;
  spread[0]! += (x * x) / n;
  spread[1]! += (x * y) / n;
  spread[2]! += (x * z) / n;
  spread[4]! += (y * y) / n;
  spread[5]! += (y * z) / n;
  spread[8]! += (z * z) / n;
}

/** Fills the lower half of such sums. */
export function mirror(spread: Float64Array): void {
  spread[3] = spread[1]!;
  spread[6] = spread[2]!;
  spread[7] = spread[5]!;
}

/** Roots of light: equal steps of them look equal. */
export function rootsOf(light: Float32Array): Float32Array {
  const out = new Float32Array(light.length);
  for (let k = 0; k < out.length; k++) out[k] = Math.sqrt(light[k]!);
  return out;
}

/** Mean colour of the rim and the inverse of its covariance. */
function skinOf(roots: Float32Array, mask: Uint8Array, size: number): [Float64Array, Float64Array] | null {
  const rim = rimOf(mask, size);
  const mean = new Float64Array(3);
  const spread = new Float64Array(9);
  const n = rim.length;
  for (let i = 0; i < n; i++) for (let c = 0; c < 3; c++) mean[c]! += roots[3 * rim[i]! + c]!;
  if (n < 50) return null;
  for (let c = 0; c < 3; c++) mean[c]! /= n;
  for (let i = 0; i < n; i++) addSpread(spread, roots, 3 * rim[i]!, mean, n);
  mirror(spread);
  for (let c = 0; c < 3; c++) spread[4 * c]! += OFF_SKIN.floor;
  const l = cholesky(spread, 3, 0);
  if (!l) return null;
  const columns = [0, 1, 2].map((c) =>
    choleskySolve(
      l,
      3,
      Float64Array.from([0, 1, 2], (p) => (p === c ? 1 : 0)),
    ),
  );
  return [mean, Float64Array.from({ length: 9 }, (_, i) => columns[i % 3]![Math.floor(i / 3)]!)];
}

/** Pixels of the mask that lie far from its middle, about in radii of the circle inside the face. */
function rimOf(mask: Uint8Array, size: number): Int32Array {
  let [n, x, y] = [0, 0, 0];
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    n++;
    x += k % size;
    y += Math.floor(k / size);
  }
  [x, y] = [x / Math.max(1, n), y / Math.max(1, n)];
  const radius = Math.sqrt(n) / 2.1;
  const out = new Int32Array(n);
  let found = 0;
  // What is plainly inside or outside by its square needs no root.
  const square = (OFF_SKIN.rim * radius) ** 2;
  const [near, far] = [0.99999 * square, 1.00001 * square];
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    const [dx, dy] = [(k % size) - x, Math.floor(k / size) - y];
    const away = dx * dx + dy * dy;
    if (away > far || (away > near && isRim(dx, dy, radius))) out[found++] = k;
  }
  return out.subarray(0, found);
}

/** Whether a place lies on the rim, as single precision has it. */
const isRim = (dx: number, dy: number, radius: number): boolean =>
  Math.fround(Math.hypot(dx, dy) / radius) > OFF_SKIN.rim;

/** Mean over three by three pixels of the mask, three values each, added in single precision. */
function softened(values: Float32Array, mask: Uint8Array, size: number): Float32Array {
  const out = new Float32Array(values.length);
  for (let k = 0; k < mask.length; k++) if (mask[k]) soften(values, mask, size, k, out);
  return out;
}

function soften(values: Float32Array, mask: Uint8Array, size: number, k: number, out: Float32Array): void {
  let n = 0;
  let x = Math.fround(0);
  let y = x;
  let z = x;
  for (let j = k - size; j <= k + size; j += size)
    for (let q = j - 1; q <= j + 1; q++) {
      if (!mask[q]) continue;
      n++;
      x = Math.fround(x + values[3 * q]!);
      y = Math.fround(y + values[3 * q + 1]!);
      z = Math.fround(z + values[3 * q + 2]!);
    }
  out[3 * k] = x / n;
  out[3 * k + 1] = y / n;
  out[3 * k + 2] = z / n;
}
