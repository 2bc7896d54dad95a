import type { Rigid } from '../geometry/camera.ts';
import { areaOf } from '../geometry/polygon.ts';
import { balls, type DieSolid } from '../geometry/solid.ts';
import { cardFromBody, uprightTurn } from '../geometry/standing.ts';
import { composed } from '../geometry/camera.ts';
import { trueShot, type CardView } from '../fit/pose.ts';
import { foundPose, poseShape, type FoundPose, type PoseShape } from '../fit/pose-search.ts';
import type { Crop } from '../vision/picture.ts';
import type { Region } from '../vision/region.ts';
import { ofBetterOutline, roughOutline } from '../vision/rough-outline.ts';
import type { DieInPhoto } from './face-picture.ts';

const shapes = new WeakMap<DieSolid, PoseShape>();
function shapeOf(solid: DieSolid): PoseShape {
  let shape = shapes.get(solid);
  if (!shape) shapes.set(solid, (shape = poseShape(solid)));
  return shape;
}

/** The true die of a kind that fits a photo's rough outline best: any face up, any turn. Which of its faces is up stays open. */
export function diePose(solid: DieSolid, view: CardView, region: Region, crop: Crop): FoundPose {
  const { fit, spare } = ofBetterOutline(region, (r) => {
    const outline = roughOutline(r, crop);
    return foundPose(shapeOf(solid), view, outline, areaOf(outline.xy), centreOfArea(outline.xy));
  });
  return spare ? { ...fit, spare: true } : fit;
}

/** Body to card of a pose that {@link diePose} found: with the solid's first face up (d4: down). */
export function cardFromTrueDie(solid: DieSolid, { pose }: Pick<FoundPose, 'pose'>): Rigid {
  return cardFromBody(uprightTurn(solid, trueShot(solid)), pose, pose.size);
}

/** The die of a coarse pose as {@link facePictures} wants it, with its first face up (d4: down). */
export function coarseDie(solid: DieSolid, view: CardView, crop: Crop, found: FoundPose, photo: number): DieInPhoto {
  const { size, radius } = found.pose;
  const distances = new Float64Array(solid.labels.length).fill(size);
  return {
    crop,
    camera: view.camera,
    cameraFromBody: composed(view.cameraFromCard, cardFromTrueDie(solid, found)),
    solid,
    body: balls(solid, distances, new Float64Array(solid.corners.length).fill(radius)),
    distances,
    photo,
  };
}

/** Centre of the area inside a closed outline, px. */
function centreOfArea(xy: ArrayLike<number>): [number, number] {
  let [sum, x, y] = [0, 0, 0];
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    const w = xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
    sum += w;
    x += w * (xy[i]! + xy[j]!);
    y += w * (xy[i + 1]! + xy[j + 1]!);
  }
  return [x / (3 * sum), y / (3 * sum)];
}
