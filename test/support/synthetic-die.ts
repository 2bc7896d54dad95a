import { seenIn, type DieState, type FitPhoto } from '../../src/fit/die-state.ts';
import { photoRows } from '../../src/fit/photo-rows.ts';
import type { Camera } from '../../src/geometry/camera.ts';
import { outlineOf, type Outline } from '../../src/geometry/outline.ts';
import { circumradius, dieSolid, type DieKind } from '../../src/geometry/solid.ts';
import { seededNormal, seededRandom, type Random } from '../../src/maths/random.ts';
import { usualShots } from '../../src/formats/job.ts';
import { poseOver } from './render-card.ts';

export const CAMERA: Camera = { f: 3000, cx: 1510.3, cy: 1120.7, k1: 0.02, k2: -0.03 };

/** How far faces and corners of an uneven die depart from their mean, mm, one standard deviation. */
const UNEVEN = { face: 0.06, radius: 0.08 };

/** A die of about 16 mm across whose faces and corners differ, standing upright once on each axis; every camera leans otherwise. */
export function unevenDie(kind: DieKind, seed: number, count?: number): { truth: DieState; photos: FitPhoto[] } {
  const solid = dieSolid(kind);
  const random = seededRandom(seed);
  const normal = seededNormal(random);
  const shots = usualShots(kind).slice(0, count);
  const inradius = 11 / circumradius(solid);
  const radius = 0.07 * inradius + 0.25;
  const truth: DieState = {
    solid,
    distances: Float64Array.from(solid.labels, () => inradius + UNEVEN.face * normal()),
    radii: Float64Array.from(solid.corners, () => radius + UNEVEN.radius * (2 * random() - 1)),
    stands: shots.map(() => ({ x: 4 * random() - 2, y: 4 * random() - 2, yaw: 0.3 * (2 * random() - 1) })),
  };
  return { truth: centred(truth), photos: shots.map((shot, i) => photoOf(shot, i, random)) };
}

function photoOf(shot: FitPhoto['shot'], i: number, random: Random): FitPhoto {
  const cameraFromCard = poseOver(10 + 6 * (i % 3) + 3 * random(), 360 * random(), 20 * random(), 240 + 20 * random());
  return { camera: CAMERA, cameraFromCard, shot };
}

/** The same die with the body's origin where a fit ties it: the sum of normals times distances is nothing. */
export function centred(state: DieState): DieState {
  const { normals, labels } = state.solid;
  const n = labels.length;
  let distances = state.distances;
  // For the sets of normals in use, the sum of n n' is n/3 times the unit matrix, or nearly; a few rounds settle the rest.
  for (let round = 0; round < 40; round++) {
    const off = [0, 1, 2].map((a) => distances.reduce((s, d, f) => s + d * normals[3 * f + a]!, 0) * (3 / n));
    distances = distances.map((d, f) => d - 0.5 * [0, 1, 2].reduce((s, a) => s + off[a]! * normals[3 * f + a]!, 0));
  }
  return { ...state, distances };
}

/** Points of a die's exact outline, about `step` px apart, each with the same sigma. */
export function exactOutline(state: DieState, photo: FitPhoto, i: number, step: number, sigma = 0.05): Outline {
  const { count, xy, normal } = outlineOf(seenIn(state, photo, i), photo.camera, step);
  let outline: Outline = {
    xy,
    normal,
    sigma: new Float64Array(count).fill(sigma),
    byTerm: new Float64Array(0),
    terms: 0,
  };
  for (let round = 0; round < 3; round++) {
    const { residual } = photoRows(state, photo, i, outline, false);
    outline = { ...outline, xy: outline.xy.map((v, k) => v - residual[k >> 1]! * normal[k]!) };
  }
  return outline;
}

/** The outline with each point moved along its normal. */
export const shifted = (outline: Outline, by: (point: number) => number): Outline => {
  const moves = Float64Array.from(outline.sigma, (_, k) => by(k));
  return { ...outline, xy: outline.xy.map((v, k) => v + moves[k >> 1]! * outline.normal[k]!) };
};
