import type { OutlineCurve } from '../geometry/outline.ts';
import { SHADE_WIDTH, type ContactShade } from '../geometry/contact-shade.ts';
import { RAISE, RIM_DEPTHS, type RaisedRim, type Rim } from '../geometry/rim.ts';
import { choleskyInPlace, choleskySolveInto, upperMedian } from '../maths/linear.ts';
import { BAND, bandPixels, type BandPixels } from './band.ts';
import type { Crop } from './picture.ts';
import { skinSlopes } from './skin.ts';
import {
  CHANGES,
  fillProfile,
  gridPlace,
  newProfile,
  PROFILE_CELLS,
  TERM_COUNT,
  type Asked,
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

/** What was measured along one predicted outline, per segment. */
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
  /** Slopes of the light on either side over what is believed of them, both together. */
  readonly strain: Float64Array;
  /** Change of the die's own light along the outline over what is believed of slopes on plain skin. */
  readonly skin: Float64Array;
  /** Root mean square of residuals over the noise, all segments. */
  readonly misfit: number;
  /** What the pixels say of sharpening and the two blurs: information (3 x 3) and gradient. */
  readonly lookInformation: Float64Array;
  readonly lookGradient: Float64Array;
  /** What they say of the shade's strength: information and gradient. */
  readonly shade: ShadeEvidence;
  /** What grazing segments say of the crown of the face that they graze; null where crowns are not sought. */
  readonly crowns: CrownLight | null;
  /** Scatter seen, from the residuals. */
  readonly noise: Noise;
}

/** Per segment: the face it grazes, how the offset moves with its crown, and what is left to say of the crown. */
export interface CrownLight {
  readonly face: Int32Array;
  /** Movement of the offset by the crown, px per mm, and by the share of what the face mirrors there, px. */
  readonly byCrown: Float64Array;
  readonly byGlare: Float64Array;
  /** Information on crown (1 / mm^2), crown and glare, glare; gradients of both: five numbers a segment. */
  readonly sums: Float64Array;
}
export const CROWN_SUMS = 5;

export interface ShadeEvidence {
  information: number;
  gradient: number;
}

export interface EdgeOptions {
  /** Looks at one segment in so many. */
  readonly every: number;
  /** Believed slope of the light on either side, shares of the contrast per px, one standard deviation. */
  readonly slope: number;
  readonly steps: number;
  /** Which changes of the offsets are wanted besides. */
  readonly asked: Asked;
  /** Per face: by which share it mirrors more where it is seen edge-on. */
  readonly glare?: Float64Array;
}
export const EDGE_OPTIONS: EdgeOptions = { every: 1, slope: 0.02, steps: 5, asked: 'all' };

/** What lies further inside than this shows the die's skin, not its rim's blur, px. */
const DEEP = -2.5;

/** Fewest pixels of a segment, and least contrast in display values. */
export const SEGMENT = { pixels: 20, contrast: 6 } as const;

/** Offset, level and slope inside, level and slope outside. */
const LOCAL = 5;
const SIZE = LOCAL + CHANGES.all;
/** The photo's own look: sharpening, and blur at the card and at the top. */
const LOOKS = 3;

