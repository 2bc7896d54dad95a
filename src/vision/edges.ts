import { RIM_DEPTHS, type Rim } from '../geometry/rim.ts';
import type { OutlineCurve } from '../geometry/outline.ts';
import { choleskySolve, cholesky } from '../maths/linear.ts';
import { normalShare } from '../maths/normal.ts';
import { LUMA, type Picture } from './picture.ts';
import { mirrorShare, roughShare } from './reflectance.ts';
import type { ToneCurve } from './tone.ts';

/** How a photo renders light as display values. */
export interface Response {
  readonly tone: ToneCurve;
  /** Unsharp mask of the display values: amount and radius, px. */
  readonly sharpening: number;
  readonly sharpeningRadius: number;
}

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

/**
 * What the rim's light depends on, shared by all photos of a die, in the order of the values.
 *
 * Shares of the stage that the rim mirrors, smooth and rough; brightening of the body's own light towards grazing; its change with the
 * surface's direction (card x, y, z).
 */
export const RIM_TERMS = ['mirror', 'rough', 'limb', 'light-x', 'light-y', 'light-z', 'sharp-fine', 'sharp-coarse'] as const;
export const LIGHT_COUNT = 6;
export const SHARP_RADII = [0.8, 1.8] as const;
export const RIM_COUNT = RIM_TERMS.length;
/** Belief before any photo: a polished plastic, between mirror and rough; no brightening, even light. */
export const RIM_PRIOR = { mean: [0.6, 0.4, 0, 0, 0, 0, 0, 0], sd: [0.3, 0.3, 0.3, 0.2, 0.2, 0.3, 0.5, 0.5] } as const;

export interface EdgeSet {
  readonly count: number;
  /** Middle of each segment on the predicted outline, px, and its outward normal. */
  readonly xy: Float64Array;
  readonly normal: Float64Array;
  /** Measured minus predicted along the normal, px. */
  readonly offset: Float64Array;
  /** Standard uncertainty of the offset at fixed rim terms, px; Infinity where the segment says nothing. */
  readonly sigma: Float64Array;
  /** Change of the offset by each rim term, RIM_COUNT per segment, px. */
  readonly byRim: Float64Array;
  /** Root mean square of residuals over the noise. */
  readonly misfit: Float64Array;
  /** Display values outside minus inside. */
  readonly contrast: Float64Array;
  /** What the pixels alone say of the rim terms: information (RIM_COUNT squared) and gradient of the misfit. */
  readonly rimInformation: Float64Array;
  readonly rimGradient: Float64Array;
  readonly chi: number;
  readonly pixels: number;
  /** Scatter seen, from the residuals. */
  readonly noise: Noise;
  readonly height: Float64Array;
}

export const BAND = {
  /** Pixels looked at inside and outside the outline, and along it per segment. */
  inside: 4,
  outside: 7,
  perSegment: 4,
  /** Fewest pixels of a segment, and least contrast in display values. */
  pixels: 20,
  contrast: 6,
} as const;

export const samplesPerSegment = (curve: OutlineCurve): number => Math.max(1, Math.round(BAND.perSegment / curve.step));

const H = 0.25;
const REACH = 10;
const CELLS = Math.round((2 * REACH) / H) + 1;
const LOCAL = 5;
const P = LOCAL + RIM_COUNT;

interface Pixels {
  /** Per pixel of the band, grouped by segment: signed distance, luma, sample index. */
  readonly start: Int32Array;
  readonly s: Float32Array;
  readonly y: Float32Array;
  readonly sample: Int32Array;
  /** Address of the pixel in the picture. */
  readonly address: Int32Array;
}

