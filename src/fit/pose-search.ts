import { turnedBack, viewingRay } from '../geometry/camera.ts';
import { convexHull, type Outline } from '../geometry/outline.ts';
import { areaOf } from '../geometry/polygon.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import { fitTruePose, poseRoom, ROUNDING_BELIEF, type PoseFit } from './pose-fit.ts';
import { outlineRays, uprightVertices, YAW_PERIOD, type CardView, type TruePose } from './pose.ts';

export const POSE_SEARCH = {
  /** Turns that are tried stand so far apart, radians, and so many points judge them. */
  apart: 0.22,
  points: 36,
  /** Sigma in the search, in shares of the outline's width: wide enough to draw a turn in from the next one tried. */
  sigma: 0.012,
  /** Steps of each try, tries that are followed to the end, and steps there. */
  steps: 4,
  followed: 3,
  last: 18,
  /** Tries that cost so many times the best are not followed. */
  hopeless: 3,
} as const;

/** A true die found in a rough outline. */
export interface FoundPose extends PoseFit {
  /** Median distance of the outline from the fitted die, in shares of its width. */
  readonly misfit: number;
  /** Set where the outline was the thing's spare one. */
  readonly spare?: true;
}

/** The solid's shape as the search wants it, worked out once per kind. */
export interface PoseShape {
  readonly solid: DieSolid;
  /** Upright corners at inradius 1, [x, y, z] each, card axes. */
  readonly vertices: Float64Array;
  /** Square root of the area that it covers from above, inradius 1. */
  readonly width: number;
}

export function poseShape(solid: DieSolid): PoseShape {
  const vertices = uprightVertices(solid);
  const flat = vertices.filter((_, i) => i % 3 !== 2);
  return { solid, vertices, width: Math.sqrt(areaOf(convexHull(flat))) };
}

/** Point of the card frame at height `z` that a picture position shows, mm. */
export function placeAt({ camera, cameraFromCard }: CardView, u: number, v: number, z: number): [number, number] {
  const { rotation, shift } = cameraFromCard;
  const ray = turnedBack(rotation, viewingRay(camera, u, v));
  const eye = turnedBack(rotation, [-shift[0], -shift[1], -shift[2]]);
  const t = (z - eye[2]) / ray[2];
  return [eye[0] + t * ray[0], eye[1] + t * ray[1]];
}

/**
 * The true die of a kind that fits a rough outline best: any face up, any turn.
 *
 * @param area    Area of the outline, px^2.
 * @param middle  Middle of that area, px.
 */
export function foundPose(
  shape: PoseShape,
  view: CardView,
  outline: Outline,
  area: number,
  middle: readonly [number, number],
): FoundPose {
  const { vertices, solid } = shape;
  const width = Math.sqrt(area);
  const rays = outlineRays(view.camera, outline);
  const n = outline.sigma.length;
  const distance = Math.hypot(...view.cameraFromCard.shift);
  const size = (width * distance) / view.camera.f / shape.width;
  // A d4's outline lies low over the card, others' about their middles' height.
  const [x, y] = placeAt(view, ...middle, solid.kind === 'd4' ? 0 : size);
  const every = Math.max(1, Math.ceil(n / POSE_SEARCH.points));
  const few = raysOf(rays, every);
  const wide = new Float64Array(few.length / 6).fill(POSE_SEARCH.sigma * width);
  const period = YAW_PERIOD[solid.kind];
  const turns = Math.ceil(period / POSE_SEARCH.apart);
  const room = poseRoom(wide.length);
  const tries = Array.from({ length: turns }, (_, k): PoseFit => {
    const start: TruePose = { size, radius: ROUNDING_BELIEF.share * size, x, y, yaw: (period * k) / turns };
    return fitTruePose(vertices, view, few, wide, start, { steps: POSE_SEARCH.steps }, null, room);
  }).sort((a, b) => a.cost - b.cost);
  const ends = distinct(tries, period)
    .filter((t) => t.cost < POSE_SEARCH.hopeless * tries[0]!.cost)
    .map(({ pose }) => fitTruePose(vertices, view, rays, outline.sigma, pose, { steps: POSE_SEARCH.last, gain: 1e-4 }));
  const best = ends.reduce((p, q) => (q.cost < p.cost ? q : p));
  return { ...best, misfit: median(best.rows.residual.map(Math.abs)) / width };
}

function raysOf(rays: Float64Array, every: number): Float64Array {
  const n = Math.floor(rays.length / 6 / every);
  const out = new Float64Array(6 * n);
  for (let k = 0; k < n; k++) out.set(rays.subarray(6 * k * every, 6 * k * every + 6), 6 * k);
  return out;
}

/** The best tries that did not run into one another. */
function distinct(tries: readonly PoseFit[], period: number): PoseFit[] {
  const out: PoseFit[] = [];
  for (const t of tries) {
    const near = out.some(({ pose }) => {
      const d = Math.abs(pose.yaw - t.pose.yaw) % period;
      return Math.min(d, period - d) < POSE_SEARCH.apart / 2;
    });
    if (!near) out.push(t);
    if (out.length === POSE_SEARCH.followed) break;
  }
  return out;
}
