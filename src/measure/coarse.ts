import { turnedBack, viewingRay } from '../geometry/camera.ts';
import type { Outline } from '../geometry/outline.ts';
import { middleOf } from '../geometry/polygon.ts';
import { baseFace, type Stand } from '../geometry/standing.ts';
import { dot, vec3At } from '../geometry/vec.ts';
import { circumradius, type DieSolid } from '../geometry/solid.ts';
import { fitDie } from '../fit/die-fit.ts';
import { turnsOf } from '../geometry/symmetry.ts';
import type { DieState, FitPhoto } from '../fit/die-state.ts';
import { photoRows } from '../fit/photo-rows.ts';
import { CUT } from '../fit/normal-equations.ts';
import { NO_TAU } from '../fit/stretches.ts';
import { median } from '../maths/linear.ts';
import type { Crop } from '../vision/picture.ts';
import type { Region } from '../vision/region.ts';
import { ofBetterOutline, roughOutline } from '../vision/rough-outline.ts';

/** The turns from which the yaw is searched, and what is believed of size and rounding. */
export const COARSE = {
  /** Turns from which the yaw is searched, shares of half the turn from one front to the next, and the steps from each. */
  turns: [0, 1 / 3, -1 / 3, 2 / 3, -2 / 3, 1],
  searchSteps: 5,
  smaller: 0.88,
  /** How far past half the way to the next front a die may be turned where that is another die to look at, rad. */
  pastHalf: 0.12,
  /** So many of them are followed further, by so many steps. */
  followed: 3,
  steps: 14,
  radiusShare: 0.06,
  cut: 2.5,
} as const;

/** First guess of one photo: where the die stands, how large it is, and how well its rough outline agrees. */
export interface CoarseStand {
  readonly stand: Stand;
  /** Common face distance, mm. */
  readonly distance: number;
  /** Median distance of the rough outline from the fitted die, in shares of the die's width. */
  readonly misfit: number;
  readonly outline: Outline;
}

/** The die as a true solid of one size. */
export function trueDie(solid: DieSolid, distance: number, stands: readonly Stand[]): DieState {
  return {
    solid,
    distances: new Float64Array(solid.labels.length).fill(distance),
    radii: new Float64Array(solid.corners.length).fill(COARSE.radiusShare * distance),
    stands,
  };
}

/**
 * A rough outline that makes corners sharper than this share of the distance has lost edges inwards, as on a pale or patterned die (0.001 on swirls
 * of the stage's shade; ten other sets 0.03 to 0.12): its radius is no start, and from it two photos found no way back.
 */
const SHARPEST = 0.02;

/** The die as rough outlines show it, all of one size and rounding. */
export function roughState(solid: DieSolid, photos: readonly FitPhoto[], coarse: readonly CoarseStand[]): DieState {
  const start = trueDie(
    solid,
    median(coarse.map((c) => c.distance)),
    coarse.map((c) => c.stand),
  );
  const outlines = coarse.map((c) => c.outline);
  const options = { prior: { face: 10, radius: 10 }, steps: 12, cut: CUT, tau: NO_TAU };
  const { state } = fitDie(start, photos, outlines, { ...options, free: 'size', leastRadius: SHARPEST });
  const sharp = state.radii[0]! < SHARPEST * state.distances[0]!;
  return sharp ? fitDie(start, photos, outlines, { ...options, free: 'scale' }).state : state;
}

/**
 * Half the turn from the said front to the next that could be said instead, rad, and whether a whole one makes the true die the same.
 *
 * Where fewer than three faces slant as the front does, as on a d10, fronts are about as far apart as a d10's kites round its belt.
 */
function frontRange(solid: DieSolid, { up, front }: FitPhoto['shot']): { half: number; same: boolean } {
  const base = baseFace(solid, up);
  const down = vec3At(solid.normals, base);
  const slant = (f: number): number => dot(vec3At(solid.normals, f), down);
  const own = slant(solid.labels.indexOf(front));
  const alike = solid.labels.filter((_, f) => Math.abs(slant(f) - own) < 1e-6).length;
  // Turns that leave a face where it is are those about the upright.
  const order = turnsOf(solid).filter((turn) => turn.faces[base] === base).length;
  return { half: Math.PI / (alike < 3 ? 5 : alike), same: alike === order };
}

/** Whether a front that is turned by `yaw`, rad, can be meant as the one in front. */
export const isInFront = (solid: DieSolid, shot: FitPhoto['shot'], yaw: number): boolean =>
  Math.abs(yaw) < frontRange(solid, shot).half + COARSE.pastHalf;