/** Pixels of the band round a curve; each belongs to the sample it lies straight out from. */
function bandPixels(picture: Picture, curve: OutlineCurve, per: number, segments: number, every: number): Pixels {
  const { width, height, channels, data } = picture;
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let k = 0; k < curve.count; k++) {
    x0 = Math.min(x0, curve.xy[2 * k]!);
    x1 = Math.max(x1, curve.xy[2 * k]!);
    y0 = Math.min(y0, curve.xy[2 * k + 1]!);
    y1 = Math.max(y1, curve.xy[2 * k + 1]!);
  }
  const margin = BAND.outside + 2;
  x0 = Math.max(0, Math.floor(x0 - margin));
  y0 = Math.max(0, Math.floor(y0 - margin));
  x1 = Math.min(width - 1, Math.ceil(x1 + margin));
  y1 = Math.min(height - 1, Math.ceil(y1 + margin));
  const w = x1 - x0 + 1;
  const cells = Math.max(0, w * (y1 - y0 + 1));
  const owner = new Int32Array(cells).fill(-1);
  const aside = new Float32Array(cells);
  const counts = new Int32Array(segments);
  for (let k = 0; k < segments * per; k++) {
    if (Math.floor(k / per) % every !== 0) continue;
    const [cx, cy, nx, ny] = [curve.xy[2 * k]!, curve.xy[2 * k + 1]!, curve.normal[2 * k]!, curve.normal[2 * k + 1]!];
    for (let s = -BAND.inside; s <= BAND.outside; s += 0.6)
      for (let t = -0.4; t <= 0.5; t += 0.8) {
        const x = Math.round(cx + s * nx - t * ny);
        const y = Math.round(cy + s * ny + t * nx);
        if (x < x0 || y < y0 || x > x1 || y > y1) continue;
        const o = (y - y0) * w + x - x0;
        const d = Math.abs((y - cy) * nx - (x - cx) * ny);
        if (owner[o]! < 0 || d < aside[o]!) {
          if (owner[o]! >= 0) counts[Math.floor(owner[o]! / per)]!--;
          counts[Math.floor(k / per)]!++;
          owner[o] = k;
          aside[o] = d;
        }
      }
  }
  const start = new Int32Array(segments + 1);
  for (let i = 0; i < segments; i++) start[i + 1] = start[i]! + counts[i]!;
  const total = start[segments]!;
  const fill = Int32Array.from(start);
  const out = { start, s: new Float32Array(total), y: new Float32Array(total), sample: new Int32Array(total), address: new Int32Array(total) };
  for (let o = 0; o < cells; o++) {
    const k = owner[o]!;
    if (k < 0) continue;
    const m = fill[Math.floor(k / per)]!++;
    const x = x0 + (o % w);
    const y = y0 + Math.floor(o / w);
    const p = (y * width + x) * channels;
    out.s[m] = (x - curve.xy[2 * k]!) * curve.normal[2 * k]! + (y - curve.xy[2 * k + 1]!) * curve.normal[2 * k + 1]!;
    out.y[m] = LUMA[0] * data[p]! + LUMA[1] * data[p + 1]! + LUMA[2] * data[p + 2]!;
    out.sample[m] = k;
    out.address[m] = p;
  }
  return out;
}

/** Profiles of one segment on the grid: display value, its slope per px, and its change by each rim term. */
interface Profiles {
  readonly step: Float64Array;
  readonly value: Float64Array;
  readonly sharp: Float64Array;
  readonly byRim: Float64Array[];
}

const newProfiles = (): Profiles => ({
  step: new Float64Array(CELLS),
  value: new Float64Array(CELLS),
  sharp: new Float64Array(CELLS),
  byRim: Array.from({ length: RIM_COUNT }, () => new Float64Array(CELLS)),
});

/** Inner end of the rim's tables, in cells from the outline. */
const INNER = Math.round(REACH / H);
const FINE = 4;
const raw = Array.from({ length: LIGHT_COUNT }, () => new Float64Array(INNER));
const blurredRim = Array.from({ length: LIGHT_COUNT }, () => new Float64Array(CELLS));

/** Where each fine cell lies between the depths of the rim's table, on the square root of depth. */
const PLACES = Array.from({ length: INNER * FINE }, (_, i) => {
  const x = ((i + 0.5) / FINE) * H;
  let k = 0;
  while (k < RIM_DEPTHS.length - 2 && RIM_DEPTHS[k + 1]! < x) k++;
  const [a, b] = [Math.sqrt(RIM_DEPTHS[k]!), Math.sqrt(RIM_DEPTHS[k + 1]!)];
  return { k, t: Math.min(1, Math.max(0, (Math.sqrt(x) - a) / (b - a))) };
});

