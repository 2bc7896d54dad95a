import { tuple } from '../maths/tuple.ts';
import { outlineOf, type Outline, type OutlineCurve } from '../geometry/outline.ts';
import { RAISE, rimOf, type Rim } from '../geometry/rim.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { seenIn, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';
import { CROWN_SUMS, type Blur, type CrownLight, type EdgeSet, type Noise } from '../vision/edge-set.ts';
import { measureEdges } from '../vision/edges.ts';
import { besideBumps, type Bump } from './bumps.ts';
import type { StageLight } from '../vision/stage-light.ts';
import type { Crop } from '../vision/picture.ts';
import { TERM_COUNT, type Asked, type Response, type Surface } from '../vision/profile.ts';

/** What is believed of one photo's rendering while the rounds go on. */
export interface PhotoLook {
  readonly crop: Crop;
  blur: Blur;
  noise: Noise;
  response: Response;
  /** Per face: by which share it mirrors more than the die's faces at large, where this photo sees it edge-on. */
  glare?: Float64Array;
  /** Light of the card that the die's rim mirrors. */
  readonly light?: StageLight;
  /** Proud marks whose outline is no crown's. */
  readonly bumps?: readonly Bump[];
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
  const higher =
    state.crowns && seenIn({ ...state, crowns: raisedBy(state.crowns, RAISE) }, photo, index, state.crowns);
  const rim: Rim = rimOf(die, solid, photo.camera, photo.cameraFromCard, curve, every, higher ?? null);
  const edges = measureEdges(look.crop, curve, rim, surface, look.blur, look.noise, look.response, {
    every,
    asked,
    ...(look.glare ? { glare: look.glare } : {}),
    ...(look.light ? { light: look.light } : {}),
  });
  const beside = besideBumps(look.bumps ?? [], state, photo, index, edges);
  for (let k = 0; k < edges.count; k++) if (beside(k)) edges.sigma[k] = Infinity;
  return { edges, outline: toOutline(edges, rim, state.crowns ?? null, look.glare), curve };
}

function raisedBy(crowns: Float64Array, by: number): Float64Array {
  const out = crowns.slice();
  for (let f = 0; f < out.length; f++) out[f]! += by;
  return out;
}

/** The segments that say something. */
export function tellingSegments({ count, sigma }: Pick<EdgeSet, 'count' | 'sigma'>): number[] {
  const out: number[] = [];
  for (let k = 0; k < count; k++) if (Number.isFinite(sigma[k]!)) out.push(k);
  return out;
}

/** The segments that say something, as the fit wants them. */
function toOutline(e: EdgeSet, { raised }: Rim, crowns: Float64Array | null, glare: Float64Array | undefined): Outline {
  const good = tellingSegments(e);
  const glares = e.crowns && raised && crowns ? glaresOf(e.crowns, good, glare) : null;
  const xy = new Float64Array(2 * good.length);
  const normal = new Float64Array(2 * good.length);
  const sigma = new Float64Array(good.length);
  const strain = new Float64Array(good.length);
  const skin = new Float64Array(good.length);
  const byTerm = new Float64Array(TERM_COUNT * good.length);
  for (let m = 0; m < good.length; m++) {
    const k = good[m]!;
    const light = glares?.get(e.crowns!.face[k]!);
    const offset = e.offset[k]! + (light ? light.change * e.crowns!.byGlare[k]! : 0);
    for (let a = 0; a < 2; a++) {
      normal[2 * m + a] = e.normal[2 * k + a]!;
      xy[2 * m + a] = e.xy[2 * k + a]! + offset * e.normal[2 * k + a]!;
    }
    sigma[m] = Math.max(LEAST_SIGMA, e.sigma[k]!);
    strain[m] = e.strain[k]!;
    skin[m] = e.skin[k]!;
    for (let t = 0; t < TERM_COUNT; t++) byTerm[m * TERM_COUNT + t] = e.byTerm[k * TERM_COUNT + t]!;
  }
  const outline = { xy, normal, sigma, strain, skin, byTerm, terms: TERM_COUNT };
  if (!e.crowns || !raised || !crowns || !glares) return outline;
  const { face } = e.crowns;
  const grazed = new Int32Array(good.length);
  const byCrown = new Float64Array(good.length);
  for (let m = 0; m < good.length; m++) {
    const k = good[m]!;
    grazed[m] = face[k]!;
    if (face[k]! >= 0) byCrown[m] = movedBy(e.crowns, k, glares.get(face[k]!)!, raised.shift);
  }
  return {
    ...outline,
    grazing: {
      face: grazed,
      // The contact itself moves with the crown; an offset is counted from where it then lies. The glare follows the crown.
      byCrown,
      crowns: [...glares].flatMap(([f, { crown }]) =>
        crown.information < LEAST_INFORMATION
          ? []
          : [
              {
                face: f,
                believed: crowns[f]!,
                change: crown.gradient / crown.information,
                u: Math.hypot(CROWN_STRETCH, 1 / Math.sqrt(crown.information)),
              },
            ],
      ),
    },
  };
}

