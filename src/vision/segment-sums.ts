import type { OutlineCurve } from '../geometry/outline.ts';
import type { Rim } from '../geometry/rim.ts';
import { choleskyInPlace, choleskySolveInto } from '../maths/linear.ts';
import { bandPixels, type BandPixels } from './band.ts';
import { PROFILE_CELLS } from './depth-cells.ts';
import type { EdgeOptions, EdgeSet, Noise } from './edge-set.ts';
import type { Crop } from './picture.ts';
import { CHANGES, gridPlace, newProfile, TERM_COUNT, type Profile, type Response, type Surface } from './profile.ts';
import { skinSlopes } from './skin.ts';

/** Offset, level and slope inside, level and slope outside. */
export const LOCAL = 5;
export const SIZE = LOCAL + CHANGES.all;
/** The photo's own look: sharpening, and blur at the card and at the top. */
export const LOOKS = 3;

/** What the segments of one photo are measured with, and where their sums are made. */
export interface Work {
  readonly crop: Crop;
  readonly pixels: BandPixels;
  readonly curvature: Float64Array;
  /** Change of the skin's light beside each segment, display values per px. */
  readonly skin: Float64Array;
  readonly surface: Surface;
  readonly noise: Noise;
  readonly response: Response;
  readonly options: EdgeOptions;
  readonly profile: Profile;
  /** Normal equations, SIZE x SIZE of which the lower triangle counts; the factor of their local block; a right side. */
  readonly matrix: Float64Array;
  readonly gradient: Float64Array;
  readonly factor: Float64Array;
  readonly solved: Float64Array;
  readonly local: Float64Array;
  readonly beliefs: Float64Array;
  readonly inner: Float64Array;
  readonly outer: Float64Array;
  /** Sizes of what is left well inside and well outside, and how many there are. */
  readonly inside: Float32Array;
  readonly outside: Float32Array;
  insideCount: number;
  outsideCount: number;
  chi: number;
  freedom: number;
}

/** What lies further inside than this shows the die's skin, not its rim's blur, px. */
const DEEP = -2.5;

/** Room for the segments of one photo. */
export function newWork(
  given: Pick<Work, 'crop' | 'surface' | 'noise' | 'response' | 'options'>,
  curve: OutlineCurve,
  rim: Rim,
  xy: Float64Array,
): Work {
  const { crop, response, options } = given;
  const pixels = bandPixels(crop, response.plane, curve, rim.segments, options.every);
  const zeros = (k: number): Float64Array => new Float64Array(k);
  return {
    ...given,
    pixels,
    curvature: rim.curvature,
    skin: skinSlopes(pixels, rim.segments.count, options.every, DEEP, xy),
    profile: newProfile(),
    matrix: zeros(SIZE * SIZE),
    gradient: zeros(SIZE),
    factor: zeros(LOCAL * LOCAL),
    solved: zeros((CHANGES.all + 1) * LOCAL),
    local: zeros(LOCAL),
    beliefs: zeros(LOCAL),
    inner: zeros(3),
    outer: zeros(3),
    inside: new Float32Array(pixels.s.length),
    outside: new Float32Array(pixels.s.length),
    insideCount: 0,
    outsideCount: 0,
    chi: 0,
    freedom: 0,
  };
}

/** What is found of the segments one after another. */
export type Found = Omit<EdgeSet, 'count' | 'xy' | 'normal' | 'misfit' | 'noise'>;

/**
 * A pixel as `lookAt` leaves it: its value less what the segment's unknowns make of the profile there; share of outside, slope of the profile
 * per px, the distances that count inside and outside, the cell of the grid and the place within it. Numbers that a function returns
 * would each be an object on the heap.
 */
export const seen = new Float64Array(7);
export const [RESIDUAL, F, SLOPE, SI, SO, CELL, PART] = [0, 1, 2, 3, 4, 5, 6] as const;

/** Looks at one pixel of a segment; what it sees goes into `seen`. */
export function lookAt({ pixels, profile, local, curvature }: Work, m: number, bend: number): void {
  const s = pixels.s[m]! - local[0]!;
  // A convex outline loses light to blur: its half level moves in by half sigma squared times curvature.
  const q = gridPlace(s + curvature[pixels.sample[m]!]! * bend);
  const { value, step } = profile;
  let value0: number;
  let slope = 0;
  let i = 0;
  let t = 0;
  if (q <= 1) value0 = value[0]!;
  else if (q >= PROFILE_CELLS - 2) {
    value0 = value[PROFILE_CELLS - 1]!;
    i = PROFILE_CELLS - 2;
    t = 1;
  } else {
    // Cubic interpolation after Catmull and Rom.
    i = q | 0;
    t = q - i;
    const p0 = value[i - 1]!;
    const p1 = value[i]!;
    const p2 = value[i + 1]!;
    const p3 = value[i + 2]!;
    const a = p2 - p0;
    const b = 2 * p0 - 5 * p1 + 4 * p2 - p3;
    const c = 3 * (p1 - p2) + p3 - p0;
    value0 = p1 + 0.5 * t * (a + t * (b + t * c));
    slope = (0.5 * a + t * b + 1.5 * t * t * c) * PER_PX;
  }
  const f = step[i]! + t * (step[i + 1]! - step[i]!);
  const si = s < 0 ? s : 0;
  const so = s > 0 ? s : 0;
  seen[F] = f;
  seen[SLOPE] = slope;
  seen[SI] = si;
  seen[SO] = so;
  seen[CELL] = i;
  seen[PART] = t;
  seen[RESIDUAL] = pixels.y[m]! - value0 - (1 - f) * (local[1]! + local[2]! * si) - f * (local[3]! + local[4]! * so);
}