/** Rim terms by depth against the deepest place, averaged over grid cells; cell i reaches from i H to (i + 1) H inside the outline. */
function rimTerms(surface: Float64Array): void {
  const last = 4 * (RIM_DEPTHS.length - 1);
  const deepest = surface[last]!;
  const mirrorDeep = mirrorShare(deepest);
  const roughDeep = roughShare(deepest);
  const limbDeep = (1 - deepest) ** 5;
  for (const t of raw) t.fill(0);
  for (let i = 0; i < INNER; i++)
    for (let q = 0; q < FINE; q++) {
      const { k, t } = PLACES[i * FINE + q]!;
      const o = 4 * k;
      const at = (c: number): number => surface[o + c]! + t * (surface[o + 4 + c]! - surface[o + c]!);
      const cosine = at(0);
      raw[0]![i]! += (mirrorShare(cosine) - mirrorDeep) / (1 - mirrorDeep) / FINE;
      raw[1]![i]! += (roughShare(cosine) - roughDeep) / (1 - roughDeep) / FINE;
      raw[2]![i]! += ((1 - cosine) ** 5 - limbDeep) / FINE;
      for (let a = 0; a < 3; a++) raw[3 + a]![i]! += (at(1 + a) - surface[last + 1 + a]!) / FINE;
    }
}

const kernels = new Map<number, Float64Array>();
function kernelOf(sigma: number): Float64Array {
  const key = Math.round(sigma * 500);
  let k = kernels.get(key);
  if (!k) {
    // Light of a cell spread over the grid: the Gaussian's mass within each cell, seen from a cell's middle to grid points.
    const reach = Math.ceil((4.2 * sigma) / H) + 1;
    k = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => normalShare(((i - reach + 1) * H) / sigma) - normalShare(((i - reach) * H) / sigma));
    if (kernels.size > 500) kernels.clear();
    kernels.set(key, k);
  }
  return k;
}

/** Fills the blurred step and rim terms of a segment. */
function blurred(step: Float64Array, sigma: number): void {
  for (let i = 0; i < CELLS; i++) step[i] = normalShare((-REACH + i * H) / sigma);
  const kernel = kernelOf(sigma);
  const reach = (kernel.length - 1) / 2;
  for (let t = 0; t < LIGHT_COUNT; t++) {
    const out = blurredRim[t]!;
    out.fill(0);
    const source = raw[t]!;
    for (let i = 0; i < INNER; i++) {
      const v = source[i]!;
      if (v === 0) continue;
      // Cell i covers s from -(i + 1) H to -i H; grid point g lies at s = -REACH + g H.
      const left = INNER - (i + 1);
      for (let j = -reach; j <= reach; j++) {
        const g = left + j;
        if (g >= 0 && g < CELLS) out[g]! += v * kernel[reach - j + 0]!;
      }
    }
  }
}

function fillProfiles(out: Profiles, inside: readonly number[], outside: readonly number[], surface: Float64Array, theta: ArrayLike<number>, sigma: number, response: Response): void {
  rimTerms(surface);
  blurred(out.step, sigma);
  const { toDisplay } = response.tone;
  for (let i = 0; i < CELLS; i++) {
    let stage = out.step[i]!;
    let body = 0;
    for (let t = 0; t < LIGHT_COUNT; t++) {
      const v = theta[t]! * blurredRim[t]![i]!;
      if (t < 2) stage += v;
      else body += v;
    }
    let value = 0;
    let byStage = 0;
    let byBody = 0;
    for (let c = 0; c < 3; c++) {
      const [a, b] = [inside[c]!, outside[c]!];
      const light = a * (1 - stage + body) + b * stage;
      const v = toDisplay(light);
      const e = 1e-3 * (Math.abs(light) + 0.01);
      const slope = ((toDisplay(light + e) - v) / e) * LUMA[c]!;
      value += LUMA[c]! * v;
      byStage += slope * (b - a);
      byBody += slope * a;
    }
    out.value[i] = value;
    for (let t = 0; t < LIGHT_COUNT; t++) out.byRim[t]![i] = (t < 2 ? byStage : byBody) * blurredRim[t]![i]!;
  }
  // Sharpening (or a picture format's softening, where negative) acts on display values: value + amount . (value - smoothed).
  [response.sharpeningRadius, 0.8].forEach((radius, k) => {
    const d = out.byRim[LIGHT_COUNT + k]!;
    if (k === 1) return;
    smooth(out.value, d, radius);
    for (let i = 0; i < CELLS; i++) d[i] = out.value[i]! - d[i]!;
  });
  for (let i = 0; i < CELLS; i++) {
    const add = theta[LIGHT_COUNT]! * out.byRim[LIGHT_COUNT]![i]! + theta[LIGHT_COUNT + 1]! * out.byRim[LIGHT_COUNT + 1]![i]!;
    out.value[i] = out.value[i]! + add;
  }
}

