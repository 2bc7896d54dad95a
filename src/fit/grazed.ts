import { byAxis, dot, vec3At } from '../geometry/vec.ts';
import { turned } from '../geometry/camera.ts';
import { seenIn, type DieState, type FitPhoto } from './die-state.ts';

/** A face seen within this of edge-on shows its crown, radians: the rim's slope of a crown of 0.08 on a half-width of 7 mm. */
export const GRAZED = 0.023;

/** Angle by which the camera stands over each face's plane, seen from the face's middle, radians; negative behind it. */
export function elevations(state: DieState, photo: FitPhoto, i: number): number[] {
  const { rotation, shift } = seenIn(state, photo, i).cameraFromBody;
  return state.solid.labels.map((_, f) => {
    const n = turned(rotation, vec3At(state.solid.normals, f));
    const middle = byAxis((k) => n[k] * state.distances[f]! + shift[k]);
    return -Math.asin(dot(n, middle) / Math.hypot(...middle));
  });
}

/** Which faces some photo sees edge-on. */
export const grazedFaces = (state: DieState, photos: readonly FitPhoto[]): boolean[] => {
  const all = photos.map((p, i) => elevations(state, p, i));
  return state.solid.labels.map((_, f) => all.some((e) => Math.abs(e[f]!) < GRAZED));
};
