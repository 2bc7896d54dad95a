import { turned, type Camera, type Rigid } from '../geometry/camera.ts';
import type { Balls, DieSolid } from '../geometry/solid.ts';
import { dot, vec3At } from '../geometry/vec.ts';
import { FACE_SIZE, facePicture, type DieInPhoto } from '../faces/face-picture.ts';
import type { Crop } from '../vision/picture.ts';
import { viewOf, type FaceView } from './face-departure.ts';

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

/** Which photos are looked at for which faces, and how large the faces are drawn. */
export interface ViewPlan {
  readonly dice: readonly DieInPhoto[];
  readonly size: number;
  /** Per face the photos that show it straightest, as indices of `dice`, the straightest first. */
  readonly photos: readonly (readonly number[])[];
}

/** @param distances  Of the faces, mm. */
export function viewPlan(
  solid: DieSolid,
  body: Balls,
  distances: ArrayLike<number>,
  views: readonly MeasuredView[],
): ViewPlan {
  const dice = views.map(({ crop, camera, cameraFromBody }, photo): DieInPhoto => ({
    ...{ crop, camera, cameraFromBody },
    ...{ solid, body, distances, photo },
  }));
  return { dice, size: sizeFor(dice), photos: solid.labels.map((_, face) => straightest(face, dice, solid)) };
}

/** Some faces of a die, straightened with its measured shape and pose, and what of each departs from an even surface; those that cannot be seen are left out. */
export const faceViews = (die: DieInPhoto, faces: readonly number[], size: number): FaceView[] =>
  faces.flatMap((face) => {
    const picture = facePicture(die, face, size, VIEWS.slant, 2);
    return picture ? [viewOf(picture)] : [];
  });

/** The photos that show a face straightest: more add little. */
function straightest(face: number, dice: readonly DieInPhoto[], solid: DieSolid): number[] {
  const normal = vec3At(solid.normals, face);
  const slants: number[] = [];
  for (const { cameraFromBody } of dice)
    slants.push(-dot(turned(cameraFromBody.rotation, normal), cameraFromBody.shift));
  const order = [...dice.keys()].sort((a, b) => slants[b]! - slants[a]!);
  return order.slice(0, VIEWS.most);
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
