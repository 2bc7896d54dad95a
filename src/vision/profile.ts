import { RIM_DEPTHS } from '../geometry/rim.ts';
import { normalShare } from '../maths/normal.ts';
import { LUMA } from './picture.ts';
import { limbTerm, mirrorShare, roughShare } from './reflectance.ts';
import type { ToneCurve } from './tone.ts';

/** How a photo renders light as display values. */
export interface Response {
  readonly tone: ToneCurve;
  /** Unsharp mask of the display values: value + amount . (value - smoothed); a picture format's softening is negative. */
  readonly sharpening: number;
  /** Its radius, px, one standard deviation. */
  readonly radius: number;
  /** Weights of red, green, blue in what is compared; their sum is 1. {@link LUMA} unless die and stage differ in colour alone. */
  readonly plane: readonly [number, number, number];
  /** Smoothing of the colour part of other planes than luma, px: a picture format keeps colour at half resolution. */
  readonly colourBlur: number;
}

/**
 * Smoothing that 4:2:0 colour goes through, px, one standard deviation: the mean of 2 x 2 pixels (variance 1/3), then linear
 * interpolation between the means (variance 2/3). Source: JFIF (ITU-T T.871) for the layout; the variances by integration.
 */
export const HALF_COLOUR_BLUR = 1;

/** How a die's surface mirrors and brightens towards grazing. */
export interface Surface {
  /** Shares of what a smooth and a rough plastic would mirror of the stage. */
  readonly mirror: number;
  readonly rough: number;
  /** Brightening of the body's own light at grazing. */
  readonly limb: number;
}

/** What an edge's place hangs on besides the pixels themselves, in the order of a profile's changes. */
export const TERMS = ['mirror', 'rough', 'limb', 'sharpening', 'blur-low', 'blur-high'] as const;
export const TERM_COUNT = TERMS.length;
const LIGHTS = 3;

/** Grid of a profile: signed distance from -REACH to REACH, px. */
const H = 0.25;
const REACH = 9;
export const PROFILE_CELLS = Math.round((2 * REACH) / H) + 1;
const CELLS = PROFILE_CELLS;
/** Cells inside the outline, and parts of a cell over which the rim is averaged. */
const INNER = Math.round(REACH / H);
const FINE = 3;

/** Profiles of one segment on the grid. */
export interface Profile {
  /** Blurred step: share of outside. */
  readonly step: Float64Array;
  /** Display value, and its change by each term. */
  readonly value: Float64Array;
  readonly change: readonly Float64Array[];
}

export const newProfile = (): Profile => ({
  step: new Float64Array(CELLS),
  value: new Float64Array(CELLS),
  change: Array.from({ length: TERM_COUNT }, () => new Float64Array(CELLS)),
});

const raw = Array.from({ length: LIGHTS }, () => new Float64Array(INNER));
const lit = Array.from({ length: LIGHTS }, () => new Float64Array(CELLS));
const wider = newProfile();
const colour = new Float64Array(CELLS);
const colourSoft = new Float64Array(CELLS);

/** Where each fine cell lies between the depths of the rim's table, on the square root of depth. */
const PLACES = Array.from({ length: INNER * FINE }, (_, i) => {
  const x = ((i + 0.5) / FINE) * H;
  let k = 0;
  while (k < RIM_DEPTHS.length - 2 && RIM_DEPTHS[k + 1]! < x) k++;
  const [a, b] = [Math.sqrt(RIM_DEPTHS[k]!), Math.sqrt(RIM_DEPTHS[k + 1]!)];
  return { k, t: Math.min(1, Math.max(0, (Math.sqrt(x) - a) / (b - a))) };
});

const DEEPEST = RIM_DEPTHS.length - 1;
const shares = Array.from({ length: LIGHTS }, () => new Float64Array(RIM_DEPTHS.length));