/** Movement of the place where an edge is measured when the crown is believed higher, px / mm: its light's, its glare's, and the contact's own. */
const movedBy = (e: CrownLight, k: number, glare: Glare, shift: Float64Array): number =>
  e.byCrown[k]! + e.byGlare[k]! * glare.byCrown + shift[k]! / RAISE;

/**
 * How far the light of a whole grazing stretch may show another crown than the die has, mm: it is alike along it. At known shape what stretches of two
 * crowned dice told scattered by 3 and 10 um.
 */
export const CROWN_STRETCH = 0.012;

/** A crown known no better than to 0.3 mm is not known. */
const LEAST_INFORMATION = 10;

/** How far what a face mirrors while it is seen edge-on may differ from what the die's faces mirror at large, a share, one standard deviation. */
export const GLARE_BELIEF = 0.3;

/** What the segments beside one face say together: of its glare, and of its crown once that is taken out. */
export interface Glare {
  readonly change: number;
  /** How the glare follows the crown, 1 / mm. */
  readonly byCrown: number;
  readonly crown: { readonly information: number; readonly gradient: number };
}

/** What some segments say of light and crowns, summed by the face that they graze. */
export function sumsByFace(e: CrownLight, segments: readonly number[]): ReadonlyMap<number, Float64Array> {
  const sums = new Map<number, Float64Array>();
  for (const k of segments) {
    const face = e.face[k]!;
    if (face < 0) continue;
    let s = sums.get(face);
    if (!s) sums.set(face, (s = new Float64Array(CROWN_SUMS)));
    for (let c = 0; c < CROWN_SUMS; c++) s[c]! += e.sums[CROWN_SUMS * k + c]!;
  }
  return sums;
}

function glaresOf(e: CrownLight, good: readonly number[], glare: Float64Array | undefined): Map<number, Glare> {
  return new Map(
    [...sumsByFace(e, good)].map(([face, [bb, bg, gg, b, pull]]) => {
      const w = gg! + 1 / GLARE_BELIEF ** 2;
      const g = pull! - (glare?.[face] ?? 0) / GLARE_BELIEF ** 2;
      return [
        face,
        { change: g / w, byCrown: -bg! / w, crown: { information: bb! - bg! ** 2 / w, gradient: b! - (bg! * g) / w } },
      ];
    }),
  );
}

/** A face's glare never changes by more than this in one round. */
const GLARE_STEP = 0.2;

/** What the photo's grazing faces mirror, after a look at them; the belief holds it near what all faces mirror. */
export function movedGlare(glare: Float64Array | undefined, e: EdgeSet, faces: number): Float64Array {
  const out = glare?.slice() ?? new Float64Array(faces);
  if (!e.crowns) return out;
  for (const [face, { change }] of glaresOf(e.crowns, tellingSegments(e), glare)) {
    out[face] = Math.max(-0.8, Math.min(0.8, out[face]! + Math.max(-GLARE_STEP, Math.min(GLARE_STEP, change))));
  }
  return out;
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
  const [sharpening, low, high] = tuple(choleskySolve(l, 3, g), 3);
  return { sharpening, weight: 1 / choleskySolve(l, 3, [1, 0, 0])[0]!, low, high };
}

export function movedBlur(blur: Blur, step: LookStep): Blur {
  const limit = (v: number): number => Math.max(-BLUR_LIMITS.step, Math.min(BLUR_LIMITS.step, v));
  const clamp = (v: number): number => Math.max(BLUR_LIMITS.least, Math.min(BLUR_LIMITS.most, v));
  return { low: clamp(blur.low + limit(step.low)), high: clamp(blur.high + limit(step.high)), top: blur.top };
}
