import { hypot2 } from '../maths/hypot.ts';
import type { OutlineCurve } from '../geometry/outline.ts';
import { SHADE_WIDTH, type ContactShade } from '../geometry/contact-shade.ts';
import { RIM_DEPTHS, type InwardRays } from '../geometry/inward-rays.ts';
import type { Rim } from '../geometry/rim.ts';
import { choleskySolveInto } from '../maths/linear.ts';
import { BAND } from './band.ts';
import { crownOf, glaring, raisedChange } from './crown-light.ts';
import {
  CROWN_SUMS,
  EDGE_OPTIONS,
  SEGMENT,
  type Blur,
  type EdgeOptions,
  type EdgeSet,
  type Noise,
} from './edge-set.ts';
import type { EdgeMemory } from './edge-memory.ts';
import { LUMA, type Crop } from './picture.ts';
import { lightOn, STAGE_LIGHT } from './stage-light.ts';
import { PROFILE_CELLS } from './depth-cells.ts';
import { CHANGES, fillProfile, TERM_COUNT, type Depths, type Response, type Surface } from './profile.ts';
import { eliminate, LOCAL, LOOKS, newWork, takePixels, type Found, type Work } from './segment-sums.ts';

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
  const { count } = rim.segments;
  const out = newEdges(curve, rim, options.every);
  const work = newWork({ surface, noise, response, options }, crop, curve, rim, out.xy);
  for (let segment = 0; segment < count; segment += options.every) {
    const high = Math.min(1, Math.max(0, rim.height[segment]! / blur.top));
    measureSegment(work, segment, rim, blur.low + high * (blur.high - blur.low), high, out);
  }
  const { run } = work.memory;
  return {
    ...out,
    misfit: Math.sqrt(work.chi / Math.max(1, work.freedom)),
    noise: {
      inside: spread(work.memory, run.INSIDE.value, run.INSIDE_KEPT.value, noise.inside),
      outside: spread(work.memory, run.OUTSIDE.value, run.OUTSIDE_KEPT.value, noise.outside),
    },
  };
}

/** Room for what is found of an outline's segments; those that are looked at have their places. */
function newEdges(curve: OutlineCurve, rim: Rim, every: number): Omit<EdgeSet, 'misfit' | 'noise'> {
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
  for (let segment = 0; segment < count; segment += every) {
    // A sample on the curve itself: the mean of several would lie inside a curved outline.
    const mid = middle[segment]!;
    for (let a = 0; a < 2; a++) {
      out.xy[2 * segment + a] = curve.xy[2 * mid + a]!;
      out.normal[2 * segment + a] = curve.normal[2 * mid + a]!;
    }
  }
  return out;
}

/** Standard deviation from the median of sizes kept in the module's memory; `fallback` where there are too few. */
function spread({ run }: EdgeMemory, list: number, count: number, fallback: number): number {
  return count < 30 ? fallback : Math.max(0.4, 1.4826 * run.upperMedian(list, count));
}

/** Mean light of the pixels well inside and well outside into `inner` and `outer`; false where there are too few. */
function levels(
  { memory: { run, LEVELS }, response, inner, outer }: Work,
  from: number,
  to: number,
  gap: number,
): boolean {
  run.levels(from, to, Math.min(-gap, 2 - BAND.inside), gap);
  const na = LEVELS[3]!;
  const nb = LEVELS[7]!;
  if (na < 4 || nb < 5) return false;
  const { toLight } = response.tone;
  for (let c = 0; c < 3; c++) {
    inner[c] = toLight(LEVELS[c]! / na);
    outer[c] = toLight(LEVELS[4 + c]! / nb);
  }
  return true;
}

function shadeOf({ shade }: Rim, segment: number): ContactShade | null {
  const o = segment * SHADE_WIDTH;
  const radius = shade[o]!;
  return radius > 0 ? { radius, first: shade[o + 1]!, perPx: shade[o + 2]!, open: shade[o + 3]! } : null;
}

