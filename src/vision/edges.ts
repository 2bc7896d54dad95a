import type { OutlineCurve } from '../geometry/outline.ts';
import { RIM_DEPTHS, type Rim } from '../geometry/rim.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';
import { BAND, bandPixels, samplesPerSegment, type BandPixels } from './band.ts';
import type { Crop } from './picture.ts';
import {
  cubicAt,
  fillProfile,
  linearAt,
  newProfile,
  PROFILE_CELLS,
  slopeAt,
  TERM_COUNT,
  type Profile,
  type Response,
  type Surface,
} from './profile.ts';

/** How a photo blurs at the card and at `top` mm over it: sigma of a Gaussian that includes the pixel's own area, px. */
export interface Blur {
  readonly low: number;
  readonly high: number;
  readonly top: number;
}

/** Scatter of display values inside and outside the die, one standard deviation. */
export interface Noise {
  readonly inside: number;
  readonly outside: number;
}

/** What was measured along one predicted outline, per segment of about four pixels. */
export interface EdgeSet {
  readonly count: number;
  /** A point of the predicted outline in the middle of the segment, px, and the outward normal there. */
  readonly xy: Float64Array;
  readonly normal: Float64Array;
  /** Measured minus predicted along the normal, px. */
  readonly offset: Float64Array;
  /** Standard uncertainty of the offset with all terms held, px; Infinity where the segment says nothing. */
  readonly sigma: Float64Array;
  /** Change of the offset by each term, TERM_COUNT per segment, px. */
  readonly byTerm: Float64Array;
  /** Display values outside minus inside. */
  readonly contrast: Float64Array;
  /** Root mean square of residuals over the noise, all segments. */
  readonly misfit: number;
  /** What the pixels say of sharpening and the two blurs: information (3 x 3) and gradient. */
  readonly lookInformation: Float64Array;
  readonly lookGradient: Float64Array;
  /** Scatter seen, from the residuals. */
  readonly noise: Noise;
}

export interface EdgeOptions {
  /** Looks at one segment in so many. */
  readonly every: number;
  /** Believed slope of the light on either side, shares of the contrast per px, one standard deviation. */
  readonly slope: number;
  readonly steps: number;
  /** Whether changes by the terms are wanted. */
  readonly withTerms: boolean;
}
export const EDGE_OPTIONS: EdgeOptions = { every: 1, slope: 0.02, steps: 5, withTerms: true };

/** Fewest pixels of a segment, and least contrast in display values. */
export const SEGMENT = { pixels: 20, contrast: 6 } as const;

/** Offset, level and slope inside, level and slope outside. */
const LOCAL = 5;
const SIZE = LOCAL + TERM_COUNT;
/** The last terms belong to the photo's own look: sharpening, and blur at the card and at the top. */
const LOOKS = 3;

interface Work {
  readonly crop: Crop;
  readonly pixels: BandPixels;
  readonly curvature: Float64Array;
  readonly surface: Surface;
  readonly noise: Noise;
  readonly response: Response;
  readonly options: EdgeOptions;
  readonly profile: Profile;
  readonly matrix: Float64Array;
  readonly gradient: Float64Array;
  readonly row: Float64Array;
  readonly inside: number[];
  readonly outside: number[];
  chi: number;
  freedom: number;
}

/**
 * Measures where the picture's edge lies along a predicted outline, segment by segment.
 *
 * No edge points and no interpolation: the pixels of a band themselves are compared with what the outline, blurred by the photo's
 * response and lit as a rounded plastic rim is, would show, and offset, levels and slopes of each segment are fitted to them.
 */
