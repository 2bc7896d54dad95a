import type { Camera, Rigid } from '../geometry/camera.ts';
import type { Balls, DieSolid } from '../geometry/solid.ts';
import { FACE_SIZE, facePicture, type DieInPhoto, type FacePicture } from '../faces/face-picture.ts';
import type { Crop } from '../vision/picture.ts';

export const VIEWS = {
  /** Cosine of slant from which a face is looked at for marks: further away its pixels melt into one another. */
  slant: 0.4,
  /** Least and most pixels per side of a straightened picture; between, one of them is one of the photo's. */
  size: [96, 224],
} as const;

/** The measured die in one photo. */
export interface MeasuredView {
  readonly crop: Crop;
  readonly camera: Camera;
  readonly cameraFromBody: Rigid;
}

/**
 * All that the photos show of each face, straightened with the measured shape and pose: per face of the solid its views, all of one size.
 *
 * @param distances  Of the faces, mm.
 */
export function faceViews(
  solid: DieSolid,
  body: Balls,
  distances: ArrayLike<number>,
  views: readonly MeasuredView[],
): FacePicture[][] {
  const dice = views.map((view, photo): DieInPhoto => ({ ...view, solid, body, distances, photo }));
  const size = sizeFor(dice);
  return solid.labels.map((_, face) => dice.flatMap((die) => facePicture(die, face, size, VIEWS.slant) ?? []));
}

/** Pixels per side at which a straightened pixel is one of the photo's, seen straight on, in the photo that shows most. */
function sizeFor(dice: readonly DieInPhoto[]): number {
  const most = Math.max(
    ...dice.flatMap((die) => die.solid.labels.map((_, face) => facePicture(die, face, FACE_SIZE, 0.8)?.photoPx[1] ?? 0)),
  );
  const [low, high] = VIEWS.size;
  return Math.round(Math.min(high, Math.max(low, FACE_SIZE * most)));
}