/** Grid cells per px. */
export const PER_PX = gridPlace(1) - gridPlace(0);

/** Normal equations of one segment's five unknowns; returns the weighted sum of squares. What lies further off than `gap` is kept for the noise. */
// Long because it is hot: the sums of five unknowns stand in local numbers over all pixels of a segment.
export function accumulate(
  work: Work,
  from: number,
  to: number,
  bend: number,
  robust: boolean,
  gap = Infinity,
): number {
  const { noise, pixels, local, matrix: A, gradient: g } = work;
  const vi = noise.inside * noise.inside;
  const vo = noise.outside * noise.outside;
  let a00 = 0;
  let a10 = 0;
  let a11 = 0;
  let a20 = 0;
  let a21 = 0;
  let a22 = 0;
  let a30 = 0;
  let a31 = 0;
  let a32 = 0;
  let a33 = 0;
  let a40 = 0;
  let a41 = 0;
  let a42 = 0;
  let a43 = 0;
  let a44 = 0;
  let g0 = 0;
  let g1 = 0;
  let g2 = 0;
  let g3 = 0;
  let g4 = 0;
  let sum = 0;
  for (let m = from; m < to; m++) {
    lookAt(work, m, bend);
    const r = seen[RESIDUAL]!;
    if (gap < Infinity) keepResidual(work, pixels.s[m]! - local[0]!, r, gap);
    const f = seen[F]!;
    const variance = vi + (vo - vi) * f;
    const weight = robust ? 1 / (1 + (r * r) / (16 * variance)) : 1;
    const w = weight / variance;
    sum += w * r * r;
    const r0 = -seen[SLOPE]!;
    const r1 = 1 - f;
    const r2 = r1 * seen[SI]!;
    const r4 = f * seen[SO]!;
    const w0 = w * r0;
    const w1 = w * r1;
    const w2 = w * r2;
    const w3 = w * f;
    const w4 = w * r4;
    g0 += w0 * r;
    g1 += w1 * r;
    g2 += w2 * r;
    g3 += w3 * r;
    g4 += w4 * r;
    a00 += w0 * r0;
    a10 += w1 * r0;
    a11 += w1 * r1;
    a20 += w2 * r0;
    a21 += w2 * r1;
    a22 += w2 * r2;
    a30 += w3 * r0;
    a31 += w3 * r1;
    a32 += w3 * r2;
    a33 += w3 * f;
    a40 += w4 * r0;
    a41 += w4 * r1;
    a42 += w4 * r2;
    a43 += w4 * f;
    a44 += w4 * r4;
  }
  g[0] = g0;
  g[1] = g1;
  g[2] = g2;
  g[3] = g3;
  g[4] = g4;
  A[0] = a00;
  A[SIZE] = a10;
  A[SIZE + 1] = a11;
  A[2 * SIZE] = a20;
  A[2 * SIZE + 1] = a21;
  A[2 * SIZE + 2] = a22;
  A[3 * SIZE] = a30;
  A[3 * SIZE + 1] = a31;
  A[3 * SIZE + 2] = a32;
  A[3 * SIZE + 3] = a33;
  A[4 * SIZE] = a40;
  A[4 * SIZE + 1] = a41;
  A[4 * SIZE + 2] = a42;
  A[4 * SIZE + 3] = a43;
  A[4 * SIZE + 4] = a44;
  return sum;
}