/** Rim terms by depth against the deepest place, averaged over grid cells; cell i reaches from i H to (i + 1) H inside the outline. */
function rimTerms(cosines: Float64Array): void {
  const deep = cosines[DEEPEST]!;
  const [mirror, rough, limb] = [mirrorShare(deep), roughShare(deep), limbTerm(deep)];
  for (let k = 0; k < RIM_DEPTHS.length; k++) {
    const c = cosines[k]!;
    shares[0]![k] = (mirrorShare(c) - mirror) / (1 - mirror);
    shares[1]![k] = (roughShare(c) - rough) / (1 - rough);
    shares[2]![k] = limbTerm(c) - limb;
  }
  for (let t = 0; t < LIGHTS; t++) {
    const s = shares[t]!;
    const out = raw[t]!;
    for (let i = 0, p = 0; i < INNER; i++) {
      let v = 0;
      for (let q = 0; q < FINE; q++, p++) {
        const { k, t: f } = PLACES[p]!;
        v += s[k]! + f * (s[k + 1]! - s[k]!);
      }
      out[i] = v / FINE;
    }
  }
}

const kernels = new Map<number, Float64Array>();
/** Light of a cell spread over the grid: the Gaussian's mass of the cell, seen from grid points. Blur in steps of 0.002 px. */
function kernelOf(sigma: number): Float64Array {
  const key = Math.round(sigma * 500);
  let k = kernels.get(key);
  if (!k) {
    const reach = Math.ceil((4 * sigma) / H) + 1;
    k = Float64Array.from(
      { length: 2 * reach + 1 },
      (_, i) => normalShare(((i - reach + 1) * H) / sigma) - normalShare(((i - reach) * H) / sigma),
    );
    if (kernels.size > 2000) kernels.clear();
    kernels.set(key, k);
  }
  return k;
}

function blurred(step: Float64Array, sigma: number): void {
  for (let i = 0; i < CELLS; i++) step[i] = normalShare((-REACH + i * H) / sigma);
  const kernel = kernelOf(sigma);
  const reach = (kernel.length - 1) / 2;
  for (let t = 0; t < LIGHTS; t++) {
    const out = lit[t]!;
    out.fill(0);
    const source = raw[t]!;
    for (let i = 0; i < INNER; i++) {
      const v = source[i]!;
      if (v === 0) continue;
      const left = INNER - (i + 1);
      const from = Math.max(-reach, -left);
      const to = Math.min(reach, CELLS - 1 - left);
      for (let j = from; j <= to; j++) out[left + j]! += v * kernel[reach - j]!;
    }
  }
}

/** Display values before sharpening, and (where asked) their change by the light terms. */
function render(
  out: Profile,
  inside: readonly number[],
  outside: readonly number[],
  surface: Surface,
  sigma: number,
  { tone, plane }: Response,
  withChange: boolean,
): void {
  blurred(out.step, sigma);
  const { toDisplay } = tone;
  for (let i = 0; i < CELLS; i++) {
    const stage = out.step[i]! + surface.mirror * lit[0]![i]! + surface.rough * lit[1]![i]!;
    const body = surface.limb * lit[2]![i]!;
    let [value, tint, byStage, byBody] = [0, 0, 0, 0];
    for (let c = 0; c < 3; c++) {
      const [a, b] = [inside[c]!, outside[c]!];
      const light = a * (1 - stage + body) + b * stage;
      const v = toDisplay(light);
      value += LUMA[c]! * v;
      tint += (plane[c]! - LUMA[c]!) * v;
      if (!withChange) continue;
      const e = 1e-3 * (Math.abs(light) + 0.01);
      const slope = ((toDisplay(light + e) - v) / e) * plane[c]!;
      byStage += slope * (b - a);
      byBody += slope * a;
    }
    out.value[i] = value;
    colour[i] = tint;
    if (!withChange) continue;
    out.change[0]![i] = byStage * lit[0]![i]!;
    out.change[1]![i] = byStage * lit[1]![i]!;
    out.change[2]![i] = byBody * lit[2]![i]!;
  }
}

/** Step of blur over which its change is taken, px. */
const BLUR_STEP = 0.03;

/**
 * Fills the profile of a segment.
 *
 * @param inside   Light of the die's body there, per channel; `outside` likewise of the stage.
 * @param cosines  Cosines of incidence at {@link RIM_DEPTHS}.
 * @param sigma    Blur, px; `high` is the share of it that the top's blur makes (0 at the card, 1 at the top).
 */
