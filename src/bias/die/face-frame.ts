import { balls } from '../../geometry/solid.ts';
import { cross, dot, minus, norm, scaled, unitVector, vec3At, type Vec3 } from '../../geometry/vec.ts';
import type { Mm } from '../../units.ts';
import { solidFor, type DieShape } from './die-shape.ts';

/** A face's land: what is flat inside the rounding. Body frame, mm. */
export interface FaceFrame {
  readonly centre: Vec3;
  /** Unit, from the centre towards the face's farthest corner, the first of equals. */
  readonly x: Vec3;
  /** Unit, normal cross `x`. */
  readonly y: Vec3;
  /** Radius of the largest circle about the centre that lies on the land. */
  readonly innerRadius: Mm;
}

/** The land of face `f`; its corners are where the corner balls touch the face's plane. */
export function faceFrame(shape: DieShape, f: number): FaceFrame {
  const solid = solidFor(shape);
  const normal = vec3At(solid.normals, f);
  const corners = solid.corners.flatMap((c, k) => (c.faces.includes(f) ? [k] : []));
  const points = touchPoints(shape, f, corners);
  const centre = scaled(
    points.reduce((s, p) => [s[0] + p[0], s[1] + p[1], s[2] + p[2]]),
    1 / points.length,
  );
  const far = points.map((p) => norm(minus(p, centre)));
  const x = unitVector(minus(points[far.findIndex((d) => d > 0.999 * Math.max(...far))], centre));
  let innerRadius = Infinity;
  for (const edge of solid.edges) {
    if (!edge.faces.includes(f)) continue;
    const [a, b] = edge.corners.map((k) => points[corners.indexOf(k)]);
    const along = unitVector(minus(b, a));
    const to = minus(a, centre);
    innerRadius = Math.min(innerRadius, norm(minus(to, scaled(along, dot(to, along)))));
  }
  return { centre, x, y: cross(normal, x), innerRadius };
}

/** Where the balls of `corners` touch face `f`, one point per corner (the mean where a corner has several balls). */
function touchPoints(shape: DieShape, f: number, corners: readonly number[]): Vec3[] {
  const solid = solidFor(shape);
  const normal = vec3At(solid.normals, f);
  const all = balls(solid, shape.distances, shape.radii);
  return corners.map((corner) => {
    const sum = [0, 0, 0];
    let count = 0;
    for (let i = 0; i < all.count; i++) {
      if (all.corner[i] !== corner) continue;
      for (let k = 0; k < 3; k++) sum[k] += all.centres[3 * i + k];
      count++;
    }
    const mean: Vec3 = [sum[0] / count, sum[1] / count, sum[2] / count];
    const lift = shape.distances[f] - dot(normal, mean);
    return [mean[0] + lift * normal[0], mean[1] + lift * normal[1], mean[2] + lift * normal[2]];
  });
}