/** The same with the changes that are asked for: their products with the unknowns, and with each other those of the look alone. */
export function withChanges(work: Work, from: number, to: number, bend: number, gap: number): number {
  const { noise, matrix: A, gradient, profile, options } = work;
  const sum = accumulate(work, from, to, bend, true, gap);
  const changes = CHANGES[options.asked];
  const vi = noise.inside * noise.inside;
  const vo = noise.outside * noise.outside;
  for (let t = 0; t < changes; t++) {
    A.fill(0, (LOCAL + t) * SIZE, (LOCAL + t) * SIZE + LOCAL + changes);
    gradient[LOCAL + t] = 0;
  }
  for (let m = from; m < to; m++) {
    lookAt(work, m, bend);
    const r = seen[RESIDUAL]!;
    const f = seen[F]!;
    const slope = seen[SLOPE]!;
    const cell = seen[CELL]!;
    const part = seen[PART]!;
    const variance = vi + (vo - vi) * f;
    const w = 1 / (1 + (r * r) / (16 * variance)) / variance;
    const w1 = w * (1 - f);
    const w2 = w1 * seen[SI]!;
    const w4 = w * f * seen[SO]!;
    let before = 0;
    for (let t = 0; t < changes; t++) {
      const c = profile.change[t]!;
      const v = c[cell]! + part * (c[cell + 1]! - c[cell]!);
      const o = (LOCAL + t) * SIZE;
      A[o]! -= w * slope * v;
      A[o + 1]! += w1 * v;
      A[o + 2]! += w2 * v;
      A[o + 3]! += w * f * v;
      A[o + 4]! += w4 * v;
      if (t >= LOOK_CHANGES) continue;
      gradient[LOCAL + t]! += w * v * r;
      if (t === 1) A[o + LOCAL]! += w * v * before;
      A[o + LOCAL + t]! += w * v * v;
      before = v;
    }
  }
  return sum;
}

/** Changes by the photo's look, which come first; the others are wanted for their effect on the offset alone. */
const LOOK_CHANGES = CHANGES.look;

/** Keeps what a pixel well off the edge leaves over, for the noise. */
function keepResidual(work: Work, distance: number, r: number, gap: number): void {
  if (distance < -gap) work.inside[work.insideCount++] = Math.abs(r);
  else if (distance > gap) work.outside[work.outsideCount++] = Math.abs(r);
}

/** Adds the beliefs and factors the local block; false where it is singular. */
export function factored({ matrix, gradient, local, beliefs, factor }: Work): boolean {
  for (let a = 0; a < LOCAL; a++) {
    const w = 1 / (beliefs[a]! * beliefs[a]!);
    matrix[a * SIZE + a]! += w;
    gradient[a]! -= w * local[a]!;
    for (let b = 0; b <= a; b++) factor[a * LOCAL + b] = matrix[a * SIZE + b]!;
  }
  return choleskyInPlace(factor, LOCAL, 1e-12);
}

/** What the changes `t` and `u` still say of each other with the local unknowns taken out. */
function left({ matrix, solved }: Work, t: number, u: number): number {
  const o = (LOCAL + t) * SIZE;
  let v = matrix[o + LOCAL + u]!;
  for (let a = 0; a < LOCAL; a++) v -= matrix[o + a]! * solved[u * LOCAL + a]!;
  return v;
}

/** The same of a change's gradient. */
function pull({ matrix, gradient, solved }: Work, t: number): number {
  const o = (LOCAL + t) * SIZE;
  let v = gradient[LOCAL + t]!;
  for (let a = 0; a < LOCAL; a++) v -= matrix[o + a]! * solved[CHANGES.all * LOCAL + a]!;
  return v;
}

/** Takes the local unknowns out: how the offset moves with each term, and what is left to say of the look. */
export function eliminate(work: Work, segment: number, high: number, out: Found): void {
  const { matrix, gradient, factor, solved, options } = work;
  const changes = CHANGES[options.asked];
  for (let t = 0; t < changes; t++)
    choleskySolveInto(factor, LOCAL, matrix.subarray((LOCAL + t) * SIZE), solved.subarray(t * LOCAL));
  choleskySolveInto(factor, LOCAL, gradient, solved.subarray(CHANGES.all * LOCAL));
  const o = segment * TERM_COUNT;
  // Blur at the card and at the top make up the place's own.
  out.byTerm[o + 3] = -solved[0]!;
  out.byTerm[o + 4] = -(1 - high) * solved[LOCAL]!;
  out.byTerm[o + 5] = -high * solved[LOCAL]!;
  out.byTerm[o + 6] = -solved[2 * LOCAL]!;
  if (options.asked === 'all') for (let t = 3; t < 6; t++) out.byTerm[o + t - 3] = -solved[t * LOCAL]!;
  const [ss, sb, bb] = [left(work, 0, 0), left(work, 1, 0), left(work, 1, 1)];
  const [gs, gb] = [pull(work, 0), pull(work, 1)];
  const [l, h] = [1 - high, high];
  const { lookInformation: a, lookGradient: g, shade } = out;
  shade.information += left(work, 2, 2);
  shade.gradient += pull(work, 2);
  g[0]! += gs;
  g[1]! += l * gb;
  g[2]! += h * gb;
  a[0]! += ss;
  a[1]! += l * sb;
  a[2]! += h * sb;
  a[3]! += l * sb;
  a[4]! += l * l * bb;
  a[5]! += l * h * bb;
  a[6]! += h * sb;
  a[7]! += l * h * bb;
  a[8]! += h * h * bb;
}
