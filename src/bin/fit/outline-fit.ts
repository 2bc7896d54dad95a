import type { Outline } from '../../geometry/outline.ts';
import { fitTruePose, ROUNDING_BELIEF, type PoseFit } from '../../fit/pose-fit.ts';
import { outlineRays, type CardView, type TruePose } from '../../fit/pose.ts';
import type { PoseShape } from '../../fit/pose-search.ts';
import { faceShares, type FaceShares } from './face-shares.ts';
import { unevenFit, type UnevenFit } from './uneven.ts';

export const OUTLINE_FIT = {
  /**
   * Offset that a stretch of outline has of its own, px: in the open, low over the card (its shadow), and at a corner. Twice what the
   * measurement of one die finds, as the edges here are read more cheaply.
   */
  tau: { open: 0.1, low: 0.3, corner: 0.2 },
  /** A contact is low below this share of the die's width. */
  low: 0.1,
  /** Bounds of the belief in a face's straying: mm, and share of the size. */
  leastFace: 0.006,
  mostFace: 0.03,
  /** Rounding: how surely it is like what the true die shows, share of the size. */
  radius: 0.05,
  /** Points that the uneven die leaves so many sigmas off, and px, are no outline. */
  outlier: 6,
  outlierPx: 2,
  /** Departure from which a die is out of round; straying believed then; and how surely its rounding is the usual one. Shares of the size. */
  strays: 0.0025,
  believed: 0.005,
  radiusStray: 0.01,
  steps: 6,
} as const;

/** All that one outline says of one die. */
export interface DieOutline {
  /** The true die nearest to it. */
  readonly fit: PoseFit;
  readonly uneven: UnevenFit;
  readonly shares: FaceShares;
  /** 1 where the point belongs to the outline. */
  readonly good: Uint8Array;
  /** Mean face distance and corner radius with their standard uncertainties, mm. */
  readonly size: number;
  readonly sizeU: number;
  readonly radius: number;
  readonly radiusU: number;
  /** Departure of the outline from the nearest pose of the true die: root mean square along it, noise taken off; and its u. mm. */
  readonly departure: number;
  readonly departureU: number;
  /** mm per px at the die. */
  readonly scale: number;
  /** Of each point along its normal, px. */
  readonly sigma: Float64Array;
}

/** Fits a true die and then one whose faces stray to measured edge points. Null where they determine nothing. */
export function outlineFit(shape: PoseShape, view: CardView, outline: Outline, start: TruePose): DieOutline | null {
  const { solid, vertices } = shape;
  const rays = outlineRays(view.camera, outline);
  let good: Uint8Array = new Uint8Array(outline.sigma.length).fill(1);
  let out: DieOutline | null = null;
  let near = fitTruePose(vertices, view, rays, outline.sigma, start, { steps: OUTLINE_FIT.steps, cut: 1e4 });
  for (let round = 0; round < 2; round++) {
    const sigma = stretchSigma(near, faceShares(solid, near.pose, near.rows), outline.sigma, good);
    const fit = fitTruePose(vertices, view, rays, sigma, near.pose, { steps: 2, cut: 1e4 }, near.rows);
    const shares = faceShares(solid, fit.pose, fit.rows);
    const rms = rmsOf(fit, sigma);
    const size = fit.pose.size;
    const uneven = unevenFit(solid, fit.pose, fit.rows, shares, sigma, {
      face: Math.max(OUTLINE_FIT.leastFace, Math.min(OUTLINE_FIT.mostFace * size, 2 * rms)),
      radius: Math.max(0.01 * size, Math.min(0.2 * size, fit.pose.radius)),
      radiusSd: OUTLINE_FIT.radius * size,
    });
    if (!uneven) return null;
    const kept = goodPoints(fit, uneven, outline.sigma);
    const { size: mean, sizeU, radius, radiusU } = uneven;
    out = {
      fit,
      uneven,
      shares,
      good: kept,
      size: mean,
      sizeU,
      radius,
      radiusU,
      ...departureOf(fit, shares, sigma, kept),
      sigma,
    };
    const same = kept.every((v, k) => v === good[k]);
    good = kept;
    near = fit;
    if (same) break;
  }
  return out && outOfRound(shape, view, outline, out);
}

/**
 * Size and rounding of a die whose faces stray far: about the true die of usual rounding, as a free radius takes what the faces should.
 *
 * The straying that is believed is small on purpose: with more of it the outline is followed ever better, and the faces that one photo
 * does not show are guessed ever worse.
 */
