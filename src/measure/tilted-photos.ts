import { bodyOf, seenIn, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { freePose } from '../fit/free-pose.ts';
import { moved, turned, viewingRay } from '../geometry/camera.ts';
import { baseFace } from '../geometry/standing.ts';
import { dot, vec3At, type Vec3 } from '../geometry/vec.ts';
import type { MeasuredView } from '../marks/face-views.ts';
import type { Crop } from '../vision/picture.ts';
import { degrees } from '../units.ts';
import type { CoarseStand } from './coarse.ts';

/**
 * A photo that does not agree with the others because the die does not lie flat in it: a mark under it tilts it. Its faces are as good to look
 * at as any other's once it is known how the die lies, and how far the mark lifts its face tells the mark's height.
 */
export interface TiltedView extends MeasuredView {
  /** The face that the die lies on. */
  readonly base: number;
  /** Height over the card of a place on the die, body frame, mm: the die's lowest place lies on the card. */
  readonly heightOf: (place: Vec3) => number;
}

/**
 * Tilt from which a die lies on something, degrees: a rough outline tells 0.2. More than the most is no mark, but a wrong number. `misfit` of the
 * rough outline's rays to the tilted die, mm: a mark in sight may add a tenth.
 */
export const TILT = { least: 0.5, most: 4, misfit: 0.2, rays: 120 } as const;

/** How the die lies in a photo that was left out, of known shape but freely placed; null where it lies flat, or as no mark would make it lie. */
export function tiltedView(
  shape: DieState,
  photo: FitPhoto,
  crop: Crop,
  { stand, outline }: CoarseStand,
): TiltedView | null {
  const flat = seenIn({ ...shape, stands: [stand] }, photo, 0).cameraFromBody;
  const n = outline.sigma.length;
  const count = Math.min(n, TILT.rays);
  const rays = new Float64Array(3 * count);
  for (let k = 0; k < count; k++) {
    const i = Math.floor((k * n) / count);
    rays.set(viewingRay(photo.camera, outline.xy[2 * i]!, outline.xy[2 * i + 1]!), 3 * k);
  }
  const { cameraFromBody, misfit } = freePose({ ...shape, stands: [] }, flat, rays);
  const base = baseFace(shape.solid, photo.shot.up);
  const { rotation: c, shift } = photo.cameraFromCard;
  const up: Vec3 = [c[2]!, c[5]!, c[8]!];
  const down = turned(cameraFromBody.rotation, vec3At(shape.solid.normals, base));
  const tilt = degrees(Math.acos(Math.min(1, -dot(down, up))));
  if (misfit > TILT.misfit || tilt < TILT.least || tilt > TILT.most) return null;
  const over = (place: Vec3): number => {
    const p = moved(cameraFromBody, place);
    return dot(up, [p[0] - shift[0], p[1] - shift[1], p[2] - shift[2]]);
  };
  const body = bodyOf(shape);
  const lowest = Math.min(...Array.from(body.radii, (r, b) => over(vec3At(body.centres, b)) - r));
  return { crop, camera: photo.camera, cameraFromBody, base, heightOf: (place) => over(place) - lowest };
}
