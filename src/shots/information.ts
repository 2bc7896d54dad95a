import { product, rotationOf, type Camera, type Rigid } from '../geometry/camera.ts';
import { outlineOf, type Outline } from '../geometry/outline.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { baseFace, seenDie, uprightTurn, cardFromBody, type Shot } from '../geometry/standing.ts';
import { byAxis, dot, vec3At, type Vec3 } from '../geometry/vec.ts';
import { choleskySolve, cholesky } from '../maths/linear.ts';
import { bodyOf, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { CUT, normalOf } from '../fit/normal-equations.ts';
import type { Tau } from '../fit/stretches.ts';

/** A photo to be taken: what is up and in front, how far the camera leans towards the reader, how far the die is turned. */
export interface PlannedShot extends Shot {
  /** Lean of the camera from straight above, towards the card's lower edge, radians. */
  readonly lean: number;
  /** Turn of the die from facing straight to the card's lower edge, counter-clockwise from above, radians. */
  readonly turn: number;
  /** The face that it sees edge-on, where that is what it is for: the camera sweeps through this lean. */
  readonly grazes?: string;
}

/** The camera a plan is made for. */
export interface PhotoSetting {
  /** px. */
  readonly width: number;
  readonly height: number;
  /** Focal length, px. */
  readonly focal: number;
  /** From the camera to the middle of the stage, mm. */
  readonly distance: number;
}

/**
 * A telephone's main camera, 12 megapixels, equivalent to 26 mm on 35 mm film (common practice), from where the card with a margin
 * fills the frame.
 */
export const USUAL_SETTING: PhotoSetting = { width: 4032, height: 3024, focal: 3040, distance: 230 };

/** What a point of an outline is believed to be worth before any is measured. */
export interface EdgeNoise {
  /** Points stand so far apart along the outline, px. */
  readonly every: number;
  /** Standard uncertainty of one, px. */
  readonly sigma: number;
  /** Of the stretches' own offsets, px. */
  readonly tau: Tau;
}

/**
 * What photos show: medians over their points 0.09 to 0.19 px for segments of four; stretches in the open 0.006 to 0.045 px at the usual
 * strain of the light beside them, low over the card 0.1 to 0.2 px.
 */
export const USUAL_NOISE: EdgeNoise = { every: 4, sigma: 0.12, tau: [0.024, 0.14, 0.08] };

/** What one photo will say of the shape, its own stand taken out. */
export interface ShotInformation {
  /** Information on faces and corners, n x n row-major, 1 / mm^2. */
  readonly matrix: Float64Array;
  /** Information times the movement of the shape by 1 px that all edges lie further out: 1 / mm. */
  readonly outward: Float64Array;
  /** Least angle by which a face is off being seen edge-on, radians. */
  readonly edgeOn: number;
}

/** Camera and card of a planned photo; the camera looks at the middle of the stage. */
export function plannedPhoto(shot: PlannedShot, setting: PhotoSetting): FitPhoto {
  const camera: Camera = {
    f: setting.focal,
    cx: (setting.width - 1) / 2,
    cy: (setting.height - 1) / 2,
    k1: 0,
    k2: 0,
  };
  // Half a turn about x looks straight down; the lean tilts on.
  const rotation = product(rotationOf([-shot.lean, 0, 0]), Float64Array.of(1, 0, 0, 0, -1, 0, 0, 0, -1));
  return { camera, cameraFromCard: { rotation, shift: [0, 0, setting.distance] }, shot };
}

/** The die alone as a state with one stand, as a planned photo shows it. */
export function plannedState(shape: DieState, turn: number): DieState {
  return { ...shape, stands: [{ x: 0, y: 0, yaw: turn }] };
}

/** Body to camera of a planned photo. */
export function plannedView(shape: DieState, shot: PlannedShot, setting: PhotoSetting): Rigid {
  const photo = plannedPhoto(shot, setting);
  const height = shape.distances[baseFace(shape.solid, shot.up)]!;
  const onCard = cardFromBody(uprightTurn(shape.solid, shot), { x: 0, y: 0, yaw: shot.turn }, height);
  return seenDie(bodyOf(shape), photo.cameraFromCard, onCard).cameraFromBody;
}

/** Priors of `normalOf` that weigh nothing. */
const NONE = { face: 1e6, radius: 1e6 } as const;
/** Movement of an outline by which its derivative is taken, px: far below the noise, far above rounding. */
const STEP = 1e-3;
/** Points are this many times rarer than measured ones, each so much surer: they stand close enough for a sum. */
const RARER = 2;

/**
 * What a planned photo will say, from the ideal outline that it will show.
 *
 * Each point's movement along its normal is linear in the faces and the corner it touches (see `photoRows`); the stretches' own offsets
 * and the die's place on the card are taken out.
 */
export function shotInformation(
  shape: DieState,
  shot: PlannedShot,
  setting: PhotoSetting = USUAL_SETTING,
  noise: EdgeNoise = USUAL_NOISE,
): ShotInformation {
  const photo = plannedPhoto(shot, setting);
  const state = plannedState(shape, shot.turn);
  const onCard = cardFromBody(
    uprightTurn(shape.solid, shot),
    state.stands[0]!,
    shape.distances[baseFace(shape.solid, shot.up)]!,
  );
  const die = seenDie(bodyOf(state), photo.cameraFromCard, onCard);
  const curve = outlineOf(die, photo.camera, RARER * noise.every);
  const sigma = new Float64Array(curve.count).fill(noise.sigma / Math.sqrt(RARER));
  const outline = (by: number): Outline => ({
    xy: by === 0 ? curve.xy : curve.xy.map((v, i) => v + by * curve.normal[i]!),
    normal: curve.normal,
    sigma,
    byTerm: new Float64Array(0),
    terms: 0,
  });
  const own = outlineInformation(state, photo, outline(0), noise.tau, outline(STEP));
  return { ...own, edgeOn: edgeOnAngle(shape.solid, die.cameraFromBody) };
}

/** The same for an outline that was measured; `further` is the outline moved out by {@link STEP}, where that is wanted. */
export function outlineInformation(
  state: DieState,
  photo: FitPhoto,
  outline: Outline,
  tau: Tau,
  further: Outline | null,
): Pick<ShotInformation, 'matrix' | 'outward'> {
  const here = normalOf(state, [photo], [outline], NONE, CUT, tau);
  const n = state.distances.length + state.radii.length;
  const gradient = new Float64Array(n + 3);
  if (further !== null) {
    const there = normalOf(state, [photo], [further], NONE, CUT, tau);
    for (let i = 0; i < n + 3; i++) gradient[i] = (there.g[i]! - here.g[i]!) / STEP;
  }
  return withoutStand(here.a, gradient, n);
}

/** Takes the last three parameters out of normal equations (Schur complement). */
function withoutStand(a: Float64Array, g: Float64Array, n: number): Pick<ShotInformation, 'matrix' | 'outward'> {
  const all = n + 3;
  const own = Float64Array.from({ length: 9 }, (_, i) => a[(n + Math.floor(i / 3)) * all + n + (i % 3)]!);
  const l = cholesky(own, 3, 0);
  const matrix = new Float64Array(n * n);
  const outward = g.slice(0, n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) matrix[i * n + j] = a[i * all + j]!;
  if (l === null) return { matrix, outward };
  for (let i = 0; i < n; i++) {
    const across = a.subarray(i * all + n, i * all + n + 3);
    if (across[0] === 0 && across[1] === 0 && across[2] === 0) continue;
    const w = choleskySolve(l, 3, across);
    outward[i]! -= w[0]! * g[n]! + w[1]! * g[n + 1]! + w[2]! * g[n + 2]!;
    for (let j = 0; j < n; j++)
      matrix[i * n + j]! -= w[0]! * a[j * all + n]! + w[1]! * a[j * all + n + 1]! + w[2]! * a[j * all + n + 2]!;
  }
  return { matrix, outward };
}

/** How far the face nearest to being seen edge-on is from that, radians. */
export function edgeOnAngle(solid: DieSolid, cameraFromBody: Rigid): number {
  const { rotation: r, shift } = cameraFromBody;
  // The die is small against its distance: one direction of view for all of it.
  const length = Math.hypot(...shift);
  const view: Vec3 = byAxis((k) => (r[k]! * shift[0] + r[3 + k]! * shift[1] + r[6 + k]! * shift[2]) / length);
  return Math.min(...solid.labels.map((_, f) => Math.asin(Math.min(1, Math.abs(dot(vec3At(solid.normals, f), view))))));
}