function smooth(from: Float64Array, to: Float64Array, radius: number): void {
  const reach = Math.ceil((4 * radius) / H);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-(((i - reach) * H) ** 2) / (2 * radius * radius)));
  const total = kernel.reduce((s, v) => s + v, 0);
  for (let i = 0; i < CELLS; i++) {
    let v = 0;
    for (let j = -reach; j <= reach; j++) v += kernel[j + reach]! * from[Math.min(CELLS - 1, Math.max(0, i + j))]!;
    to[i] = v / total;
  }
}

/** Cubic interpolation (Catmull-Rom) on the grid; constant beyond. */
function look(t: Float64Array, s: number): number {
  const q = (s + REACH) / H;
  if (q <= 1) return t[0]!;
  if (q >= CELLS - 2) return t[CELLS - 1]!;
  const i = Math.floor(q);
  const f = q - i;
  const [p0, p1, p2, p3] = [t[i - 1]!, t[i]!, t[i + 1]!, t[i + 2]!];
  return p1 + 0.5 * f * (p2 - p0 + f * (2 * p0 - 5 * p1 + 4 * p2 - p3 + f * (3 * (p1 - p2) + p3 - p0)));
}

function lookLinear(t: Float64Array, s: number): number {
  const q = (s + REACH) / H;
  if (q <= 0) return t[0]!;
  if (q >= CELLS - 1) return t[CELLS - 1]!;
  const i = Math.floor(q);
  return t[i]! + (q - i) * (t[i + 1]! - t[i]!);
}

export interface EdgeOptions {
  /** Looks at one segment in so many. */
  readonly every: number;
  /** Standard deviations: slopes on either side in shares of the contrast per px. */
  readonly slope: number;
  readonly steps: number;
}
export const EDGE_OPTIONS: EdgeOptions = { every: 1, slope: 0.03, steps: 6 };

/**
 * Measures where the picture's edge lies along a predicted outline, segment by segment.
 *
 * No edge points and no interpolation: the pixels of a band themselves are compared with what the outline, blurred by the photo's
 * response and lit as a rounded plastic rim is, would show, and offset, levels and slopes of each segment are fitted to them.
 */
