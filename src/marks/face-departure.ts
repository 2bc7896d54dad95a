import { faceMemory } from '../faces/face-memory.ts';
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
  return { picture, departure: departureOf(picture, inner), inner };
}

/** Bytes of a listed pixel in the module's memory, in whole sixteens. */
const LISTED = 48;

/**
 * Departure from a quadratic surface that is fitted to what is neither ink nor relief: weights fall with the departure.
 *
 * @param inner  Does not reach the picture's edge.
 */
export function departureOf({ light, size }: Pick<FacePicture, 'light' | 'size'>, inner: Uint8Array): Departure {
  const memory = faceMemory();
  const { run } = memory;
  // A surface of six numbers needs no more than a share of the pixels. Whole sixteens of bytes each, and some that are looked at beyond an end.
  const room = 16 * Math.ceil(inner.length / STRIDE / 16) + 16;
  const list = memory.room(LISTED * room + 21 * inner.length + 64);
  const colours = list + LISTED * room;
  const luma = colours + 12 * inner.length;
  const out = luma + 4 * inner.length;
  const mask = out + 4 * inner.length;
  memory.floats(colours, light.length).set(light);
  memory.bytes(mask, inner.length).set(inner);
  const count = run.listed(size, colours, mask, luma, STRIDE, list, room);
  const packed = (of: number): Float64Array => memory.numbers(list + 32 * room, of);
  let surface: ArrayLike<number> = [median(memory.numbers(list + 16 * room, count)), 0, 0, 0, 0, 0];
  for (let round = 0; round < ROUNDS; round++) {
    memory.numbers('PARAMETERS', 6).set(surface);
    const limit = Math.max(0.02, 3 * 1.4826 * median(packed(run.departed(list, room, count))));
    const near = run.within(list, room, count, limit);
    if (near < LEAST_SURFACE) break;
    run.surfaceSums(list, room, count, limit);
    surface = solved(memory.numbers('RESULTS', SUMS.length + 6), near);
  }
  memory.numbers('PARAMETERS', 6).set(surface);
  run.takeSurface(size, mask, luma);
  run.softened(size, mask, luma, out);
  const off = median(packed(run.departedIn(out, list, room, count)));
  return { values: memory.floats(out, inner.length).slice(), noise: Math.max(LEAST_NOISE, 1.4826 * off) };
}

/** Rounds in which the surface is found. */
const ROUNDS = 5;

/** Where the sums of products stand in the matrix of six by six, as the module gives them; -1 where one is not of its lower half. */
const SUMS = [6, 7, 12, 13, 14, -1, 18, 19, 20, 21, 24, 25, 26, 27, 28, -1, 30, 31, 32, 33, 34, 35] as const;

/** Least squares of 1, x, y, x^2, xy, y^2 by their sums of products over so many pixels, and of each times the light. */
function solved(sums: Float64Array, count: number): Float64Array {
  const a = new Float64Array(36);
  a[0] = count;
  for (let k = 0; k < SUMS.length; k++) if (SUMS[k]! >= 0) a[SUMS[k]!] = sums[k]!;
  for (let i = 0; i < 6; i++) {
    a[7 * i]! += 1e-9 * count;
    for (let j = 0; j < i; j++) a[6 * j + i] = a[6 * i + j]!;
  }
  return solve(a, sums.subarray(SUMS.length), 6) ?? Float64Array.of(1, 0, 0, 0, 0, 0);
}
