import { turnedBack, viewingRay } from '../geometry/camera.ts';
import type { Outline } from '../geometry/outline.ts';
import { middleOf } from '../geometry/polygon.ts';
import type { Stand } from '../geometry/standing.ts';
import { circumradius, type DieSolid } from '../geometry/solid.ts';
import { fitDie } from '../fit/die-fit.ts';
import type { DieState, FitPhoto } from '../fit/die-state.ts';
import { photoRows } from '../fit/photo-rows.ts';
import { NO_TAU } from '../fit/stretches.ts';
import { median } from '../maths/linear.ts';
import type { Crop } from '../vision/picture.ts';
import type { Region } from '../vision/region.ts';
import { roughOutline } from '../vision/rough-outline.ts';

/** The turns from which the yaw is searched, and what is believed of size and rounding. */
export const COARSE = {
  yaws: [0, -0.14, 0.14, -0.28, 0.28],
  mostYaw: 0.5,
  radiusShare: 0.06,
  cut: 2.5,
  /** Cost per point from which a fit is good enough to try no other yaw. */
  good: 1,
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

/** Fits size, place and turn of a true die to the rough outline of one photo. */
export function coarseStand(solid: DieSolid, photo: FitPhoto, region: Region, crop: Crop): CoarseStand {
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
  let best: CoarseStand | null = null;
  let bestCost = Infinity;
  for (const yaw of COARSE.yaws) {
    const start = trueDie(solid, height, [{ x: eye[0] + t * ray[0], y: eye[1] + t * ray[1], yaw }]);
    const fit = fitDie(start, [photo], [outline], {
      prior: { face: 10, radius: 10 },
      free: 'size',
      steps: 14,
      cut: COARSE.cut,
      tau: NO_TAU,
    });
    // Beyond half the turn between faces it is another face that looks to the front.
    if (
      fit.cost >= bestCost ||
      Math.abs(fit.state.stands[0]!.yaw) > COARSE.mostYaw ||
      !(fit.state.distances[0]! > 0.3 * height)
    )
      continue;
    bestCost = fit.cost;
    const rows = photoRows(fit.state, photo, 0, outline, false);
    best = {
      stand: fit.state.stands[0]!,
      distance: fit.state.distances[0]!,
      misfit: median(rows.residual.map(Math.abs)) / width,
      outline,
    };
    if (bestCost < COARSE.good * outline.sigma.length) break;
  }
  return (
    best ?? {
      stand: { x: eye[0] + t * ray[0], y: eye[1] + t * ray[1], yaw: 0 },
      distance: height,
      misfit: Infinity,
      outline,
    }
  );
}
