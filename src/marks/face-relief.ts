import type { FacePicture } from '../faces/face-picture.ts';
import { median, solve } from '../maths/linear.ts';
import { dilated, eroded } from './masks.ts';

/**
 * What stands out of a face, or into it, shows as thin lights and shades that change with the light, over the even surface and beside the ink.
 *
 * All arrays: `size * size`, rows from the top, in the face's own frame as in {@link FacePicture}.
 */
export interface FaceRelief {
  readonly size: number;
  readonly umPerPx: number;
  /** 1 where something could have been seen: the face's land less its rim, less ink and what lies beside it. */
  readonly seen: Uint8Array;
  /** The same, less of the ink's surroundings taken away: where the size of a mark that was seen is judged. */
  readonly sized: Uint8Array;
  /** 1 where ink lies in most views. */
  readonly ink: Uint8Array;
  /** Mean over the views of squared departure from the even surface, in squares of the view's own noise; 1 where there is nothing. */
  readonly energy: Float32Array;
  /** Mean departure over the views, share of the surface's light; what is ink or colour shows here, too. */
  readonly mean: Float32Array;
  readonly views: number;
  /** Departure of each view in multiples of its noise. */
  readonly byView: readonly Float32Array[];
  /** The land less its rim. */
  readonly inner: Uint8Array;
  /** Noise of the mean departure of one pixel, share of the surface's light: median over the views. */
  readonly noise: number;
}

export const RELIEF = {
  /** Rim of the land that is left out, px: what is blurred over the edge. */
  rim: 4,
  /** Departure from which a pixel is ink: a share of the surface's light, and so many times the noise. Relief's flanks stay below (measured: 0.02 to 0.1). */
  ink: { share: 0.22, noise: 8, ofInk: 0.4 },
  /** Round the ink, px. */
  beside: 4,
  touching: 2,
  /** Share of views in which ink is ink. */
  most: 0.5,
} as const;

/** The relief of all faces, each from all its views; null for a face without one. */
export function faceReliefs(views: readonly (readonly FacePicture[])[]): (FaceRelief | null)[] {
  const seen = views.map(departed);
  const strong: number[] = [];
  for (const face of seen) for (const one of face?.departures ?? []) strongest(one, strong);
  // One ink on a whole die: what departs much less than the ink is none, but a mark's bright or dark flank.
  const least = Math.max(RELIEF.ink.share, strong.length > 0 ? RELIEF.ink.ofInk * median(strong) : 0);
  return seen.map((face) => face && reliefOf(face, least));
}

interface Departed {
  readonly views: readonly FacePicture[];
  readonly inner: Uint8Array;
  readonly departures: readonly Departure[];
}

/** Indices of a mask's pixels. */
function placesOf(mask: Uint8Array): Int32Array {
  const out = new Int32Array(mask.length);
  let n = 0;
  for (let k = 0; k < mask.length; k++) if (mask[k] === 1) out[n++] = k;
  return out.subarray(0, n);
}

function departed(views: readonly FacePicture[]): Departed | null {
  if (views.length === 0) return null;
  const { size, mask: first } = views[0]!;
  const land = first.slice();
  for (let v = 1; v < views.length; v++) {
    const { mask } = views[v]!;
    for (let k = 0; k < land.length; k++) if (mask[k] === 0) land[k] = 0;
  }
  const inner = eroded(land, size, RELIEF.rim);
  const places = placesOf(inner);
  const departures: Departure[] = [];
  for (const view of views) departures.push(departure(view, inner, places));
  return { views, inner, departures };
}

/** Adds the ink's own departure in one view to a list: the upper tenth of what departs like ink; nothing where hardly anything does. */
function strongest({ values }: Departure, to: number[]): void {
  const { share } = RELIEF.ink;
  let n = 0;
  const inky = roomFor(values.length);
  for (let k = 0; k < values.length; k++) {
    const off = Math.abs(values[k]!);
    if (off > share) inky[n++] = off;
  }
  if (n >= LEAST_SURFACE) to.push(inky.subarray(0, n).sort()[Math.floor(0.8 * n)]!);
}

/** Kept for the next view. */
let room = new Float32Array(0);
function roomFor(length: number): Float32Array {
  if (room.length < length) room = new Float32Array(length);
  return room;
}

