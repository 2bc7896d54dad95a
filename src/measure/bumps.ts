import { seenIn, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { turned, viewingRay } from '../geometry/camera.ts';
import { cross, dot, norm, vec3At, type Vec3 } from '../geometry/vec.ts';
import type { EdgeSet } from '../vision/edge-set.ts';

/** A proud mark on a face that some photo sees edge-on: there it stands in the outline as a crown would, but on a part of it alone. */
export interface Bump {
  readonly face: number;
  /** Middle of its foot, body frame, mm. */
  readonly foot: Vec3;
  /** Half its longer extent, mm. */
  readonly reach: number;
}

/** So much beside a mark its blur and what it mirrors are still in the outline, mm. */
const BESIDE = 0.4;

/**
 * Tells which segments of one photo's outline lie beside a bump, by the face that each grazes.
 *
 * What tells a place along such an outline is how far it lies across the view, in the face: alike for all points of a viewing ray.
 */
export function besideBumps(
  bumps: readonly Bump[],
  state: DieState,
  photo: FitPhoto,
  index: number,
  { xy, crowns }: Pick<EdgeSet, 'xy' | 'crowns'>,
): (segment: number) => boolean {
  if (bumps.length === 0 || crowns === null) return () => false;
  const { cameraFromBody } = seenIn(state, photo, index);
  const { rotation, shift } = cameraFromBody;
  return (k) =>
    bumps.some(({ face, foot, reach }) => {
      if (crowns.face[k] !== face) return false;
      const across = cross(
        viewingRay(photo.camera, xy[2 * k]!, xy[2 * k + 1]!),
        turned(rotation, vec3At(state.solid.normals, face)),
      );
      // The camera stands in its own origin.
      const [x, y, z] = turned(rotation, foot);
      const off = dot(across, [x + shift[0], y + shift[1], z + shift[2]]) / norm(across);
      return Math.abs(off) < reach + BESIDE;
    });
}
