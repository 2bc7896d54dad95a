import type { Rigid } from '../geometry/camera.ts';
import { turnedNormals } from '../geometry/solid.ts';
import { dot, type Vec3 } from '../geometry/vec.ts';
import { seenIn, type DieState, type FitPhoto } from './die-state.ts';

/** A face seen within this of edge-on shows its crown, radians: the rim's slope of a crown of 0.08 on a half-width of 7 mm. */
export const GRAZED = 0.023;

/** Angle by which the camera stands over each face's plane, seen from the face's middle, radians; negative behind it. */
export const elevations = (state: DieState, photo: FitPhoto, i: number): number[] =>
  elevationsFrom(state, seenIn(state, photo, i).cameraFromBody);

/** The same of a die that lies so before the camera. */
export function elevationsFrom(state: DieState, { rotation, shift }: Rigid): number[] {
  const out: number[] = [];
  for (const [f, n] of turnedNormals(rotation, state.solid).entries()) {
    const d = state.distances[f]!;
    const middle: Vec3 = [n[0] * d + shift[0], n[1] * d + shift[1], n[2] * d + shift[2]];
    out.push(-Math.asin(Math.max(-1, Math.min(1, dot(n, middle) / Math.hypot(...middle)))));
  }
  return out;
}

/** Which faces some photo sees edge-on. */
export const grazedFaces = (state: DieState, photos: readonly FitPhoto[]): boolean[] => {
  const all = photos.map((p, i) => elevations(state, p, i));
  return state.solid.labels.map((_, f) => all.some((e) => Math.abs(e[f]!) < GRAZED));
};
