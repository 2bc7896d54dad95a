import { determinant, unitVector, type Vec3 } from '../../geometry/vec.ts';
import { solidOf } from './die-shape.ts';

/** A sphere in triangles; each direction has its opposite. */
export interface SphereMesh {
  /** Unit directions, [x, y, z] each. */
  readonly directions: Float64Array;
  /** Three indices per triangle, counter-clockwise from outside. */
  readonly triangles: Int32Array;
}

/** Times the icosahedron's triangles are quartered: 2562 directions, 0.07 rad apart. */
const LEVEL = 4;
/** Turns the mesh off every axis a die's faces may have, rad about x and y. */
const TILT = [0.3141, 0.2718] as const;
let mesh: SphereMesh | undefined;

/** The mesh that mass properties are summed over; computed once. */
export function sphereMesh(): SphereMesh {
  return (mesh ??= quartered());
}

function quartered(): SphereMesh {
  const { corners, labels } = solidOf('d20');
  const points = corners.map((c) => tilted(unitVector(c.vertex)));
  let triangles = labels.flatMap((_, face) => {
    const [a, b, c] = corners.flatMap((corner, k) => (corner.faces.includes(face) ? [k] : []));
    return determinant(points[a], points[b], points[c]) > 0 ? [a, b, c] : [a, c, b];
  });
  for (let level = 0; level < LEVEL; level++) triangles = finer(points, triangles);
  return { directions: Float64Array.from(points.flat()), triangles: Int32Array.from(triangles) };
}

/** Four triangles for each; new points are added to `points`. */
function finer(points: Vec3[], triangles: readonly number[]): number[] {
  const middles = new Map<number, number>();
  const middle = (a: number, b: number): number => {
    const key = Math.min(a, b) * 65536 + Math.max(a, b);
    let at = middles.get(key);
    if (at === undefined) {
      at = points.length;
      const [p, q] = [points[a], points[b]];
      points.push(unitVector([p[0] + q[0], p[1] + q[1], p[2] + q[2]]));
      middles.set(key, at);
    }
    return at;
  };
  const out: number[] = [];
  for (let i = 0; i < triangles.length; i += 3) {
    const [a, b, c] = [triangles[i], triangles[i + 1], triangles[i + 2]];
    const [x, y, z] = [middle(a, b), middle(b, c), middle(c, a)];
    out.push(a, x, z, b, y, x, c, z, y, x, y, z);
  }
  return out;
}

function tilted([x, y, z]: Vec3): Vec3 {
  const [a, b] = TILT;
  const y1 = Math.cos(a) * y - Math.sin(a) * z;
  const z1 = Math.sin(a) * y + Math.cos(a) * z;
  return [Math.cos(b) * x + Math.sin(b) * z1, y1, Math.cos(b) * z1 - Math.sin(b) * x];
}
