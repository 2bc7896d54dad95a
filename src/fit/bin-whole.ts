import type { Outline } from '../geometry/outline.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { scaledInverse } from '../maths/least-squares.ts';
import { fitDie } from './die-fit.ts';
import type { DieState } from './die-state.ts';
import { normalOf } from './normal-equations.ts';
import type { Tau } from './stretches.ts';
import { binShot, ROUNDING_BELIEF, type CardView, type TruePose } from './bin-pose.ts';

export const WHOLE = {
  /** How far faces and radii of a die out of round may stray, shares of its size. */
  face: 0.02,
  radius: 0.01,
  steps: 30,
  cut: 3,
} as const;

/**
 * Mean corner radius of a die out of round, from one outline, and its standard uncertainty, mm: by the exact geometry.
 *
 * Where faces stray, the planes of a corner no longer meet in a point, and the corner is cut as if it were rounder; only the exact fit
 * tells the two apart. Slow, and for such dice alone. Null where the outline determines nothing.
 */
export function wholeRadius(
  solid: DieSolid,
  view: CardView,
  outline: Outline,
  near: TruePose,
  tau: Tau,
): { readonly radius: number; readonly u: number } | null {
  const photo = { ...view, shot: binShot(solid) };
  const { size } = near;
  const start: DieState = {
    solid,
    distances: new Float64Array(solid.labels.length).fill(size),
    radii: new Float64Array(solid.corners.length).fill(ROUNDING_BELIEF.share * size),
    stands: [{ x: near.x, y: near.y, yaw: near.yaw }],
  };
  const prior = { face: WHOLE.face * size, radius: WHOLE.radius * size };
  const { cut, steps } = WHOLE;
  const { state } = fitDie(start, [photo], [outline], { prior, cut, tau, free: 'whole', steps });
  const [from, corners] = [state.distances.length, state.radii.length];
  const n = from + corners + 3;
  const covariance = scaledInverse(normalOf(state, [photo], [outline], prior, cut, tau).a, n);
  if (typeof covariance === 'number') return null;
  let v = 0;
  for (let i = from; i < from + corners; i++) for (let j = from; j < from + corners; j++) v += covariance[i * n + j]!;
  return { radius: state.radii.reduce((s, r) => s + r, 0) / corners, u: Math.sqrt(Math.max(0, v)) / corners };
}
