import type { FacePicture } from '../faces/face-picture.ts';
import { median, solve } from '../maths/linear.ts';
import { eroded } from './masks.ts';

/** Rim of the land that is left out, px: what is blurred over the edge. */
const RIM = 4;
/** One pixel in so many is asked for the surface. */
const STRIDE = 7;
/** Noise is never believed to be less, share of the light: the picture's own steps. */
const LEAST_NOISE = 0.002;
/** Pixels that a surface is fitted to, at least. */
export const LEAST_SURFACE = 60;

export interface Departure {
  /** Light over the even surface's, less 1; 0 outside. */
  readonly values: Float32Array;
  readonly noise: number;
}

/** One face in one photo: straightened, and what of it departs from an even surface. */
export interface FaceView {
  readonly picture: FacePicture;
  readonly departure: Departure;
  /** 1 on the land less its rim. */
  readonly inner: Uint8Array;
}

export function viewOf(picture: FacePicture): FaceView {
  const inner = eroded(picture.mask, picture.size, RIM);
  return { picture, departure: departureOf(picture, inner, placesOf(inner)), inner };
}

/** Indices of a mask's pixels. */
function placesOf(mask: Uint8Array): Int32Array {
  const out = new Int32Array(mask.length);
  let n = 0;
  for (let k = 0; k < mask.length; k++) if (mask[k] === 1) out[n++] = k;
  return out.subarray(0, n);
}

/** Departure from a quadratic surface that is fitted to what is neither ink nor relief: weights fall with the departure. */
function departureOf({ light, size }: FacePicture, inner: Uint8Array, places: Int32Array): Departure {
  const luma = new Float32Array(size * size);
  for (let i = 0; i < places.length; i++) {
    const k = places[i]!;
    luma[k] = (light[3 * k]! + light[3 * k + 1]! + light[3 * k + 2]!) / 3;
  }
  // A surface of six numbers needs no more than a share of the pixels.
  const at = new Int32Array(Math.ceil(places.length / STRIDE));
  for (let i = 0; i < at.length; i++) at[i] = places[i * STRIDE]!;
  const unit = unitsOf(size);
  const [x, y] = [new Float64Array(at.length), new Float64Array(at.length)];
  const off = new Float64Array(at.length);
  for (let i = 0; i < at.length; i++) {
    x[i] = unit[at[i]! % size]!;
    y[i] = unit[Math.floor(at[i]! / size)]!;
    off[i] = luma[at[i]!]!;
  }
  let surface: Float64Array = Float64Array.of(median(off), 0, 0, 0, 0, 0);
  let keep = new Uint8Array(at.length).fill(1);
  const kept = new Float64Array(at.length);
  for (let round = 0; round < 5; round++) {
    let n = 0;
    for (let i = 0; i < at.length; i++) {
      off[i] = Math.abs(luma[at[i]!]! / heightAt(surface, x[i]!, y[i]!) - 1);
      if (keep[i] === 1) kept[n++] = off[i]!;
    }
    const limit = Math.max(0.02, 3 * 1.4826 * median(kept.subarray(0, n)));
    const next = new Uint8Array(at.length);
    let count = 0;
    for (let i = 0; i < at.length; i++)
      if (off[i]! < limit) {
        next[i] = 1;
        count++;
      }
    if (count < LEAST_SURFACE) break;
    keep = next;
    surface = quadratic(luma, at, x, y, keep);
  }
  for (let i = 0, row = 0; i < places.length; i++) {
    const k = places[i]!;
    while (k >= (row + 1) * size) row++;
    luma[k] = luma[k]! / heightAt(surface, unit[k - row * size]!, unit[row]!) - 1;
  }
  const values = smoothed(luma, inner, places, size);
  let n = 0;
  for (let i = 0; i < at.length; i++) if (keep[i] === 1) kept[n++] = Math.abs(values[at[i]!]!);
  return { values, noise: Math.max(LEAST_NOISE, 1.4826 * median(kept.subarray(0, n))) };
}

/** Mean of 3 x 3 pixels of the mask: relief is wider than a pixel, noise is not. @param values  0 outside the mask. */
function smoothed(values: Float32Array, mask: Uint8Array, places: Int32Array, size: number): Float32Array {
  const out = new Float32Array(values.length);
  for (let i = 0; i < places.length; i++) {
    const k = places[i]!;
    let [sum, count] = [0, 0];
    for (let v = k - size; v <= k + size; v += size) {
      sum = sum + values[v - 1]! + values[v]! + values[v + 1]!;
      count += mask[v - 1]! + mask[v]! + mask[v + 1]!;
    }
    out[k] = sum / count;
  }
  return out;
}

/** Where columns and rows of a picture lie, from -1 to 1. */
function unitsOf(size: number): Float64Array {
  const half = (size - 1) / 2;
  const out = new Float64Array(size);
  for (let i = 0; i < size; i++) out[i] = (i - half) / half;
  return out;
}

/** Least squares of 1, x, y, x^2, xy, y^2 to those of the pixels `at`, which lie at x and y, that are kept. */
function quadratic(
  luma: Float32Array,
  at: Int32Array,
  xs: Float64Array,
  ys: Float64Array,
  keep: Uint8Array,
): Float64Array {
  const a = new Float64Array(36);
  const b = new Float64Array(6);
  const t = new Float64Array(6);
  let count = 0;
  for (let n = 0; n < at.length; n++) {
    if (keep[n] === 0) continue;
    count++;
    const value = luma[at[n]!]!;
    const x = xs[n]!;
    const y = ys[n]!;
    t[0] = 1;
    t[1] = x;
    t[2] = y;
    t[3] = x * x;
    t[4] = x * y;
    t[5] = y * y;
    for (let i = 0; i < 6; i++) {
      b[i]! += t[i]! * value;
      for (let j = 0; j <= i; j++) a[6 * i + j]! += t[i]! * t[j]!;
    }
  }
  for (let i = 0; i < 6; i++) {
    a[7 * i]! += 1e-9 * count;
    for (let j = 0; j < i; j++) a[6 * j + i] = a[6 * i + j]!;
  }
  return solve(a, b, 6) ?? Float64Array.of(1, 0, 0, 0, 0, 0);
}

function heightAt(s: Float64Array, x: number, y: number): number {
  return s[0]! + x * (s[1]! + s[3]! * x + s[4]! * y) + y * (s[2]! + s[5]! * y);
}