function measureSegment(work: Work, segment: number, rim: Rim, sigma: number, high: number, out: Found): void {
  const { raised } = rim;
  const shade = shadeOf(rim, segment);
  const { pixels, options, memory, local, beliefs, factor, solved } = work;
  const [from, to] = [pixels.start[segment]!, pixels.start[segment + 1]!];
  if (to - from < SEGMENT.pixels) return;
  const gap = 1 + 2 * Math.min(sigma, 1.5);
  if (!levels(work, from, to, gap)) return;
  const grazed = raised === null ? -1 : raised.face[segment]!;
  const surface = grazed < 0 ? work.surface : glaring(work.surface, options.glare?.[grazed] ?? 0);
  const asked = grazed < 0 ? options.asked : 'all';
  const rays = raised?.rays.get(segment);
  const depths = rays ? depthsAt(work, rays.now) : depthsOf(work, rim, segment);
  const shown = fillProfile('VALUE', work.inner, work.outer, depths, shade, surface, sigma, work.response, asked);
  const contrast = shown[PROFILE_CELLS - 1]! - shown[0]!;
  out.contrast[segment] = contrast;
  const size = Math.abs(contrast);
  if (size < SEGMENT.contrast) return;
  local.fill(0);
  const slope = options.slope * size + 0.3;
  beliefs.set([3, 0.5 * size, hypot2(slope, work.skin[segment]!), 0.5 * size, slope]);
  const count = to - from;
  takePixels(work, from, to, (sigma * sigma) / 2);
  if (!memory.run.settle(count, options.steps - 1, BAND.inside, BAND.outside)) return;
  const sum = memory.run.withChanges(count, CHANGES[options.asked]);
  memory.run.keepResiduals(count, gap);
  if (!memory.run.factored()) return;
  const misfit = Math.sqrt(sum / Math.max(1, count - LOCAL));
  out.offset[segment] = local[0]!;
  out.strain[segment] = hypot2(local[2]!, local[4]!) / slope;
  out.skin[segment] = work.skin[segment]! / slope;
  if (Math.abs(local[0]!) > BAND.inside - 1) return;
  choleskySolveInto(factor, LOCAL, UNIT, solved);
  out.sigma[segment] = Math.sqrt(solved[0]!) * Math.max(1, misfit);
  work.chi += sum;
  work.freedom += count - LOCAL;
  // Beside a face seen edge-on the light is less sure than the photo's blur is.
  if (options.asked !== 'nothing') eliminate(work, segment, high, grazed < 0 ? out : { ...out, ...NOTHING_SAID() });
  if (!rays) return;
  raisedChange(work, depthsAt(work, rays.raised), rays.shift, shade, surface, sigma);
  crownOf(work, count, Math.max(1, misfit), segment, out.crowns!);
}

/** What lies below a segment by the depths of any rim. */
function depthsOf(work: Work, { cosines, mirrored }: Rim, segment: number): Depths {
  const o = segment * RIM_DEPTHS.length;
  const there = cosines.subarray(o, o + RIM_DEPTHS.length);
  if (!work.options.light || !mirrored) return { depths: null, cosines: there, mirrored: null };
  const places = mirrored.subarray(3 * o, 3 * (o + RIM_DEPTHS.length));
  return { depths: null, cosines: there, mirrored: beyondOf(work, places) };
}

/** The same by the close rays beside a face seen edge-on. */
const depthsAt = (work: Work, { depths, cosines, mirrored }: InwardRays): Depths => ({
  ...{ depths, cosines },
  mirrored: beyondOf(work, mirrored),
});

/** How bright what is mirrored is over the stage just outside, by depth; null where no light of the card is at hand. */
function beyondOf({ options: { light }, outer }: Work, places: Float64Array): Float64Array | null {
  if (!light) return null;
  const outside = (LUMA[0] * outer[0]! + LUMA[1] * outer[1]! + LUMA[2] * outer[2]!) / light.bare;
  const out = new Float64Array(places.length / 3);
  for (let depth = 0; depth < out.length; depth++) {
    const x = places[3 * depth]!;
    // What falls on no card is as bright as the bare stage.
    if (Number.isNaN(x)) out[depth] = 1 / outside;
    else {
      const seen = lightOn(light, x, places[3 * depth + 1]!);
      // Nearer than the cells tell apart it is as bright as just outside.
      const share = Math.min(1, places[3 * depth + 2]! / STAGE_LIGHT.step);
      out[depth] = Number.isNaN(seen) ? 1 : 1 + share * (seen / outside - 1);
    }
  }
  return out;
}

/** Sums that are thrown away. */
const NOTHING_SAID = (): Pick<Found, 'lookInformation' | 'lookGradient' | 'shade'> => ({
  lookInformation: new Float64Array(LOOKS * LOOKS),
  lookGradient: new Float64Array(LOOKS),
  shade: { information: 0, gradient: 0 },
});

const UNIT = Float64Array.of(1, 0, 0, 0, 0);
