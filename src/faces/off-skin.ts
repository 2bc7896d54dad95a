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
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    let square = 0;
    for (let a = 0; a < 3; a++)
      for (let b = 0; b < 3; b++)
        square += (roots[3 * k + a]! - mean[a]!) * inverse[3 * a + b]! * (roots[3 * k + b]! - mean[b]!);
    const root = Math.min(1, OFF_SKIN.dark + OFF_SKIN.step * Math.sqrt(Math.max(0, square)));
    out.fill(root * root, 3 * k, 3 * k + 3);
  }
  return { ...picture, light: out };
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
  for (let i = 0; i < n; i++) {
    const k = rim[i]!;
    for (let a = 0; a < 3; a++)
      for (let b = 0; b < 3; b++)
        spread[3 * a + b]! += ((roots[3 * k + a]! - mean[a]!) * (roots[3 * k + b]! - mean[b]!)) / n;
  }
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
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    // As single precision has it.
    const far = Math.fround(Math.hypot((k % size) - x, Math.floor(k / size) - y) / radius);
    if (far > OFF_SKIN.rim) out[found++] = k;
  }
  return out.subarray(0, found);
}

/** Mean over three by three pixels of the mask, three values each. */
function softened(values: Float32Array, mask: Uint8Array, size: number): Float32Array {
  const out = new Float32Array(values.length);
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    let n = 0;
    for (let j = -size; j <= size; j += size)
      for (let q = k + j - 1; q <= k + j + 1; q++) {
        if (!mask[q]) continue;
        n++;
        for (let c = 0; c < 3; c++) out[3 * k + c]! += values[3 * q + c]!;
      }
    for (let c = 0; c < 3; c++) out[3 * k + c]! /= n;
  }
  return out;
}
