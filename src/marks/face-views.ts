import { turned, type Camera, type Rigid } from '../geometry/camera.ts';
import type { Balls, DieSolid } from '../geometry/solid.ts';
import { dot, vec3At } from '../geometry/vec.ts';
import { FACE_SIZE, facePicture, type DieInPhoto, type FacePicture } from '../faces/face-picture.ts';
import type { Crop } from '../vision/picture.ts';

export const VIEWS = {
  /** Cosine of slant from which a face is looked at for marks: further away its pixels melt into one another. */
  slant: 0.4,
  /** Photos of one face that are looked at. */
  most: 3,
  /** Least and most pixels per side of a straightened picture; between, one of them is one of the photo's. */
  size: [96, 136],
} as const;

/** Pixels per side of pictures that only tell the scale. */
const SCALE_SIZE = 12;

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
  return solid.labels.map((_, face) =>
    straightest(face, dice, solid).flatMap((die) => facePicture(die, face, size, VIEWS.slant, 2) ?? []),
  );
}

/** The photos that show a face straightest: more add little. */
function straightest(face: number, dice: readonly DieInPhoto[], solid: DieSolid): DieInPhoto[] {
  const normal = vec3At(solid.normals, face);
  const slants: number[] = [];
  for (const { cameraFromBody } of dice)
    slants.push(-dot(turned(cameraFromBody.rotation, normal), cameraFromBody.shift));
  const order = [...dice.keys()].sort((a, b) => slants[b]! - slants[a]!);
  return order.slice(0, VIEWS.most).map((i) => dice[i]!);
}

/** Pixels per side at which a straightened pixel is one of the photo's, seen straight on, in the photo that shows most. */
function sizeFor(dice: readonly DieInPhoto[]): number {
  // A few photos tell the scale of all.
  const pxOf = (die: DieInPhoto): number[] =>
    die.solid.labels.map((_, face) => facePicture(die, face, SCALE_SIZE, 0.8, 1)?.photoPx[1] ?? 0);
  const most = (Math.max(0, ...dice.slice(0, 3).flatMap(pxOf)) * SCALE_SIZE) / FACE_SIZE;
  const [low, high] = VIEWS.size;
  return Math.round(Math.min(high, Math.max(low, FACE_SIZE * most)));
}
