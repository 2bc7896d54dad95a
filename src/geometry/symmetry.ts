import type { DieSolid } from './solid.ts';
import { byAxis, cross, dot, minus, norm, unitVector, vec3At, type Vec3 } from './vec.ts';

/** A turn that lays the true die onto itself: face `f` comes to where face `faces[f]` was, corners likewise. */
export interface SolidTurn {
  readonly faces: readonly number[];
  readonly corners: readonly number[];
}

const known = new WeakMap<DieSolid, readonly SolidTurn[]>();

/** All turns (no mirrorings) that lay the true die onto itself, the one that leaves it alone among them; worked out once. */
export function turnsOf(solid: DieSolid): readonly SolidTurn[] {
  let turns = known.get(solid);
  if (!turns) known.set(solid, (turns = found(solid)));
  return turns;
}

function found({ normals, labels, corners }: DieSolid): SolidTurn[] {
  const faces = labels.map((_, f) => vec3At(normals, f));
  const vertices = corners.map((c) => c.vertex);
  const a = faces[0];
  const b = faces.find((n) => norm(cross(a, n)) > 0.1)!;
  const base = frame(a, b);
  const out: SolidTurn[] = [];
  for (const p of faces)
    for (const q of faces) {
      if (Math.abs(dot(p, q) - dot(a, b)) > 1e-6) continue;
      const to = frame(p, q);
      const placeIn = (list: readonly Vec3[], v: Vec3): number => {
        const share = base.map((e) => dot(e, v));
        const turned = byAxis((k) => share.reduce((s, c, e) => s + c * to[e][k], 0));
        return list.findIndex((w) => norm(minus(w, turned)) < 1e-6);
      };
      const turn = {
        faces: faces.map((v) => placeIn(faces, v)),
        corners: vertices.map((v) => placeIn(vertices, v)),
      };
      if (![...turn.faces, ...turn.corners].includes(-1)) out.push(turn);
    }
  return out;
}

/** Right-handed unit axes: along `a`, in the plane of `a` and `b`, and square to both. */
function frame(a: Vec3, b: Vec3): readonly [Vec3, Vec3, Vec3] {
  const z = unitVector(cross(a, b));
  return [a, cross(z, a), z];
}
