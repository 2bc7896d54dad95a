import { ofShape } from '../geometry/of-shape.ts';
import type { DieKind, DieSolid } from '../geometry/solid.ts';
import { cross, dot, minus, norm, scaled, unitVector, vec3At, type Vec3 } from '../geometry/vec.ts';

/**
 * How a face is looked at: body frame of the true die of inradius 1, seen from outside along the face's normal.
 *
 * Up points from the middle to: the face's corner of lowest index (d4, d8, d12, d20), the middle of the edge between the corner of
 * lowest index and the next one counter-clockwise (d6), the apex (d10).
 */
export interface FaceFrame {
  /** Mean of the face's corners. */
  readonly middle: Vec3;
  readonly normal: Vec3;
  /** Unit directions right and up as seen from outside: right = up x normal. */
  readonly right: Vec3;
  readonly up: Vec3;
  /** Distance of the farthest corner from the middle. */
  readonly reach: number;
  /** Corners of the solid counter-clockwise as seen from outside, that of lowest index first (d10: the apex first). */
  readonly corners: readonly number[];
}

/** Turns of a face onto itself, each a turn by 360/n degrees: what a turn `k` of a face's picture counts in. */
export const FACE_TURNS: Readonly<Record<DieKind, number>> = { d4: 3, d6: 4, d8: 3, d10: 1, d12: 5, d20: 3 };

/** The frames of all faces of a solid, in its order of faces; worked out once. */
export const faceFrames: (solid: DieSolid) => readonly FaceFrame[] = ofShape((solid) =>
  solid.labels.map((_, f) => frameOf(solid, f)),
);

function frameOf(solid: DieSolid, face: number): FaceFrame {
  const normal = vec3At(solid.normals, face);
  const own = solid.corners.flatMap((c, i) => (c.faces.includes(face) ? [i] : []));
  const at = (i: number): Vec3 => solid.corners[i]!.vertex;
  const middle = scaled(
    own.reduce<Vec3>((s, i) => [s[0] + at(i)[0], s[1] + at(i)[1], s[2] + at(i)[2]], [0, 0, 0]),
    1 / own.length,
  );
  // The apex of a d10 is where most faces meet.
  const most = Math.max(...own.map((i) => solid.corners[i]!.faces.length));
  const first = own.find((i) => solid.kind !== 'd10' || solid.corners[i]!.faces.length === most)!;
  const a = unitVector(level(minus(at(first), middle), normal));
  const b = cross(normal, a);
  const angle = (i: number): number => {
    const v = minus(at(i), middle);
    const turn = Math.atan2(dot(v, b), dot(v, a));
    return i === first ? 0 : turn < 0 ? turn + 2 * Math.PI : turn;
  };
  const corners = [...own].sort((i, j) => angle(i) - angle(j));
  const next = minus(at(corners[1]!), middle);
  const toward = minus(at(first), middle);
  const up =
    solid.kind === 'd6'
      ? unitVector(level([toward[0] + next[0], toward[1] + next[1], toward[2] + next[2]], normal))
      : a;
  const reach = Math.max(...own.map((i) => norm(minus(at(i), middle))));
  return { middle, normal, right: cross(up, normal), up, reach, corners };
}

const level = (v: Vec3, n: Vec3): Vec3 => minus(v, scaled(n, dot(v, n)));
