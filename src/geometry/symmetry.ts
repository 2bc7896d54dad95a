import { ofShape } from './of-shape.ts';
import type { DieSolid } from './solid.ts';
import { cross, dot, norm, unitVector, vec3At, type Vec3 } from './vec.ts';

/** A turn that lays the true die onto itself: face `f` comes to where face `faces[f]` was, corners likewise. */
export interface SolidTurn {
  readonly faces: readonly number[];
  readonly corners: readonly number[];
}

/** All turns (no mirrorings) that lay the true die onto itself, the one that leaves it alone among them; worked out once. */
export const turnsOf: (solid: DieSolid) => readonly SolidTurn[] = ofShape(found);

function found({ normals, labels, corners }: DieSolid): SolidTurn[] {
  const faces = labels.map((_, f) => vec3At(normals, f));
  const vertices = corners.map((c) => c.vertex);
  const a = faces[0]!;
  const b = faces.find((n) => norm(cross(a, n)) > 0.1)!;
  const base = frame(a, b);
  const out: SolidTurn[] = [];
  for (const p of faces)
    for (const q of faces) {
      if (Math.abs(dot(p, q) - dot(a, b)) > 1e-6) continue;
      const to = frame(p, q);
      const turn = { faces: placesIn(faces, base, to), corners: placesIn(vertices, base, to) };
      if (!turn.faces.includes(-1) && !turn.corners.includes(-1)) out.push(turn);
    }
  return out;
}

type Axes = readonly [Vec3, Vec3, Vec3];

/** To which of its own places each place comes where one frame is laid onto another; -1 for none. */
function placesIn(list: readonly Vec3[], [x, y, z]: Axes, [p, q, r]: Axes): number[] {
  const out: number[] = [];
  for (const v of list) {
    const [a, b, c] = [dot(x, v), dot(y, v), dot(z, v)];
    const u = a * p[0] + b * q[0] + c * r[0];
    const w = a * p[1] + b * q[1] + c * r[1];
    const t = a * p[2] + b * q[2] + c * r[2];
    let at = list.length - 1;
    while (at >= 0 && Math.hypot(list[at]![0] - u, list[at]![1] - w, list[at]![2] - t) >= 1e-6) at--;
    out.push(at);
  }
  return out;
}

/** Right-handed unit axes: along `a`, in the plane of `a` and `b`, and square to both. */
function frame(a: Vec3, b: Vec3): Axes {
  const z = unitVector(cross(a, b));
  return [a, cross(z, a), z];
}
