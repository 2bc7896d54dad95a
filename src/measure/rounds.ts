import { outlineOf, type Outline, type OutlineCurve } from '../geometry/outline.ts';
import { rimOf, type Rim } from '../geometry/rim.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { seenIn, type DieState, type FitPhoto } from '../fit/die-fit.ts';
import { samplesPerSegment } from '../vision/band.ts';
import { measureEdges, type Blur, type EdgeSet, type Noise } from '../vision/edges.ts';
import type { Crop } from '../vision/picture.ts';
import { TERM_COUNT, type Response, type Surface } from '../vision/profile.ts';

/** What is believed of one photo's rendering while the rounds go on. */
export interface PhotoLook {
  readonly crop: Crop;
  blur: Blur;
  noise: Noise;
  response: Response;
}

/** Distance between samples of a predicted outline, px. */
export const CURVE_STEP = 1;
/** A single segment is never trusted further than this, px. */
export const LEAST_SIGMA = 0.02;

export const BLUR_LIMITS = { least: 0.28, most: 4, step: 0.25, belief: 0.35 } as const;

export interface RoundResult {
  readonly edges: EdgeSet;
  readonly outline: Outline;
  readonly curve: OutlineCurve;
}

/** Predicts one photo's outline from the die as it is believed, and measures the edges along it. */
export function measuredOutline(state: DieState, solid: DieSolid, photo: FitPhoto, index: number, look: PhotoLook, surface: Surface, every: number, withTerms: boolean): RoundResult {
  const die = seenIn(state, photo, index);
  const curve = outlineOf(die, photo.camera, CURVE_STEP);
  const rim: Rim = rimOf(die, solid, photo.camera, photo.cameraFromCard, curve, samplesPerSegment(curve), every);
  const edges = measureEdges(look.crop, curve, rim, surface, look.blur, look.noise, look.response, { every, withTerms });
  return { edges, outline: toOutline(edges), curve };
}

/** The segments that say something, as the fit wants them. */
function toOutline(e: EdgeSet): Outline {
  const good: number[] = [];
  for (let k = 0; k < e.count; k++) if (Number.isFinite(e.sigma[k]!)) good.push(k);
  const xy = new Float64Array(2 * good.length);
  const normal = new Float64Array(2 * good.length);
  const sigma = new Float64Array(good.length);
  const byTerm = new Float64Array(TERM_COUNT * good.length);
  good.forEach((k, m) => {
    for (let a = 0; a < 2; a++) {
      normal[2 * m + a] = e.normal[2 * k + a]!;
      xy[2 * m + a] = e.xy[2 * k + a]! + e.offset[k]! * e.normal[2 * k + a]!;
    }
    sigma[m] = Math.max(LEAST_SIGMA, e.sigma[k]!);
    byTerm.set(e.byTerm.subarray(k * TERM_COUNT, (k + 1) * TERM_COUNT), m * TERM_COUNT);
  });
  return { xy, normal, sigma, byTerm, terms: TERM_COUNT };
}

/** One Gauss-Newton step of a photo's two blurs on what its edges left over. */
export function refinedBlur(blur: Blur, edges: EdgeSet, start: Blur): Blur {
  const w = 1 / BLUR_LIMITS.belief ** 2;
  const [a, b, c] = [edges.blurInformation[0]! + w, edges.blurInformation[1]!, edges.blurInformation[3]! + w];
  const g = [edges.blurGradient[0]! + w * (start.low - blur.low), edges.blurGradient[1]! + w * (start.high - blur.high)] as const;
  const det = a * c - b * b;
  if (!(det > 0)) return blur;
  const limit = (v: number): number => Math.max(-BLUR_LIMITS.step, Math.min(BLUR_LIMITS.step, v));
  const clamp = (v: number): number => Math.max(BLUR_LIMITS.least, Math.min(BLUR_LIMITS.most, v));
  return { low: clamp(blur.low + limit((c * g[0] - b * g[1]) / det)), high: clamp(blur.high + limit((a * g[1] - b * g[0]) / det)), top: blur.top };
}