function reliefOf({ views, inner, departures }: Departed, leastInk: number): FaceRelief {
  const { size, umPerPx } = views[0]!;
  const n = size * size;
  const count = views.length;
  const [inky, energy, mean] = [new Float32Array(n), new Float32Array(n), new Float32Array(n)];
  const byView: Float32Array[] = [];
  for (const { values, noise } of departures) {
    const limit = Math.max(leastInk, RELIEF.ink.noise * noise);
    const view = new Float32Array(n);
    for (let k = 0; k < n; k++) {
      if (inner[k] === 0) continue;
      const value = values[k]!;
      const z = value / noise;
      view[k] = z;
      energy[k]! += (z * z) / count;
      mean[k]! += value / count;
      if (Math.abs(value) > limit) inky[k]! += 1 / count;
    }
    byView.push(view);
  }
  const ink = new Uint8Array(n);
  for (let k = 0; k < n; k++) if (inky[k]! >= RELIEF.most) ink[k] = 1;
  return {
    size,
    umPerPx,
    seen: without(inner, dilated(ink, size, RELIEF.beside)),
    sized: without(inner, dilated(ink, size, RELIEF.touching)),
    ink,
    energy,
    mean,
    views: count,
    byView,
    inner,
    noise: median(departures.map((d) => d.noise)),
  };
}

/** A mask less another one. */
function without(mask: Uint8Array, other: Uint8Array): Uint8Array {
  const out = new Uint8Array(mask.length);
  for (let k = 0; k < out.length; k++) out[k] = mask[k]! & (1 - other[k]!);
  return out;
}

const STRIDE = 7;
/** Noise is never believed to be less, share of the light: the picture's own steps. */
const LEAST_NOISE = 0.002;
/** Pixels that a surface is fitted to, at least. */
const LEAST_SURFACE = 60;

interface Departure {
  /** Light over the even surface's, less 1; 0 outside. */
  readonly values: Float32Array;
  readonly noise: number;
}

/** Departure from a quadratic surface that is fitted to what is neither ink nor relief: weights fall with the departure. */
function departure({ light, size }: FacePicture, inner: Uint8Array, places: Int32Array): Departure {
  const luma = new Float32Array(size * size);
  for (let i = 0; i < places.length; i++) {
    const k = places[i]!;
    luma[k] = (light[3 * k]! + light[3 * k + 1]! + light[3 * k + 2]!) / 3;
  }
  // A surface of six numbers needs no more than a share of the pixels.
  const at = new Int32Array(Math.ceil(places.length / STRIDE));
  for (let i = 0; i < at.length; i++) at[i] = places[i * STRIDE]!;
  const off = new Float64Array(at.length);
  for (let i = 0; i < at.length; i++) off[i] = luma[at[i]!]!;
  let surface: Float64Array = Float64Array.of(median(off), 0, 0, 0, 0, 0);
  let keep = new Uint8Array(at.length).fill(1);
  const kept = new Float64Array(at.length);
  for (let round = 0; round < 5; round++) {
    let n = 0;
    for (let i = 0; i < at.length; i++) {
      off[i] = Math.abs(luma[at[i]!]! / heightAt(surface, at[i]!, size) - 1);
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
    surface = quadratic(luma, at, keep, size);
  }
  for (let i = 0; i < places.length; i++) {
    const k = places[i]!;
    luma[k] = luma[k]! / heightAt(surface, k, size) - 1;
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

/** Least squares of 1, x, y, x^2, xy, y^2 over the middle of the picture, to those of the pixels `at` that are kept. */
function quadratic(luma: Float32Array, at: Int32Array, keep: Uint8Array, size: number): Float64Array {
  const half = (size - 1) / 2;
  const a = new Float64Array(36);
  const b = new Float64Array(6);
  const t = new Float64Array(6);
  let count = 0;
  for (let n = 0; n < at.length; n++) {
    if (keep[n] === 0) continue;
    count++;
    const k = at[n]!;
    const x = ((k % size) - half) / half;
    const y = (Math.floor(k / size) - half) / half;
    t[0] = 1;
    t[1] = x;
    t[2] = y;
    t[3] = x * x;
    t[4] = x * y;
    t[5] = y * y;
    for (let i = 0; i < 6; i++) {
      b[i]! += t[i]! * luma[k]!;
      for (let j = 0; j <= i; j++) a[6 * i + j]! += t[i]! * t[j]!;
    }
  }
  for (let i = 0; i < 6; i++) {
    a[7 * i]! += 1e-9 * count;
    for (let j = 0; j < i; j++) a[6 * j + i] = a[6 * i + j]!;
  }
  return solve(a, b, 6) ?? Float64Array.of(1, 0, 0, 0, 0, 0);
}

/** A surface's height at a pixel. */
function heightAt(s: Float64Array, k: number, size: number): number {
  const half = (size - 1) / 2;
  const x = ((k % size) - half) / half;
  const y = (Math.floor(k / size) - half) / half;
  return s[0]! + x * (s[1]! + s[3]! * x + s[4]! * y) + y * (s[2]! + s[5]! * y);
}
