import type { Outline } from '../../geometry/outline.ts';
import type { DieSolid } from '../../geometry/solid.ts';
import { scaledInverse } from '../../maths/least-squares.ts';
import { cholesky, choleskySolve } from '../../maths/linear.ts';
import { moveState, type DieState } from '../../fit/die-state.ts';
import { normalOf } from '../../fit/normal-equations.ts';
import { divisions, type Tau } from '../../fit/stretches.ts';
import { ROUNDING_BELIEF } from '../../fit/pose-fit.ts';
import { trueShot, type CardView, type TruePose } from '../../fit/pose.ts';

export const WHOLE = {
  /** How far faces and radii of a die out of round may stray, shares of its size. */
  face: 0.02,
  radius: 0.01,
  /** Gauss and Newton's steps, and how much of each is taken: where an outline's corner changes from one ball to another, whole steps swing. */
  steps: 10,
  share: 0.7,
  /** Largest change of a length in one step, mm. */
  largest: 0.3,
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
  const photo = { ...view, shot: trueShot(solid) };
  const { size } = near;
  const start: DieState = {
    solid,
    distances: new Float64Array(solid.labels.length).fill(size),
    radii: new Float64Array(solid.corners.length).fill(ROUNDING_BELIEF.share * size),
    stands: [{ x: near.x, y: near.y, yaw: near.yaw }],
  };
  const prior = { face: WHOLE.face * size, radius: WHOLE.radius * size };
  const { cut, steps, share } = WHOLE;
  const divided = divisions(start, [photo], [outline], cut);
  const [from, corners] = [start.distances.length, start.radii.length];
  const n = from + corners + 3;
  let state = start;
  let normal = normalOf(state, [photo], [outline], prior, cut, tau, divided);
  for (let step = 0; step < steps; step++) {
    const l = cholesky(normal.a, n, 0);
    if (!l) return null;
    const h = choleskySolve(l, n, normal.g);
    const largest = h.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    const by = Math.min(share, WHOLE.largest / largest);
    state = moveState(
      state,
      h.map((v) => -by * v),
    );
    normal = normalOf(state, [photo], [outline], prior, cut, tau, divided);
  }
  const covariance = scaledInverse(normal.a, n);
  if (typeof covariance === 'number') return null;
  let v = 0;
  for (let i = from; i < from + corners; i++) for (let j = from; j < from + corners; j++) v += covariance[i * n + j]!;
  return { radius: state.radii.reduce((s, r) => s + r, 0) / corners, u: Math.sqrt(Math.max(0, v)) / corners };
}
