import type { OutlineCurve } from '../geometry/outline.ts';
import type { Rim } from '../geometry/rim.ts';
import { bandPixels, type BandPixels } from './band.ts';
import type { EdgeOptions, EdgeSet, Noise } from './edge-set.ts';
import type { Crop } from './picture.ts';
import { edgeMemory, PARAMETER, PIXEL, type EdgeMemory } from './edge-memory.ts';
import { CHANGES, TERM_COUNT, type Response, type Surface } from './profile.ts';
import { skinSlopes } from './skin.ts';

/** Offset, level and slope inside, level and slope outside. */
export const LOCAL = 5;
export const SIZE = LOCAL + CHANGES.all;
/** The photo's own look: sharpening, and blur at the card and at the top. */
export const LOOKS = 3;

/** What the segments of one photo are measured with, and where their sums are made. */
export interface Work {
  readonly pixels: BandPixels;
  /** Change of the skin's light beside each segment, display values per px. */
  readonly skin: Float64Array;
  readonly surface: Surface;
  readonly noise: Noise;
  readonly response: Response;
  readonly options: EdgeOptions;
  readonly memory: EdgeMemory;
  /** Normal equations, SIZE x SIZE of which the lower triangle counts; the factor of their local block; a right side. */
  readonly matrix: Float64Array;
  readonly gradient: Float64Array;
  readonly factor: Float64Array;
  readonly solved: Float64Array;
  readonly local: Float64Array;
  readonly beliefs: Float64Array;
  readonly inner: Float64Array;
  readonly outer: Float64Array;
  chi: number;
  freedom: number;
}

/** What lies further inside than this shows the die's skin, not its rim's blur, px. */
const DEEP = -2.5;

/** Room for the segments of one photo. */
export function newWork(
  given: Pick<Work, 'surface' | 'noise' | 'response' | 'options'>,
  crop: Crop,
  curve: OutlineCurve,
  rim: Rim,
  xy: Float64Array,
): Work {
  const { response, options } = given;
  // The memory may have to grow for it: what of it is looked up below holds.
  const pixels = bandPixels(crop, response.plane, curve, rim.segments, rim.curvature, options.every);
  const zeros = (k: number): Float64Array => new Float64Array(k);
  const memory = edgeMemory();
  memory.run.forgetResiduals();
  memory.PARAMETERS[PARAMETER.variances] = given.noise.inside * given.noise.inside;
  memory.PARAMETERS[PARAMETER.variances + 1] = given.noise.outside * given.noise.outside;
  return {
    ...given,
    pixels,
    skin: skinSlopes(pixels, rim.segments.count, options.every, DEEP, xy),
    memory,
    matrix: memory.MATRIX,
    gradient: memory.GRADIENT,
    factor: memory.FACTOR,
    solved: memory.SOLVED,
    local: memory.LOCAL,
    beliefs: memory.BELIEFS,
    inner: zeros(3),
    outer: zeros(3),
    chi: 0,
    freedom: 0,
  };
}

/** What is found of the segments one after another. */
export type Found = Omit<EdgeSet, 'count' | 'xy' | 'normal' | 'misfit' | 'noise'>;

/** Takes a segment's pixels up, with `bend` times the outline's curvature beside them. */
export function takePixels({ memory: { PIXELS, run } }: Work, from: number, to: number, bend: number): void {
  if (PIXEL * (to - from) > PIXELS.length) throw new RangeError(`${to - from} pixels in a segment`);
  run.takePixels(from, to, bend);
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
  const { memory, solved, options } = work;
  memory.run.solveChanges(CHANGES[options.asked]);
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
