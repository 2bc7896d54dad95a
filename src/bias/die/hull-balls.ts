import { balls } from '../../geometry/solid.ts';
import { dot, minus, norm, planesMeet, scaled, unitVector, vec3At, type Vec3 } from '../../geometry/vec.ts';
import { solidFor, type DieShape, type Trim } from './die-shape.ts';

/** A ball of the hull. mm, body frame. */
export interface Ball {
  readonly centre: Vec3;
  readonly radius: number;
  /** Index of the corner that it rounds. */
  readonly corner: number;
  /** The faces that it touches; -1 for a trimmed edge's cut. */
  readonly faces: readonly [number, number, number];
  /** Rows of the inverse of the touched planes' normals: d centre = inverse . (d distances - d radius). */
  readonly inverse: readonly [Vec3, Vec3, Vec3];
}

/** The distinct balls whose convex hull is the die's body: corners, with the trimmed edge cut, without crowns and mark. */
export function hullBalls(shape: DieShape): Ball[] {
  const all = balls(solidFor(shape), shape.distances, shape.radii);
  const corners: Ball[] = [];
  for (let i = 0; i < all.count; i++)
    addDistinct(corners, {
      centre: vec3At(all.centres, i),
      radius: all.radii[i],
      corner: all.corner[i],
      faces: [all.faces[3 * i], all.faces[3 * i + 1], all.faces[3 * i + 2]],
      inverse: [vec3At(all.inverse, 3 * i), vec3At(all.inverse, 3 * i + 1), vec3At(all.inverse, 3 * i + 2)],
    });
  return shape.trim ? trimmed(shape, corners, shape.trim) : corners;
}

/** On a true die all triples of five faces give one and the same ball. */
function addDistinct(list: Ball[], ball: Ball): void {
  if (!list.some((b) => b.corner === ball.corner && norm(minus(b.centre, ball.centre)) < 1e-6)) list.push(ball);
}

/** The plane of a trimmed edge's cut: unit normal and distance from the body's origin. */
export function trimPlane(
  shape: DieShape,
  corners: readonly Ball[],
  trim: Trim,
): { readonly normal: Vec3; readonly distance: number } {
  const { normals } = solidFor(shape);
  const [a, b] = trim.faces.map((f) => vec3At(normals, f));
  const normal = unitVector([a[0] + b[0], a[1] + b[1], a[2] + b[2]]);
  const skin = Math.max(...corners.map((c) => dot(c.centre, normal) + c.radius));
  return { normal, distance: skin - trim.depth };
}

/** Cuts `corners` by the trim's plane: balls outside it go, new ones stand where it meets two faces of the edge's end corners. */
function trimmed(shape: DieShape, corners: readonly Ball[], trim: Trim): Ball[] {
  const solid = solidFor(shape);
  const { normal, distance } = trimPlane(shape, corners, trim);
  const out = corners.filter((c) => dot(c.centre, normal) <= distance - c.radius + 1e-9);
  solid.corners.forEach(({ faces }, corner) => {
    const r = shape.radii[corner];
    if (corners.every((c) => c.corner !== corner || dot(c.centre, normal) <= distance - r)) return;
    const inside = (p: Vec3): boolean =>
      faces.every((f) => dot(vec3At(solid.normals, f), p) <= shape.distances[f] - r + 1e-7);
    for (const f of faces)
      for (const g of faces) {
        if (g <= f) continue;
        const [m, n] = [vec3At(solid.normals, f), vec3At(solid.normals, g)];
        const centre = planesMeet(normal, m, n, distance - r, shape.distances[f] - r, shape.distances[g] - r);
        if (centre && inside(centre))
          addDistinct(out, { centre, radius: r, corner, faces: [-1, f, g], inverse: inverseOf(normal, m, n) });
      }
  });
  return out;
}

/** Rows of the inverse of the matrix with rows a, b, c, which are independent. */
function inverseOf(a: Vec3, b: Vec3, c: Vec3): [Vec3, Vec3, Vec3] {
  const columns = [planesMeet(a, b, c, 1, 0, 0)!, planesMeet(a, b, c, 0, 1, 0)!, planesMeet(a, b, c, 0, 0, 1)!];
  const row = (k: number): Vec3 => [columns[0][k], columns[1][k], columns[2][k]];
  return [row(0), row(1), row(2)];
}

/** Mean place of each corner's balls, seen from `from`; unit vectors. */
export function cornerDirections(shape: DieShape, list: readonly Ball[], from: Vec3): Vec3[] {
  return solidFor(shape).corners.map((_, corner) => {
    const own = list.filter((b) => b.corner === corner);
    const sum = own.reduce<Vec3>((s, { centre: c }) => [s[0] + c[0], s[1] + c[1], s[2] + c[2]], [0, 0, 0]);
    return unitVector(minus(scaled(sum, 1 / own.length), from));
  });
}