function outOfRound({ solid, vertices }: PoseShape, view: CardView, outline: Outline, out: DieOutline): DieOutline {
  const { size } = out.fit.pose;
  if (out.departure < OUTLINE_FIT.strays * size) return out;
  const { share } = ROUNDING_BELIEF;
  const start = { ...out.fit.pose, radius: share * size };
  const rays = outlineRays(view.camera, outline);
  const usual = fitTruePose(vertices, view, rays, masked(outline.sigma, out.good), start, {
    steps: OUTLINE_FIT.steps,
    cut: 1e4,
    radius: { share, sd: 1e-4 },
  });
  const shares = faceShares(solid, usual.pose, usual.rows);
  const sigma = stretchSigma(usual, shares, outline.sigma, out.good);
  const uneven = unevenFit(solid, usual.pose, usual.rows, shares, sigma, {
    face: OUTLINE_FIT.believed * size,
    radius: share * size,
    radiusSd: OUTLINE_FIT.radiusStray * size,
  });
  if (!uneven) return out;
  // What strays moves a corner as much as its rounding does.
  const radiusU = Math.hypot(uneven.radiusU, out.departure);
  return { ...out, shares, size: uneven.size, sizeU: uneven.sizeU, radius: uneven.radius, radiusU };
}

/** A point that does not count. */
const NOTHING = 1e6;
const masked = (sigma: Float64Array, good: Uint8Array): Float64Array => sigma.map((s, k) => (good[k] ? s : NOTHING));

/** Sigma per point that gives each stretch no more weight than its own offset allows. */
function stretchSigma(
  { pose, rows }: PoseFit,
  { stretch, onEdge }: FaceShares,
  sigma: Float64Array,
  good: Uint8Array,
): Float64Array {
  const counts = new Map<number, number>();
  for (let k = 0; k < sigma.length; k++) if (good[k]) counts.set(stretch[k]!, (counts.get(stretch[k]!) ?? 0) + 1);
  const { tau, low } = OUTLINE_FIT;
  return sigma.map((s, k) => {
    if (!good[k]) return NOTHING;
    const own = rows.height[k]! < 2 * low * pose.size ? tau.low : onEdge[k] ? tau.open : tau.corner;
    return Math.sqrt(s * s + counts.get(stretch[k]!)! * own * own);
  });
}

/** Root mean square of residuals, mm. */
function rmsOf({ rows }: PoseFit, sigma: Float64Array): number {
  let [sum, n] = [0, 0];
  for (let k = 0; k < sigma.length; k++) {
    if (sigma[k]! >= NOTHING) continue;
    sum += (rows.residual[k]! * rows.scale[k]!) ** 2;
    n++;
  }
  return Math.sqrt(sum / Math.max(1, n));
}

function goodPoints({ rows }: PoseFit, { moved }: UnevenFit, sigma: Float64Array): Uint8Array {
  const left = sigma.map((_, k) => Math.abs(rows.residual[k]! - moved[k]!));
  return Uint8Array.from(left, (v, k) =>
    v < Math.max(OUTLINE_FIT.outlierPx, OUTLINE_FIT.outlier * sigma[k]!) ? 1 : 0,
  );
}

/** Share of a departure that the straight comparison may be wrong by: points taken for outliers, curves taken as straight. */
const MODEL = 0.08;
/** Stretches that a departure's own doubt counts at least. */
const STRETCHES = 4;

function departureOf(
  { pose, rows }: PoseFit,
  { stretch, onEdge }: FaceShares,
  sigma: Float64Array,
  good: Uint8Array,
): { departure: number; departureU: number; scale: number } {
  const { tau, low } = OUTLINE_FIT;
  let [sum, own, scale, n, rough, pairs] = [0, 0, 0, 0, 0, 0];
  const seen = new Set<number>();
  let last = -1;
  for (let k = 0; k < sigma.length; k++) {
    if (!good[k]) continue;
    const r = rows.residual[k]! * rows.scale[k]!;
    const t = rows.height[k]! < 2 * low * pose.size ? tau.low : onEdge[k] ? tau.open : tau.corner;
    sum += r * r;
    own += (t * rows.scale[k]!) ** 2;
    scale += rows.scale[k]!;
    n++;
    seen.add(stretch[k]!);
    // Neighbours of one stretch differ by their noise alone.
    if (last >= 0 && stretch[last] === stretch[k]) {
      rough += (r - rows.residual[last]! * rows.scale[last]!) ** 2 / 2;
      pairs++;
    }
    last = k;
  }
  const count = Math.max(1, n);
  const noise = pairs > 0 ? rough / pairs : 0;
  const square = sum / count - noise;
  const floor = own / count;
  const departure = Math.sqrt(Math.max(0, square - floor));
  // Offsets of the stretches' own move the root by their share; near nothing the floor itself is the doubt.
  const freedom = Math.max(STRETCHES, seen.size - 4);
  const u = Math.hypot(Math.sqrt(floor / freedom) * (1 + 1 / (1 + departure / Math.sqrt(floor))), MODEL * departure);
  return { departure, departureU: u, scale: scale / count };
}
