import { tuple } from '../maths/tuple.ts';
import type { FacePicture } from '../faces/face-picture.ts';
import { median, solve } from '../maths/linear.ts';

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
  const strong = seen.flatMap((face) => face?.departures.flatMap(strongest) ?? []);
  // One ink on a whole die: what departs much less than the ink is none, but a mark's bright or dark flank.
  const least = Math.max(RELIEF.ink.share, strong.length > 0 ? RELIEF.ink.ofInk * median(strong) : 0);
  return seen.map((face) => face && reliefOf(face, least));
}

interface Departed {
  readonly views: readonly FacePicture[];
  readonly inner: Uint8Array;
  readonly departures: readonly Departure[];
}

function departed(views: readonly FacePicture[]): Departed | null {
  if (views.length === 0) return null;
  const { size } = views[0]!;
  const land = new Uint8Array(size * size).fill(1);
  for (const { mask } of views) for (let k = 0; k < land.length; k++) land[k]! &= mask[k]!;
  const inner = eroded(land, size, RELIEF.rim);
  return { views, inner, departures: views.map((view) => departure(view, inner)) };
}

/** The ink's own departure in one view: the upper tenth of what departs like ink; nothing where hardly anything does. */
function strongest({ values }: Departure): number[] {
  const { share } = RELIEF.ink;
  const inky = values.filter((v) => v > share || v < -share);
  for (let k = 0; k < inky.length; k++) inky[k] = Math.abs(inky[k]!);
  inky.sort();
  return inky.length < LEAST_SURFACE ? [] : [inky[Math.floor(0.8 * inky.length)]!];
}

function reliefOf({ views, inner, departures }: Departed, leastInk: number): FaceRelief {
  const { size, umPerPx } = views[0]!;
  const n = size * size;
  const inky = new Float32Array(n);
  for (const { values, noise } of departures)
    for (let k = 0; k < n; k++)
      if (Math.abs(values[k]!) > Math.max(leastInk, RELIEF.ink.noise * noise)) inky[k]! += 1 / views.length;
  const ink = inky.map((share) => (share >= RELIEF.most ? 1 : 0));
  const near = dilated(Uint8Array.from(ink), size, RELIEF.beside);
  const touching = dilated(Uint8Array.from(ink), size, RELIEF.touching);
  const [energy, mean] = [new Float32Array(n), new Float32Array(n)];
  for (const { values, noise } of departures)
    for (let k = 0; k < n; k++) {
      const z = values[k]! / noise;
      energy[k]! += (z * z) / views.length;
      mean[k]! += values[k]! / views.length;
    }
  return {
    size,
    umPerPx,
    seen: inner.map((v, k) => v & (1 - near[k]!)),
    sized: inner.map((v, k) => v & (1 - touching[k]!)),
    ink: Uint8Array.from(ink),
    energy,
    mean,
    views: views.length,
    byView: departures.map(({ values, noise }) => values.map((v) => v / noise)),
    inner,
    noise: median(departures.map((d) => d.noise)),
  };
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
function departure({ light, size }: FacePicture, inner: Uint8Array): Departure {
  const n = size * size;
  const luma = new Float32Array(n);
  for (let k = 0; k < n; k++) luma[k] = (light[3 * k]! + light[3 * k + 1]! + light[3 * k + 2]!) / 3;
  const all: number[] = [];
  for (let k = 0; k < n; k++) if (inner[k] === 1) all.push(k);
  // A surface of six numbers needs no more than a share of the pixels.
  const at = all.filter((_, i) => i % STRIDE === 0);
  const middle = median(at.map((k) => luma[k]!));
  let keep = at;
  let surface: (k: number) => number = () => middle;
  for (let round = 0; round < 5; round++) {
    const off = (k: number): number => Math.abs(luma[k]! / surface(k) - 1);
    const limit = Math.max(0.02, 3 * 1.4826 * median(keep.map(off)));
    const next = at.filter((k) => off(k) < limit);
    if (next.length < LEAST_SURFACE) break;
    keep = next;
    surface = quadratic(luma, keep, size);
  }
  const sharp = new Float32Array(n);
  for (const k of all) sharp[k] = luma[k]! / surface(k) - 1;
  const values = smoothed(sharp, inner, size);
  const noise = Math.max(LEAST_NOISE, 1.4826 * median(keep.map((k) => Math.abs(values[k]!))));
  return { values, noise };
}

/** Mean of 3 x 3 pixels of the mask: relief is wider than a pixel, noise is not. */
function smoothed(values: Float32Array, mask: Uint8Array, size: number): Float32Array {
  const out = new Float32Array(values.length);
  for (let y = 1; y < size - 1; y++)
    for (let x = 1; x < size - 1; x++) {
      const k = y * size + x;
      if (mask[k] === 0) continue;
      let [sum, count] = [0, 0];
      for (let v = k - size; v <= k + size; v += size)
        for (let u = v - 1; u <= v + 1; u++)
          if (mask[u] === 1) {
            sum += values[u]!;
            count++;
          }
      out[k] = sum / count;
    }
  return out;
}

/** Least squares of 1, x, y, x^2, xy, y^2 over the middle of the picture; as a function of the pixel's index. */
function quadratic(luma: Float32Array, keep: readonly number[], size: number): (k: number) => number {
  const half = (size - 1) / 2;
  const a = new Float64Array(36);
  const b = new Float64Array(6);
  const t = new Float64Array(6);
  for (const k of keep) {
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
    a[7 * i]! += 1e-9 * keep.length;
    for (let j = 0; j < i; j++) a[6 * j + i] = a[6 * i + j]!;
  }
  const found = solve(a, b, 6);
  if (found === null) return () => 1;
  const [c, cx, cy, cxx, cxy, cyy] = tuple(found, 6);
  return (k) => {
    const x = ((k % size) - half) / half;
    const y = (Math.floor(k / size) - half) / half;
    return c + x * (cx + cxx * x + cxy * y) + y * (cy + cyy * y);
  };
}

export function eroded(mask: Uint8Array, size: number, by: number): Uint8Array {
  return turnedOver(dilated(turnedOver(mask.slice()), size, by, true));
}

function turnedOver(mask: Uint8Array): Uint8Array {
  for (let k = 0; k < mask.length; k++) mask[k]! ^= 1;
  return mask;
}

/** Grown by a square of `by` pixels each way. @param edge  Whether what lies outside counts as set. */
export function dilated(mask: Uint8Array, size: number, by: number, edge = false): Uint8Array {
  return grownAlong(grownAlong(mask, size, by, edge, 1, size), size, by, edge, size, 1);
}

/** Grown along lines whose pixels lie `step` apart, each line beginning `line` behind the one before: what is no further off than `by` from a set one. */
function grownAlong(from: Uint8Array, size: number, by: number, edge: boolean, step: number, line: number): Uint8Array {
  const out = new Uint8Array(from.length);
  const far = 2 * size + by;
  for (let l = 0; l < size; l++) {
    const first = l * line;
    for (let i = 0, k = first, last = edge ? -1 : -far; i < size; i++, k += step) {
      if (from[k] !== 0) last = i;
      if (i - last <= by) out[k] = 1;
    }
    for (let i = size - 1, k = first + i * step, next = edge ? size : far; i >= 0; i--, k -= step) {
      if (from[k] !== 0) next = i;
      if (next - i <= by) out[k] = 1;
    }
  }
  return out;
}