/** Fits size, place and turn of a true die to the rough outline of one photo. */
export const coarseStand = (solid: DieSolid, photo: FitPhoto, region: Region, crop: Crop): CoarseStand =>
  ofBetterOutline(region, (r) => standOn(solid, photo, r, crop)).fit;

function standOn(solid: DieSolid, photo: FitPhoto, region: Region, crop: Crop): CoarseStand {
  const outline = roughOutline(region, crop);
  const [u, v] = middleOf(region.outline);
  const width = Math.sqrt(region.area);
  const { rotation, shift } = photo.cameraFromCard;
  const ray = turnedBack(rotation, viewingRay(photo.camera, u, v));
  const eye = turnedBack(rotation, [-shift[0], -shift[1], -shift[2]]);
  // Width in mm at the card, then the point where the ray passes half the die's height.
  const size = (width * Math.hypot(...shift)) / photo.camera.f / 1.9;
  const height = solid.kind === 'd4' ? size * 0.5 : size / Math.max(1, circumradius(solid) / 1.3);
  const t = (height - eye[2]) / ray[2];
  const range = frontRange(solid, photo.shot);
  const first: Tried = {
    stand: { x: eye[0] + t * ray[0], y: eye[1] + t * ray[1], yaw: 0 },
    distance: height,
    cost: Infinity,
  };
  const few = thinned(outline);
  const best = bestTurn(first, range, (start, sought, steps) => {
    const fit = fitDie(trueDie(solid, start.distance, [start.stand]), [photo], [sought ? few : outline], {
      prior: { face: 10, radius: 10 },
      free: 'size',
      steps,
      cut: COARSE.cut,
      tau: NO_TAU,
    });
    const distance = fit.state.distances[0]!;
    return {
      stand: fit.state.stands[0]!,
      distance,
      cost: distance > 0.3 * height ? fit.cost : Infinity,
      state: fit.state,
    };
  });
  const { residual } = best.state ? photoRows(best.state, photo, 0, outline, false) : { residual: [Infinity] };
  return { stand: best.stand, distance: best.distance, misfit: median(residual.map(Math.abs)) / width, outline };
}

/** A stand that was tried, and what it costs. */
interface Tried {
  readonly stand: Stand;
  readonly distance: number;
  readonly cost: number;
  readonly state?: DieState;
}

/**
 * The best of all turns between one front and the next: from above a die turned by half of that looks much the same, but for perspective,
 * and others are local minima. `fit` takes a start, whether it is one of many, and the most steps.
 */
function bestTurn(
  first: Tried,
  { half, same }: ReturnType<typeof frontRange>,
  fit: (start: Tried, sought: boolean, steps: number) => Tried,
): Tried {
  const tried: Tried[] = [];
  let from = first;
  for (const share of COARSE.turns) {
    const turned = { ...from, stand: { ...from.stand, yaw: share * half } };
    let at = fit(turned, true, COARSE.searchSteps);
    // A first step that was too long turns a die inside out; from a smaller one it is not.
    if (at.cost === Infinity)
      at = fit({ ...turned, distance: COARSE.smaller * from.distance }, true, COARSE.searchSteps);
    tried.push(at);
    if (at.cost < from.cost) from = at;
  }
  tried.sort((a, b) => a.cost - b.cost);
  let best = first;
  const apart = (a: Tried, b: Tried): boolean =>
    Math.abs(Math.sin((Math.PI * (a.stand.yaw - b.stand.yaw)) / (2 * half))) > 0.2;
  const chosen: Tried[] = [];
  for (const at of tried) if (chosen.length < COARSE.followed && chosen.every((c) => apart(c, at))) chosen.push(at);
  for (const at of chosen) {
    const to = fit(at, false, COARSE.steps);
    if (to.cost < best.cost && (same || Math.abs(to.stand.yaw) < half + COARSE.pastHalf)) best = to;
  }
  if (!same) return best;
  // A whole turn from front to front is the same true die: what was said to be in front is the nearer one.
  const yaw = best.stand.yaw - 2 * half * Math.round(best.stand.yaw / (2 * half));
  const stand = { ...best.stand, yaw };
  return { ...best, stand, ...(best.state ? { state: { ...best.state, stands: [stand] } } : {}) };
}

/** Every other point of an outline. */
const thinned = ({ xy, normal, sigma, ...rest }: Outline): Outline => ({
  ...rest,
  xy: halved(xy, 2),
  normal: halved(normal, 2),
  sigma: halved(sigma, 1),
});

/** Every other of the rows of `k` numbers. */
function halved(v: Float64Array, k: number): Float64Array {
  const out = new Float64Array(k * Math.ceil(v.length / (2 * k)));
  for (let i = 0; i < out.length; i++) out[i] = v[2 * k * Math.floor(i / k) + (i % k)]!;
  return out;
}
