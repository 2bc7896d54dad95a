import { usualShape } from '../../shots/candidates.ts';
import { plannedView, USUAL_SETTING, type PlannedShot } from '../../shots/information.ts';
import { faceCentre, faceRing } from '../../figures/die-view.ts';
import { moved, turned, type Rigid } from '../../geometry/camera.ts';
import type { DieSolid } from '../../geometry/solid.ts';
import { cross, dot, scaled, unitVector, vec3At, type Vec3 } from '../../geometry/vec.ts';

/** A face of a die as drawn. */
export interface DrawnFace {
  readonly label: string;
  /** Path data of its outline, in units of the drawing. */
  readonly path: string;
  /** How squarely it faces the eye, 0 to 1: its brightness. */
  readonly facing: number;
  /** `matrix(...)` that lays a text centred at the origin, of height 1, onto the face. */
  readonly text: string;
}

/** Half the side of the square a die is drawn in, in units of the drawing. */
export const HALF = 100;
/** The die's corners reach to this share of it. */
const FILL = 0.92;
/** Height of a number over the inradius of its face. */
const TEXT_HEIGHT = 0.95;

/** A die as a planned photo shows it: its visible faces, the furthest first; nothing where it has no such numbers. */
export function drawnShot(solid: DieSolid, shot: PlannedShot): DrawnFace[] {
  if (![shot.up, shot.front].every((label) => solid.labels.includes(label))) return [];
  return drawnDie(solid, plannedView(usualShape(solid), shot, USUAL_SETTING));
}

/** The true die as a camera sees it from `cameraFromBody`; the size of the body does not matter, its corners fill the drawing. */
export function drawnDie(solid: DieSolid, cameraFromBody: Rigid): DrawnFace[] {
  const { rotation, shift } = cameraFromBody;
  const far = Math.hypot(...shift);
  // The solid has inradius 1: seen from as many of its own radii away as a die of 10 mm is.
  const at: Rigid = { rotation, shift: scaled(shift, Math.max(6, far / 10) / far) };
  const seen = solid.corners.map((c) => flat(moved(at, c.vertex)));
  const middle = [0, 1].map((k) => extent(seen.map((p) => p[k]!)));
  const size = (2 * HALF * FILL) / Math.max(middle[0]!.span, middle[1]!.span);
  const place = ([u, v]: readonly [number, number]): readonly [number, number] => [
    (u - middle[0]!.middle) * size,
    (v - middle[1]!.middle) * size,
  ];
  return solid.labels
    .flatMap((label, f) => {
      const normal = turned(rotation, vec3At(solid.normals, f));
      const centre = moved(at, faceCentre(solid, f));
      const facing = -dot(normal, unitVector(centre));
      if (facing <= 0.02) return [];
      const ring = faceRing(solid, f).map((c) => place(seen[c]!));
      const path = `M${ring.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}Z`;
      return [
        { label, path, facing, text: textOnFace(solid, f, centre, normal, (p) => place(flat(p))), far: centre[2] },
      ];
    })
    .sort((a, b) => b.far - a.far)
    .map(({ label, path, facing, text }) => ({ label, path, facing, text }));
}

const flat = (p: Vec3): readonly [number, number] => [p[0] / p[2], p[1] / p[2]];
const extent = (values: readonly number[]): { middle: number; span: number } => {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  return { middle: (low + high) / 2, span: high - low };
};

/** Half the width of a face across its narrowest, about its middle. */
function faceInradius(solid: DieSolid, face: number): number {
  const ring = faceRing(solid, face).map((k) => solid.corners[k]!.vertex);
  const c = faceCentre(solid, face);
  return Math.min(
    ...ring.map((a, i) => {
      const b = ring[(i + 1) % ring.length]!;
      const side = unitVector([b[0] - a[0], b[1] - a[1], b[2] - a[2]]);
      const d: Vec3 = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
      const s = dot(d, side);
      return Math.sqrt(Math.max(0, dot(d, d) - s * s));
    }),
  );
}

/** Upright as the eye sees it: how numbers really lie on the die differs from mould to mould. */
function textOnFace(
  solid: DieSolid,
  face: number,
  centre: Vec3,
  normal: Vec3,
  place: (p: Vec3) => readonly [number, number],
): string {
  const size = TEXT_HEIGHT * faceInradius(solid, face);
  const lift = normal[1] ** 2 < 0.98 ? ([0, 1, 0] as const) : ([0, 0, 1] as const);
  const s = dot(lift, normal);
  const down = unitVector([lift[0] - s * normal[0], lift[1] - s * normal[1], lift[2] - s * normal[2]]);
  const right = cross(down, scaled(normal, -1));
  const along = (d: Vec3, by: number): Vec3 => [centre[0] + by * d[0], centre[1] + by * d[1], centre[2] + by * d[2]];
  const o = place(centre);
  const x = place(along(right, size));
  const y = place(along(down, size));
  const n = (v: number): string => v.toFixed(2);
  return `matrix(${n(x[0] - o[0])} ${n(x[1] - o[1])} ${n(y[0] - o[0])} ${n(y[1] - o[1])} ${n(o[0])} ${n(o[1])})`;
}

/** 6 and 9, and what could be read for them upside down, are underlined on a die. */
export const needsLine = (label: string, labels: readonly string[]): boolean =>
  /^[69]+$/.test(label) &&
  labels.includes(
    [...label]
      .reverse()
      .join('')
      .replace(/[69]/g, (d) => (d === '6' ? '9' : '6')),
  );
