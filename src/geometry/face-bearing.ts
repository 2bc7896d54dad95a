import type { DieSolid } from './solid.ts';
import { byAxis, cross, dot, minus, norm, unitVector, vec3At, type Vec3 } from './vec.ts';

/** A direction in a face from its middle: counter-clockwise, seen from outside, from the one to a corner; radians. */
export interface Bearing {
  /** The corner's name: its faces' numbers. */
  readonly corner: string;
  readonly angle: number;
}

/** Mean of a face's corners; body frame of the true die of inradius 1. */
export function faceMiddle(solid: DieSolid, face: number): Vec3 {
  const own = solid.corners.filter(({ faces }) => faces.includes(face));
  return byAxis((k) => own.reduce((s, { vertex }) => s + vertex[k]!, 0) / own.length);
}

/** From a face's middle to one of its corners. */
export const toCorner = (solid: DieSolid, face: number, corner: number): Vec3 =>
  minus(solid.corners[corner]!.vertex, faceMiddle(solid, face));

/** The bearing of a direction in a face, from the face's corner of lowest index. */
export function bearingOf(solid: DieSolid, face: number, direction: Vec3): Bearing {
  const corner = solid.corners.findIndex(({ faces }) => faces.includes(face));
  const [x, y] = axesTo(solid, face, corner);
  return { corner: solid.corners[corner]!.name, angle: Math.atan2(dot(direction, y), dot(direction, x)) };
}

/** The unit direction of a bearing in a face, by the index of its corner. */
export function alongBearing(solid: DieSolid, face: number, corner: number, angle: number): Vec3 {
  const [x, y] = axesTo(solid, face, corner);
  return byAxis((k) => Math.cos(angle) * x[k]! + Math.sin(angle) * y[k]!);
}

function axesTo(solid: DieSolid, face: number, corner: number): readonly [Vec3, Vec3] {
  const normal = vec3At(solid.normals, face);
  const to = toCorner(solid, face, corner);
  const off = dot(to, normal);
  const level = byAxis((k) => to[k]! - off * normal[k]!);
  const x: Vec3 = norm(level) > 0 ? unitVector(level) : [1, 0, 0];
  return [x, cross(normal, x)];
}