export function measureEdges(picture: Picture, curve: OutlineCurve, rim: Rim, theta: ArrayLike<number>, blur: Blur, noise: Noise, response: Response, options: Partial<EdgeOptions> = {}): EdgeSet {
  const { every, slope, steps } = { ...EDGE_OPTIONS, ...options };
  const per = samplesPerSegment(curve);
  const count = rim.segments;
  const pixels = bandPixels(picture, curve, per, count, every);
  const zeros = (k: number): Float64Array => new Float64Array(k);
  const out = {
    count, xy: zeros(2 * count), normal: zeros(2 * count), offset: zeros(count), sigma: zeros(count).fill(Infinity), byRim: zeros(count * RIM_COUNT),
    misfit: zeros(count), contrast: zeros(count), rimInformation: zeros(RIM_COUNT * RIM_COUNT), rimGradient: zeros(RIM_COUNT), chi: 0, pixels: 0,
    noise: { inside: 0, outside: 0 }, height: zeros(count),
  };
  const profiles = newProfiles();
  const scatter = { inside: [] as number[], outside: [] as number[] };
  for (let seg = 0; seg < count; seg += every) {
    // A sample on the curve itself: the mean of several would lie inside a curved outline.
    const mid = seg * per + (per >> 1);
    for (let a = 0; a < 2; a++) {
      out.xy[2 * seg + a] = curve.xy[2 * mid + a]!;
      out.normal[2 * seg + a] = curve.normal[2 * mid + a]!;
    }
    out.height[seg] = rim.height[seg]!;
    const [from, to] = [pixels.start[seg]!, pixels.start[seg + 1]!];
    if (to - from < BAND.pixels) continue;
    const t = Math.min(1, Math.max(0, rim.height[seg]! / blur.top));
    const sigma = blur.low + t * (blur.high - blur.low);
    segment(picture, pixels, from, to, rim.curvature, rim.surface.subarray(seg * 4 * RIM_DEPTHS.length, (seg + 1) * 4 * RIM_DEPTHS.length), theta, sigma, noise, response, slope, steps, profiles, out, seg, scatter);
  }
  return { ...out, noise: { inside: spread(scatter.inside, noise.inside), outside: spread(scatter.outside, noise.outside) } };
}

/** Standard deviation from the median of absolute values; `fallback` where there are too few. */
function spread(values: number[], fallback: number): number {
  if (values.length < 30) return fallback;
  values.sort((a, b) => a - b);
  return Math.max(0.4, 1.4826 * values[values.length >> 1]!);
}

const normalMatrix = new Float64Array(P * P);
const gradient = new Float64Array(P);
const row = new Float64Array(P);

type Writable = { -readonly [K in keyof EdgeSet]: EdgeSet[K] };