export function measureEdges(
  crop: Crop,
  curve: OutlineCurve,
  rim: Rim,
  surface: Surface,
  blur: Blur,
  noise: Noise,
  response: Response,
  wanted: Partial<EdgeOptions> = {},
): EdgeSet {
  const options = { ...EDGE_OPTIONS, ...wanted };
  const per = samplesPerSegment(curve);
  const count = rim.segments;
  const zeros = (k: number): Float64Array => new Float64Array(k);
  const out = {
    count,
    xy: zeros(2 * count),
    normal: zeros(2 * count),
    offset: zeros(count),
    sigma: zeros(count).fill(Infinity),
    byTerm: zeros(count * TERM_COUNT),
    contrast: zeros(count),
    lookInformation: zeros(LOOKS * LOOKS),
    lookGradient: zeros(LOOKS),
  };
  const work: Work = {
    crop,
    pixels: bandPixels(crop, response.plane, curve, per, count, options.every),
    curvature: rim.curvature,
    surface,
    noise,
    response,
    options,
    profile: newProfile(),
    matrix: zeros(SIZE * SIZE),
    gradient: zeros(SIZE),
    row: zeros(SIZE),
    inside: [],
    outside: [],
    chi: 0,
    freedom: 0,
  };
  for (let segment = 0; segment < count; segment += options.every) {
    // A sample on the curve itself: the mean of several would lie inside a curved outline.
    const mid = segment * per + (per >> 1);
    for (let a = 0; a < 2; a++) {
      out.xy[2 * segment + a] = curve.xy[2 * mid + a]!;
      out.normal[2 * segment + a] = curve.normal[2 * mid + a]!;
    }
    const high = Math.min(1, Math.max(0, rim.height[segment]! / blur.top));
    const cosines = rim.cosines.subarray(segment * RIM_DEPTHS.length, (segment + 1) * RIM_DEPTHS.length);
    measureSegment(work, segment, cosines, blur.low + high * (blur.high - blur.low), high, out);
  }
  return {
    ...out,
    misfit: Math.sqrt(work.chi / Math.max(1, work.freedom)),
    noise: { inside: spread(work.inside, noise.inside), outside: spread(work.outside, noise.outside) },
  };
}

/** Standard deviation from the median of absolute values; `fallback` where there are too few. */
function spread(values: number[], fallback: number): number {
  if (values.length < 30) return fallback;
  const sorted = Float32Array.from(values).sort();
  return Math.max(0.4, 1.4826 * sorted[sorted.length >> 1]!);
}

/** Mean light of the pixels well inside and well outside, or null where there are too few. */
function levels(
  { crop, pixels, response }: Work,
  from: number,
  to: number,
  gap: number,
): { inside: number[]; outside: number[] } | null {
  const inside = [0, 0, 0];
  const outside = [0, 0, 0];
  const deep = Math.min(-gap, 2 - BAND.inside);
  let [na, nb] = [0, 0];
  for (let m = from; m < to; m++) {
    const s = pixels.s[m]!;
    const p = pixels.address[m]!;
    if (s < deep) {
      na++;
      for (let c = 0; c < 3; c++) inside[c]! += crop.data[p + c]!;
    } else if (s > gap) {
      nb++;
      for (let c = 0; c < 3; c++) outside[c]! += crop.data[p + c]!;
    }
  }
  if (na < 4 || nb < 5) return null;
  const { toLight } = response.tone;
  return { inside: inside.map((v) => toLight(v / na)), outside: outside.map((v) => toLight(v / nb)) };
}

interface Found {
  readonly offset: Float64Array;
  readonly sigma: Float64Array;
  readonly byTerm: Float64Array;
  readonly contrast: Float64Array;
  readonly lookInformation: Float64Array;
  readonly lookGradient: Float64Array;
}

function measureSegment(
  work: Work,
  segment: number,
  cosines: Float64Array,
  sigma: number,
  high: number,
  out: Found,
): void {
  const { pixels, options } = work;
  const [from, to] = [pixels.start[segment]!, pixels.start[segment + 1]!];
  if (to - from < SEGMENT.pixels) return;
  const gap = 1 + 2 * Math.min(sigma, 1.5);
  const light = levels(work, from, to, gap);
  if (!light) return;
  fillProfile(
    work.profile,
    light.inside,
    light.outside,
    cosines,
    work.surface,
    sigma,
    high,
    work.response,
    options.withTerms,
  );
  const contrast = work.profile.value[PROFILE_CELLS - 1]! - work.profile.value[0]!;
  out.contrast[segment] = contrast;
  if (Math.abs(contrast) < SEGMENT.contrast) return;
  const local = new Float64Array(LOCAL);
  const beliefs = [
    3,
    0.5 * Math.abs(contrast),
    options.slope * Math.abs(contrast) + 0.3,
    0.5 * Math.abs(contrast),
    options.slope * Math.abs(contrast) + 0.3,
  ];
  const bend = (sigma * sigma) / 2;
  for (let it = 0; it < options.steps - 1; it++) {
    accumulate(work, from, to, local, bend, it > 0, false, gap);
    const l = factored(work, local, beliefs);
    if (!l) return;
    const h = choleskySolve(l, LOCAL, work.gradient.subarray(0, LOCAL));
    local[0] = Math.max(-BAND.inside, Math.min(BAND.outside, local[0]! + Math.max(-1, Math.min(1, h[0]!))));
    for (let a = 1; a < LOCAL; a++) local[a]! += h[a]!;
    if (it > 1 && Math.abs(h[0]!) < 1e-4) break;
  }
  const sum = accumulate(work, from, to, local, bend, true, options.withTerms, gap);
  const l = factored(work, local, beliefs);
  if (!l) return;
  const misfit = Math.sqrt(sum / Math.max(1, to - from - LOCAL));
  out.offset[segment] = local[0]!;
  if (Math.abs(local[0]!) > BAND.inside - 1) return;
  out.sigma[segment] = Math.sqrt(choleskySolve(l, LOCAL, [1, 0, 0, 0, 0])[0]!) * Math.max(1, misfit);
  work.chi += sum;
  work.freedom += to - from - LOCAL;
  if (options.withTerms) eliminate(work, l, segment, out);
}