interface Work {
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
  const { count, middle } = rim.segments;
  const zeros = (k: number): Float64Array => new Float64Array(k);
  const out = {
    count,
    xy: zeros(2 * count),
    normal: zeros(2 * count),
    offset: zeros(count),
    sigma: zeros(count).fill(Infinity),
    byTerm: zeros(count * TERM_COUNT),
    contrast: zeros(count),
    strain: zeros(count),
    skin: zeros(count),
    lookInformation: zeros(LOOKS * LOOKS),
    lookGradient: zeros(LOOKS),
    shade: { information: 0, gradient: 0 },
    crowns: rim.raised && {
      face: rim.raised.face,
      byCrown: zeros(count),
      byGlare: zeros(count),
      sums: zeros(CROWN_SUMS * count),
    },
  };
  for (let segment = 0; segment < count; segment += options.every) {
    // A sample on the curve itself: the mean of several would lie inside a curved outline.
    const mid = middle[segment]!;
    for (let a = 0; a < 2; a++) {
      out.xy[2 * segment + a] = curve.xy[2 * mid + a]!;
      out.normal[2 * segment + a] = curve.normal[2 * mid + a]!;
    }
  }
  const pixels = bandPixels(crop, response.plane, curve, rim.segments, options.every);
  const work: Work = {
    crop,
    pixels,
    curvature: rim.curvature,
    skin: skinSlopes(pixels, count, options.every, DEEP, out.xy),
    surface,
    noise,
    response,
    options,
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
  for (let segment = 0; segment < count; segment += options.every) {
    const high = Math.min(1, Math.max(0, rim.height[segment]! / blur.top));
    const cosines = rim.cosines.subarray(segment * RIM_DEPTHS.length, (segment + 1) * RIM_DEPTHS.length);
    measureSegment(
      work,
      segment,
      cosines,
      shadeOf(rim, segment),
      blur.low + high * (blur.high - blur.low),
      high,
      out,
      rim.raised,
    );
  }
  return {
    ...out,
    misfit: Math.sqrt(work.chi / Math.max(1, work.freedom)),
    noise: {
      inside: spread(work.inside.subarray(0, work.insideCount), noise.inside),
      outside: spread(work.outside.subarray(0, work.outsideCount), noise.outside),
    },
  };
}

/** Standard deviation from the median of absolute values; `fallback` where there are too few. */
function spread(values: Float32Array, fallback: number): number {
  if (values.length < 30) return fallback;
  return Math.max(0.4, 1.4826 * upperMedian(values));
}

/** Mean light of the pixels well inside and well outside into `inner` and `outer`; false where there are too few. */
function levels({ crop, pixels, response, inner, outer }: Work, from: number, to: number, gap: number): boolean {
  const { data } = crop;
  inner.fill(0);
  outer.fill(0);
  const deep = Math.min(-gap, 2 - BAND.inside);
  let [na, nb] = [0, 0];
  for (let m = from; m < to; m++) {
    const s = pixels.s[m]!;
    const p = pixels.address[m]!;
    if (s < deep) {
      na++;
      for (let c = 0; c < 3; c++) inner[c]! += data[p + c]!;
    } else if (s > gap) {
      nb++;
      for (let c = 0; c < 3; c++) outer[c]! += data[p + c]!;
    }
  }
  if (na < 4 || nb < 5) return false;
  const { toLight } = response.tone;
  for (let c = 0; c < 3; c++) {
    inner[c] = toLight(inner[c]! / na);
    outer[c] = toLight(outer[c]! / nb);
  }
  return true;
}

function shadeOf({ shade }: Rim, segment: number): ContactShade | null {
  const o = segment * SHADE_WIDTH;
  const radius = shade[o]!;
  return radius > 0 ? { radius, first: shade[o + 1]!, perPx: shade[o + 2]!, open: shade[o + 3]! } : null;
}

interface Found {
  readonly offset: Float64Array;
  readonly sigma: Float64Array;
  readonly byTerm: Float64Array;
  readonly contrast: Float64Array;
  readonly strain: Float64Array;
  readonly skin: Float64Array;
  readonly lookInformation: Float64Array;
  readonly lookGradient: Float64Array;
  readonly shade: ShadeEvidence;
  readonly crowns: CrownLight | null;
}

function measureSegment(
  work: Work,
  segment: number,
  cosines: Float64Array,
  shade: ContactShade | null,
  sigma: number,
  high: number,
  out: Found,
  raised: RaisedRim | null,
): void {
  const { pixels, options, profile, local, beliefs, factor, gradient, solved } = work;
  const [from, to] = [pixels.start[segment]!, pixels.start[segment + 1]!];
  if (to - from < SEGMENT.pixels) return;
  const gap = 1 + 2 * Math.min(sigma, 1.5);
  if (!levels(work, from, to, gap)) return;
  const grazed = raised === null ? -1 : raised.face[segment]!;
  const surface = grazed < 0 ? work.surface : glaring(work.surface, options.glare?.[grazed] ?? 0);
  const asked = grazed < 0 ? options.asked : 'all';
  fillProfile(profile, work.inner, work.outer, cosines, shade, surface, sigma, work.response, asked);
  const contrast = profile.value[PROFILE_CELLS - 1]! - profile.value[0]!;
  out.contrast[segment] = contrast;
  const size = Math.abs(contrast);
  if (size < SEGMENT.contrast) return;
  local.fill(0);
  const slope = options.slope * size + 0.3;
  beliefs.set([3, 0.5 * size, Math.hypot(slope, work.skin[segment]!), 0.5 * size, slope]);
  const bend = (sigma * sigma) / 2;
  for (let it = 0; it < options.steps - 1; it++) {
    accumulate(work, from, to, bend, it > 0);
    if (!factored(work)) return;
    choleskySolveInto(factor, LOCAL, gradient, solved);
    const step = solved[0]!;
    local[0] = Math.max(-BAND.inside, Math.min(BAND.outside, local[0]! + Math.max(-1, Math.min(1, step))));
    for (let a = 1; a < LOCAL; a++) local[a]! += solved[a]!;
    if (it > 0 && Math.abs(step) < SETTLED) break;
  }
  const sum =
    options.asked === 'nothing' ? accumulate(work, from, to, bend, true, gap) : withChanges(work, from, to, bend, gap);
  if (!factored(work)) return;
  const misfit = Math.sqrt(sum / Math.max(1, to - from - LOCAL));
  out.offset[segment] = local[0]!;
  out.strain[segment] = Math.hypot(local[2]!, local[4]!) / slope;
  out.skin[segment] = work.skin[segment]! / slope;
  if (Math.abs(local[0]!) > BAND.inside - 1) return;
  choleskySolveInto(factor, LOCAL, UNIT, solved);
  out.sigma[segment] = Math.sqrt(solved[0]!) * Math.max(1, misfit);
  work.chi += sum;
  work.freedom += to - from - LOCAL;
  // Beside a face seen edge-on the light is less sure than the photo's blur is.
  if (options.asked !== 'nothing') eliminate(work, segment, high, grazed < 0 ? out : { ...out, ...NOTHING_SAID() });
  if (raised === null || grazed < 0) return;
  const o = segment * RIM_DEPTHS.length;
  raisedChange(work, raised.cosines.subarray(o, o + RIM_DEPTHS.length), raised.shift[segment]!, shade, surface, sigma);
  crownOf(work, from, to, bend, Math.max(1, misfit), segment, out.crowns!);
}

/** Sums that are thrown away. */
const NOTHING_SAID = (): Pick<Found, 'lookInformation' | 'lookGradient' | 'shade'> => ({
  lookInformation: new Float64Array(LOOKS * LOOKS),
  lookGradient: new Float64Array(LOOKS),
  shade: { information: 0, gradient: 0 },
});

const raisedProfile = newProfile();
/** Change of a segment's profile by the crown, per mm, on the profile's grid. */
const byRaise = new Float64Array(PROFILE_CELLS);
/** The same by the share of what the face mirrors. */
const byGlare = new Float64Array(PROFILE_CELLS);

/** The surface where a face seen edge-on mirrors so much more or less than the die's faces at large. */
const glaring = (surface: Surface, glare: number): Surface => ({
  ...surface,
  mirror: surface.mirror * (1 + glare),
  rough: surface.rough * (1 + glare),
});

/** Fills {@link byRaise} and {@link byGlare}: the profile with higher crowns, its outline moved out, less the profile as it is. */
function raisedChange(
  work: Work,
  cosines: Float64Array,
  shift: number,
  shade: ContactShade | null,
  surface: Surface,
  sigma: number,
): void {
  fillProfile(raisedProfile, work.inner, work.outer, cosines, shade, surface, sigma, work.response, 'nothing');
  const from = raisedProfile.value;
  for (let i = 0; i < PROFILE_CELLS; i++) {
    const q = Math.max(0, Math.min(PROFILE_CELLS - 1.001, i - shift * PER_PX));
    const k = Math.floor(q);
    const there = from[k]! + (q - k) * (from[k + 1]! - from[k]!);
    byRaise[i] = (there - work.profile.value[i]!) / RAISE;
    byGlare[i] = surface.mirror * work.profile.change[3]![i]! + surface.rough * work.profile.change[4]![i]!;
  }
}

/** What a segment says of crown and glare, its own unknowns taken out: their block has just been factored. */
function crownOf(
  work: Work,
  from: number,
  to: number,
  bend: number,
  misfit: number,
  segment: number,
  out: CrownLight,
): void {
  const { noise, pixels, factor, gradient, local } = work;
  const vi = noise.inside * noise.inside;
  const vo = noise.outside * noise.outside;
  const across = [new Float64Array(LOCAL), new Float64Array(LOCAL)] as const;
  const own = new Float64Array(CROWN_SUMS);
  for (let m = from; m < to; m++) {
    lookAt(work, m, bend);
    const r = seen[RESIDUAL]!;
    const f = seen[F]!;
    const variance = vi + (vo - vi) * f;
    const w = 1 / (1 + (r * r) / (16 * variance)) / variance;
    const q = gridPlace(pixels.s[m]! - local[0]!);
    const k = Math.max(0, Math.min(PROFILE_CELLS - 2, Math.floor(q)));
    const t = Math.max(0, Math.min(1, q - k));
    const crown = byRaise[k]! + t * (byRaise[k + 1]! - byRaise[k]!);
    const glare = byGlare[k]! + t * (byGlare[k + 1]! - byGlare[k]!);
    own[0]! += w * crown * crown;
    own[1]! += w * crown * glare;
    own[2]! += w * glare * glare;
    own[3]! += w * crown * r;
    own[4]! += w * glare * r;
    for (let c = 0; c < 2; c++) {
      const v = w * (c === 0 ? crown : glare);
      const a = across[c]!;
      a[0]! -= seen[SLOPE]! * v;
      a[1]! += (1 - f) * v;
      a[2]! += (1 - f) * seen[SI]! * v;
      a[3]! += f * v;
      a[4]! += f * seen[SO]! * v;
    }
  }
  const moved = across.map((a) => {
    const x = new Float64Array(LOCAL);
    choleskySolveInto(factor, LOCAL, a, x);
    return x;
  }) as [Float64Array, Float64Array];
  const [x, y] = moved;
  for (let a = 0; a < LOCAL; a++) {
    own[0]! -= across[0][a]! * x[a]!;
    own[1]! -= across[0][a]! * y[a]!;
    own[2]! -= across[1][a]! * y[a]!;
    own[3]! -= gradient[a]! * x[a]!;
    own[4]! -= gradient[a]! * y[a]!;
  }
  out.byCrown[segment] = -x[0]!;
  out.byGlare[segment] = -y[0]!;
  for (let k = 0; k < CROWN_SUMS; k++) out.sums[CROWN_SUMS * segment + k] = own[k]! / (misfit * misfit);
}

/** Step of an offset below which it stands, px. */
const SETTLED = 4e-3;
const UNIT = Float64Array.of(1, 0, 0, 0, 0);

/**
 * A pixel as `lookAt` leaves it: its value less what the segment's unknowns make of the profile there; share of outside, slope of the profile
 * per px, the distances that count inside and outside, the cell of the grid and the place within it. Numbers that a function returns
 * would each be an object on the heap.
 */
const seen = new Float64Array(7);
const [RESIDUAL, F, SLOPE, SI, SO, CELL, PART] = [0, 1, 2, 3, 4, 5, 6] as const;

/** Looks at one pixel of a segment; what it sees goes into `seen`. */
function lookAt({ pixels, profile, local, curvature }: Work, m: number, bend: number): void {
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
const PER_PX = gridPlace(1) - gridPlace(0);

/** Normal equations of one segment's five unknowns; returns the weighted sum of squares. What lies further off than `gap` is kept for the noise. */
// Long because it is hot: the sums of five unknowns stand in local numbers over all pixels of a segment.
function accumulate(work: Work, from: number, to: number, bend: number, robust: boolean, gap = Infinity): number {
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
function withChanges(work: Work, from: number, to: number, bend: number, gap: number): number {
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
function factored({ matrix, gradient, local, beliefs, factor }: Work): boolean {
  for (let a = 0; a < LOCAL; a++) {
    const w = 1 / (beliefs[a]! * beliefs[a]!);
    matrix[a * SIZE + a]! += w;
    gradient[a]! -= w * local[a]!;
    for (let b = 0; b <= a; b++) factor[a * LOCAL + b] = matrix[a * SIZE + b]!;
  }
  return choleskyInPlace(factor, LOCAL, 1e-12);
}

/** Takes the local unknowns out: how the offset moves with each term, and what is left to say of the look. */
function eliminate(
  { matrix, gradient, factor, solved, options }: Work,
  segment: number,
  high: number,
  out: Found,
): void {
  const changes = CHANGES[options.asked];
  const column = (t: number): Float64Array => solved.subarray(t * LOCAL, (t + 1) * LOCAL);
  for (let t = 0; t < changes; t++)
    choleskySolveInto(factor, LOCAL, matrix.subarray((LOCAL + t) * SIZE, (LOCAL + t) * SIZE + LOCAL), column(t));
  const own = column(CHANGES.all);
  choleskySolveInto(factor, LOCAL, gradient, own);
  const o = segment * TERM_COUNT;
  // Blur at the card and at the top make up the place's own.
  out.byTerm[o + 3] = -solved[0]!;
  out.byTerm[o + 4] = -(1 - high) * solved[LOCAL]!;
  out.byTerm[o + 5] = -high * solved[LOCAL]!;
  out.byTerm[o + 6] = -solved[2 * LOCAL]!;
  if (options.asked === 'all') for (let t = 3; t < 6; t++) out.byTerm[o + t - 3] = -solved[t * LOCAL]!;
  const left = (t: number, u: number): number => {
    let v = matrix[(LOCAL + t) * SIZE + LOCAL + u]!;
    for (let a = 0; a < LOCAL; a++) v -= matrix[(LOCAL + t) * SIZE + a]! * solved[u * LOCAL + a]!;
    return v;
  };
  const pull = (t: number): number => {
    let v = gradient[LOCAL + t]!;
    for (let a = 0; a < LOCAL; a++) v -= matrix[(LOCAL + t) * SIZE + a]! * own[a]!;
    return v;
  };
  const [ss, sb, bb] = [left(0, 0), left(1, 0), left(1, 1)];
  const [gs, gb] = [pull(0), pull(1)];
  const [l, h] = [1 - high, high];
  const { lookInformation: a, lookGradient: g, shade } = out;
  shade.information += left(2, 2);
  shade.gradient += pull(2);
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