function segment(picture: Picture, pixels: Pixels, from: number, to: number, curvature: Float64Array, surface: Float64Array, theta: ArrayLike<number>, sigma: number, noise: Noise, response: Response, slope: number, steps: number, profiles: Profiles, out: Writable, seg: number, scatter: { inside: number[]; outside: number[] }): void {
  const gap = 1.0 + 2 * sigma;
  const inside = [0, 0, 0];
  const outside = [0, 0, 0];
  let [na, nb] = [0, 0];
  for (let m = from; m < to; m++) {
    const s = pixels.s[m]!;
    const p = pixels.address[m]!;
    if (s < Math.min(-gap, 2 - BAND.inside)) {
      na++;
      for (let c = 0; c < 3; c++) inside[c]! += picture.data[p + c]!;
    } else if (s > gap) {
      nb++;
      for (let c = 0; c < 3; c++) outside[c]! += picture.data[p + c]!;
    }
  }
  if (na < 5 || nb < 5) return;
  const { toLight } = response.tone;
  fillProfiles(profiles, inside.map((v) => toLight(v / na)), outside.map((v) => toLight(v / nb)), surface, theta, sigma, response);
  const { value, step } = profiles;
  const contrast = value[CELLS - 1]! - value[0]!;
  out.contrast[seg] = contrast;
  if (Math.abs(contrast) < BAND.contrast) return;
  // A convex outline loses light to blur: its half level moves in by half sigma squared times curvature.
  const bend = (sigma * sigma) / 2;
  const model = (s: number, k: number): number => look(value, s + k * bend);
  const local = new Float64Array(LOCAL);
  const slopeSd = slope * Math.abs(contrast) + 0.3;
  const levelSd = 0.5 * Math.abs(contrast);
  const n = to - from;
  let sum2 = 0;
  for (let it = 0; it < steps; it++) {
    const last = it === steps - 1;
    const dim = last ? P : LOCAL;
    normalMatrix.fill(0);
    gradient.fill(0);
    sum2 = 0;
    for (let m = from; m < to; m++) {
      const k = curvature[pixels.sample[m]!]!;
      const s = pixels.s[m]! - local[0]!;
      const f = lookLinear(step, s + k * bend);
      const si = Math.min(s, 0);
      const so = Math.max(s, 0);
      const r = pixels.y[m]! - model(s, k) - (1 - f) * (local[1]! + local[2]! * si) - f * (local[3]! + local[4]! * so);
      row[0] = (model(s - 0.06, k) - model(s + 0.06, k)) / 0.12;
      row[1] = 1 - f;
      row[2] = (1 - f) * si;
      row[3] = f;
      row[4] = f * so;
      const variance = noise.inside * noise.inside * (1 - f) + noise.outside * noise.outside * f;
      const weight = it > 1 ? 1 / (1 + (r * r) / (variance * 16)) : 1;
      sum2 += (weight * r * r) / variance;
      const w = weight / variance;
      if (last) {
        for (let t = 0; t < RIM_COUNT; t++) row[LOCAL + t] = lookLinear(profiles.byRim[t]!, s + k * bend);
        if ((globalThis as any).DUMP) (globalThis as any).DUMP(seg, s, r, k, contrast);
        if (s < -gap) scatter.inside.push(Math.abs(r));
        else if (s > gap) scatter.outside.push(Math.abs(r));
      }
      for (let a = 0; a < dim; a++) {
        const wa = w * row[a]!;
        gradient[a]! += wa * r;
        for (let b = 0; b <= a; b++) normalMatrix[a * P + b]! += wa * row[b]!;
      }
    }
    const believe = (a: number, sd: number): void => {
      normalMatrix[a * P + a]! += 1 / (sd * sd);
      gradient[a]! -= local[a]! / (sd * sd);
    };
    believe(0, (globalThis as any).FIXOFF ?? 3);
    believe(1, levelSd);
    believe(2, slopeSd);
    believe(3, levelSd);
    believe(4, slopeSd);
    if (last) break;
    const l = localFactor();
    if (!l) return;
    const h = choleskySolve(l, LOCAL, gradient.subarray(0, LOCAL));
    local[0] = Math.max(-BAND.inside, Math.min(BAND.outside, local[0]! + Math.max(-1, Math.min(1, h[0]!))));
    for (let a = 1; a < LOCAL; a++) local[a]! += h[a]!;
  }
  const l = localFactor();
  if (!l) return;
  const inverse0 = choleskySolve(l, LOCAL, [1, 0, 0, 0, 0]);
  const misfit = Math.sqrt(sum2 / Math.max(1, n - LOCAL));
  out.offset[seg] = local[0]!;
  out.misfit[seg] = misfit;
  if (Math.abs(local[0]!) > BAND.inside - 1.5) return;
  out.sigma[seg] = Math.sqrt(inverse0[0]!) * Math.max(1, misfit);
  out.chi += sum2;
  out.pixels += n - LOCAL;
  const shrink = 1 / Math.max(1, misfit * misfit);
  const solved = Array.from({ length: RIM_COUNT }, (_, t) => choleskySolve(l, LOCAL, [0, 1, 2, 3, 4].map((a) => normalMatrix[(LOCAL + t) * P + a]!)));
  const g = choleskySolve(l, LOCAL, gradient.subarray(0, LOCAL));
  for (let t = 0; t < RIM_COUNT; t++) {
    out.byRim[seg * RIM_COUNT + t] = -solved[t]![0]!;
    let gt = gradient[LOCAL + t]!;
    for (let a = 0; a < LOCAL; a++) gt -= normalMatrix[(LOCAL + t) * P + a]! * g[a]!;
    out.rimGradient[t]! += gt * shrink;
    for (let q = 0; q <= t; q++) {
      let v = normalMatrix[(LOCAL + t) * P + LOCAL + q]!;
      for (let a = 0; a < LOCAL; a++) v -= normalMatrix[(LOCAL + t) * P + a]! * solved[q]![a]!;
      out.rimInformation[t * RIM_COUNT + q]! += v * shrink;
      if (q < t) out.rimInformation[q * RIM_COUNT + t]! += v * shrink;
    }
  }
}

function localFactor(): Float64Array | null {
  const m = new Float64Array(LOCAL * LOCAL);
  for (let a = 0; a < LOCAL; a++) for (let b = 0; b <= a; b++) m[a * LOCAL + b] = m[b * LOCAL + a] = normalMatrix[a * P + b]!;
  return cholesky(m, LOCAL, 1e-12);
}