/** Normal equations of one segment at `local`; returns the weighted sum of squares. */
function accumulate(
  work: Work,
  from: number,
  to: number,
  local: Float64Array,
  bend: number,
  robust: boolean,
  last: boolean,
  gap: number,
): number {
  const { pixels, profile, noise, matrix, gradient, row, curvature } = work;
  const { value, step, change } = profile;
  const size = last ? SIZE : LOCAL;
  matrix.fill(0);
  gradient.fill(0);
  const [vi, vo] = [noise.inside * noise.inside, noise.outside * noise.outside];
  let sum = 0;
  for (let m = from; m < to; m++) {
    const s = pixels.s[m]! - local[0]!;
    // A convex outline loses light to blur: its half level moves in by half sigma squared times curvature.
    const at = s + curvature[pixels.sample[m]!]! * bend;
    const f = linearAt(step, at);
    const si = s < 0 ? s : 0;
    const so = s > 0 ? s : 0;
    const r =
      pixels.y[m]! - cubicAt(value, at) - (1 - f) * (local[1]! + local[2]! * si) - f * (local[3]! + local[4]! * so);
    const variance = vi + (vo - vi) * f;
    const weight = robust ? 1 / (1 + (r * r) / (16 * variance)) : 1;
    sum += (weight * r * r) / variance;
    row[0] = -slopeAt(value, at);
    row[1] = 1 - f;
    row[2] = (1 - f) * si;
    row[3] = f;
    row[4] = f * so;
    if (last) {
      for (let t = 0; t < TERM_COUNT; t++) row[LOCAL + t] = linearAt(change[t]!, at);
      if (s < -gap) work.inside.push(Math.abs(r));
      else if (s > gap) work.outside.push(Math.abs(r));
    }
    const w = weight / variance;
    for (let a = 0; a < size; a++) {
      const wa = w * row[a]!;
      gradient[a]! += wa * r;
      for (let b = 0; b <= a; b++) matrix[a * SIZE + b]! += wa * row[b]!;
    }
  }
  return sum;
}

/** Adds the beliefs and factors the local block. */
function factored({ matrix, gradient }: Work, local: Float64Array, beliefs: readonly number[]): Float64Array | null {
  const m = new Float64Array(LOCAL * LOCAL);
  for (let a = 0; a < LOCAL; a++) {
    const w = 1 / (beliefs[a]! * beliefs[a]!);
    matrix[a * SIZE + a]! += w;
    gradient[a]! -= w * local[a]!;
    for (let b = 0; b <= a; b++) m[a * LOCAL + b] = m[b * LOCAL + a] = matrix[a * SIZE + b]!;
  }
  return cholesky(m, LOCAL, 1e-12);
}

/** Takes the local unknowns out: how the offset moves with each term, and what is left to say of the blur. */
function eliminate({ matrix, gradient }: Work, l: Float64Array, segment: number, out: Found): void {
  const solved = Array.from({ length: TERM_COUNT }, (_, t) =>
    choleskySolve(
      l,
      LOCAL,
      [0, 1, 2, 3, 4].map((a) => matrix[(LOCAL + t) * SIZE + a]!),
    ),
  );
  const g = choleskySolve(l, LOCAL, gradient.subarray(0, LOCAL));
  for (let t = 0; t < TERM_COUNT; t++) out.byTerm[segment * TERM_COUNT + t] = -solved[t]![0]!;
  for (let p = 0; p < LOOKS; p++) {
    const t = TERM_COUNT - LOOKS + p;
    let gt = gradient[LOCAL + t]!;
    for (let a = 0; a < LOCAL; a++) gt -= matrix[(LOCAL + t) * SIZE + a]! * g[a]!;
    out.lookGradient[p]! += gt;
    for (let q = 0; q <= p; q++) {
      const u = TERM_COUNT - LOOKS + q;
      let v = matrix[(LOCAL + t) * SIZE + LOCAL + u]!;
      for (let a = 0; a < LOCAL; a++) v -= matrix[(LOCAL + t) * SIZE + a]! * solved[u]![a]!;
      out.lookInformation[LOOKS * p + q]! += v;
      if (q < p) out.lookInformation[LOOKS * q + p]! += v;
    }
  }
}