export function fillProfile(
  out: Profile,
  inside: readonly number[],
  outside: readonly number[],
  cosines: Float64Array,
  surface: Surface,
  sigma: number,
  high: number,
  response: Response,
  withChange: boolean,
): void {
  rimTerms(cosines);
  if (withChange) {
    render(wider, inside, outside, surface, sigma + BLUR_STEP, response, false);
    sharpen(wider, response);
  }
  render(out, inside, outside, surface, sigma, response, withChange);
  sharpen(out, response);
  if (!withChange) return;
  for (let i = 0; i < CELLS; i++) {
    const v = (wider.value[i]! - out.value[i]!) / BLUR_STEP;
    out.change[4]![i] = v * (1 - high);
    out.change[5]![i] = v * high;
  }
}

const smoothers = new Map<number, Float64Array>();
/** Half of a Gaussian's weights on the grid, from its middle on. */
function smoother(radius: number): Float64Array {
  const key = Math.round(radius * 100);
  let kernel = smoothers.get(key);
  if (!kernel) {
    const reach = Math.ceil((3.5 * radius) / H);
    const g = Float64Array.from({ length: reach + 1 }, (_, j) => Math.exp(-((j * H) ** 2) / (2 * radius * radius)));
    const total = g.reduce((s, v, j) => s + (j === 0 ? v : 2 * v), 0);
    kernel = g.map((v) => v / total);
    smoothers.set(key, kernel);
  }
  return kernel;
}

function smooth(from: Float64Array, to: Float64Array, radius: number): void {
  const kernel = smoother(radius);
  for (let i = 0; i < CELLS; i++) {
    let s = kernel[0]! * from[i]!;
    for (let j = 1; j < kernel.length; j++)
      s += kernel[j]! * (from[i < j ? 0 : i - j]! + from[i + j >= CELLS ? CELLS - 1 : i + j]!);
    to[i] = s;
  }
}

/** Sharpens luma and colour, smooths the colour, and puts both together. */
function sharpen(out: Profile, { sharpening, radius, plane, colourBlur }: Response): void {
  const edge = out.change[3]!;
  const v = out.value;
  smooth(v, edge, radius);
  for (let i = 0; i < CELLS; i++) edge[i] = v[i]! - edge[i]!;
  if (sharpening !== 0) for (let i = 0; i < CELLS; i++) v[i] = v[i]! + sharpening * edge[i]!;
  if (plane[0] === LUMA[0] && plane[2] === LUMA[2]) return;
  // A mask on red, green and blue alike sharpens the colour too, before the format halves it.
  if (sharpening !== 0) {
    smooth(colour, colourSoft, radius);
    for (let i = 0; i < CELLS; i++) colour[i] = colour[i]! + sharpening * (colour[i]! - colourSoft[i]!);
  }
  smooth(colour, colourSoft, colourBlur);
  for (let i = 0; i < CELLS; i++) v[i] = v[i]! + colourSoft[i]!;
}

/** Cubic interpolation (Catmull-Rom) on the grid; constant beyond. */
export function cubicAt(t: Float64Array, s: number): number {
  const q = (s + REACH) / H;
  if (q <= 1) return t[0]!;
  if (q >= CELLS - 2) return t[CELLS - 1]!;
  const i = Math.floor(q);
  const f = q - i;
  const p0 = t[i - 1]!;
  const p1 = t[i]!;
  const p2 = t[i + 1]!;
  const p3 = t[i + 2]!;
  return p1 + 0.5 * f * (p2 - p0 + f * (2 * p0 - 5 * p1 + 4 * p2 - p3 + f * (3 * (p1 - p2) + p3 - p0)));
}

/** Slope of {@link cubicAt}, per px. */
export function slopeAt(t: Float64Array, s: number): number {
  const q = (s + REACH) / H;
  if (q <= 1 || q >= CELLS - 2) return 0;
  const i = Math.floor(q);
  const f = q - i;
  const p0 = t[i - 1]!;
  const p1 = t[i]!;
  const p2 = t[i + 1]!;
  const p3 = t[i + 2]!;
  return (0.5 * (p2 - p0) + f * (2 * p0 - 5 * p1 + 4 * p2 - p3) + 1.5 * f * f * (3 * (p1 - p2) + p3 - p0)) / H;
}

export function linearAt(t: Float64Array, s: number): number {
  const q = (s + REACH) / H;
  if (q <= 0) return t[0]!;
  if (q >= CELLS - 1) return t[CELLS - 1]!;
  const i = Math.floor(q);
  return t[i]! + (q - i) * (t[i + 1]! - t[i]!);
}
