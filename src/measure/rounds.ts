import { outlineOf, type Outline, type OutlineCurve } from '../geometry/outline.ts';
import { rimOf, type Rim } from '../geometry/rim.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { seenIn, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';
import { measureEdges, type Blur, type EdgeSet, type Noise } from '../vision/edges.ts';
import type { Crop } from '../vision/picture.ts';
import { TERM_COUNT, type Asked, type Response, type Surface } from '../vision/profile.ts';

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

/** `belief`: how far an edge's blur may lie from where it is believed, one standard deviation: px, or this share of it if that is more. */
export const BLUR_LIMITS = { least: 0.28, most: 4, step: 0.25, belief: { px: 0.1, share: 0.2 } } as const;

export interface RoundResult {
  readonly edges: EdgeSet;
  readonly outline: Outline;
  readonly curve: OutlineCurve;
}

/** Predicts one photo's outline from the die as it is believed, and measures the edges along it. */
export function measuredOutline(
  state: DieState,
  solid: DieSolid,
  photo: FitPhoto,
  index: number,
  look: PhotoLook,
  surface: Surface,
  every: number,
  asked: Asked,
): RoundResult {
  const die = seenIn(state, photo, index);
  const curve = outlineOf(die, photo.camera, CURVE_STEP);
  const rim: Rim = rimOf(die, solid, photo.camera, photo.cameraFromCard, curve, every);
  const edges = measureEdges(look.crop, curve, rim, surface, look.blur, look.noise, look.response, {
    every,
    asked,
  });
  return { edges, outline: toOutline(edges), curve };
}

/** The segments that say something, as the fit wants them. */
function toOutline(e: EdgeSet): Outline {
  const good: number[] = [];
  for (let k = 0; k < e.count; k++) if (Number.isFinite(e.sigma[k]!)) good.push(k);
  const xy = new Float64Array(2 * good.length);
  const normal = new Float64Array(2 * good.length);
  const sigma = new Float64Array(good.length);
  const strain = Float64Array.from(good, (k) => e.strain[k]!);
  const byTerm = new Float64Array(TERM_COUNT * good.length);
  good.forEach((k, m) => {
    for (let a = 0; a < 2; a++) {
      normal[2 * m + a] = e.normal[2 * k + a]!;
      xy[2 * m + a] = e.xy[2 * k + a]! + e.offset[k]! * e.normal[2 * k + a]!;
    }
    sigma[m] = Math.max(LEAST_SIGMA, e.sigma[k]!);
    byTerm.set(e.byTerm.subarray(k * TERM_COUNT, (k + 1) * TERM_COUNT), m * TERM_COUNT);
  });
  return { xy, normal, sigma, strain, byTerm, terms: TERM_COUNT };
}

/** What one photo's edges want changed of its look. */
export interface LookStep {
  readonly sharpening: number;
  /** Information behind it, the blurs taken out. */
  readonly weight: number;
  readonly low: number;
  readonly high: number;
}

/** One Gauss-Newton step of a photo's sharpening and two blurs on what its edges left over; `start` is where the blurs are believed. */
export function lookStep(blur: Blur, edges: EdgeSet, start: Blur): LookStep | null {
  const { px, share } = BLUR_LIMITS.belief;
  const weight = (believed: number): number => 1 / Math.max(px, share * believed) ** 2;
  const [w, v] = [weight(start.low), weight(start.high)];
  const a = Float64Array.from(edges.lookInformation);
  a[0]! += 1e-6;
  a[4]! += w;
  a[8]! += v;
  const g = Float64Array.of(
    edges.lookGradient[0]!,
    edges.lookGradient[1]! + w * (start.low - blur.low),
    edges.lookGradient[2]! + v * (start.high - blur.high),
  );
  const l = cholesky(a, 3, 1e-12);
  if (!l) return null;
  const [sharpening, low, high] = choleskySolve(l, 3, g) as unknown as [number, number, number];
  return { sharpening, weight: 1 / choleskySolve(l, 3, [1, 0, 0])[0]!, low, high };
}

export function movedBlur(blur: Blur, step: LookStep): Blur {
  const limit = (v: number): number => Math.max(-BLUR_LIMITS.step, Math.min(BLUR_LIMITS.step, v));
  const clamp = (v: number): number => Math.max(BLUR_LIMITS.least, Math.min(BLUR_LIMITS.most, v));
  return { low: clamp(blur.low + limit(step.low)), high: clamp(blur.high + limit(step.high)), top: blur.top };
}
