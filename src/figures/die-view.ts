import type { DieSolid } from '../geometry/solid.ts';
import { byAxis, cross, dot, unitVector, vec3At, type Vec3 } from '../geometry/vec.ts';

type Xy = readonly [number, number];

/** A face that the eye sees: where it is drawn, y down. */
export interface SeenFace {
  readonly face: number;
  readonly outline: readonly Xy[];
  readonly middle: Xy;
  /** How squarely it is seen, 0 to 1. */
  readonly facing: number;
  /** Distance from its middle to the nearest side. */
  readonly reach: number;
}

/** An axis through the die: the end towards the eye, and the one behind, each on the die and as far out as its arrow begins. */
export interface SeenAxis {
  readonly near: Xy;
  readonly far: Xy;
  readonly nearTip: Xy;
  readonly farTip: Xy;
}

/** A die as a still picture with axes and a corner drawn on it. Units: the true die's inradius is 1; y down, origin its middle. */
export interface DieView {
  readonly faces: readonly SeenFace[];
  /** In the order asked for. */
  readonly axes: readonly SeenAxis[];
  /** Null where it lies behind. */
  readonly corner: Xy | null;
  /** Left, top, width and height of all that is drawn. */
  readonly frame: readonly [number, number, number, number];
}

/** How far beyond the die an axis's tips stand. */
const BEYOND = 1.75;
/** Views looked at: points spread evenly over the sphere. */
const VIEWS = 600;
/** An axis is seen best at this slant to the line of sight, radians: its length shows, and so does the face at its end. */
const BEST_SLANT = 0.9;

/** An axis by the directions of its two ends: face normals, or on a d4 a face and the corner opposite. */
export interface AxisEnds {
  readonly face: number;
  readonly opposite: number;
}

const turned = (v: Vec3, right: Vec3, down: Vec3): Xy => [dot(v, right), dot(v, down)];

/**
 * A view of a die in which the axes asked for and the corner show well. Same die and wishes, same view.
 *
 * @param axes    Faces whose axes shall be seen; `opposite` -1 on a d4.
 * @param corner  Index of a corner to be seen, or null.
 */
export function dieView(solid: DieSolid, axes: readonly AxisEnds[], corner: number | null): DieView {
  const normals = solid.labels.map((_, f) => vec3At(solid.normals, f));
  const mark = corner === null ? null : unitVector(solid.corners[corner]!.vertex);
  const towards = bestView(
    axes.map(({ face }) => normals[face]!),
    mark,
    axes.every(({ opposite }) => opposite >= 0),
  );
  const lift: Vec3 = Math.abs(towards[2]) < 0.9 ? [0, 0, 1] : [0, 1, 0];
  const right = unitVector(cross(lift, towards));
  const down = cross(right, towards);
  const flat = (v: Vec3): Xy => turned(v, right, down);
  const faces = normals.flatMap((normal, face): SeenFace[] => {
    const facing = dot(normal, towards);
    if (facing <= 0.02) return [];
    const outline = faceRing(solid, face).map((c) => flat(solid.corners[c]!.vertex));
    const middle: Xy = [mean(outline.map((p) => p[0])), mean(outline.map((p) => p[1]))];
    return [{ face, outline, middle, facing, reach: reachOf(outline, middle) }];
  });
  const seen = axes.map(({ face, opposite }): SeenAxis => {
    const n = normals[face]!;
    const back: Vec3 = opposite >= 0 ? normals[opposite]! : [-3 * n[0], -3 * n[1], -3 * n[2]];
    const [near, far] = dot(n, towards) >= 0 ? [n, back] : [back, n];
    const out = (v: Vec3): Xy => flat([BEYOND * v[0], BEYOND * v[1], BEYOND * v[2]]);
    // A d4's corner lies three times as far out as its faces: its tip begins a little beyond it.
    const tip = (v: Vec3): Xy => (Math.hypot(...v) > 2 ? flat([1.18 * v[0], 1.18 * v[1], 1.18 * v[2]]) : out(v));
    return { near: flat(near), far: flat(far), nearTip: tip(near), farTip: tip(far) };
  });
  const at = corner === null ? null : solid.corners[corner]!.vertex;
  const shown = at !== null && dot(at, towards) > 0 ? flat(at) : null;
  return {
    faces,
    axes: seen,
    corner: shown,
    frame: frameOf([...faces.flatMap((f) => f.outline), ...seen.flatMap((a) => [a.nearTip, a.farTip])]),
  };
}

/** Directions spread evenly over the sphere (golden spiral). */
function* directions(): Generator<Vec3> {
  const golden = Math.PI * (3 - Math.sqrt(5));
  for (let i = 0; i < VIEWS; i++) {
    const z = 1 - (2 * (i + 0.5)) / VIEWS;
    const r = Math.sqrt(1 - z * z);
    yield [r * Math.cos(golden * i), r * Math.sin(golden * i), z];
  }
}

/** Where to look from. Where an axis has two faces, either end may be in front. */
function bestView(ends: readonly Vec3[], mark: Vec3 | null, either: boolean): Vec3 {
  let best: Vec3 = [0, 0, 1];
  let least = Infinity;
  for (const d of directions()) {
    const slants = ends.map((n) => Math.acos(Math.min(1, either ? Math.abs(dot(n, d)) : Math.max(0, dot(n, d)))));
    // Axes whose pictures lie on each other are told apart badly.
    const apart = ends.length < 2 ? 0 : Math.abs(cosApart(ends[0]!, ends[1]!, d));
    const cost =
      slants.reduce((s, a) => s + (a - BEST_SLANT) ** 2, 0) +
      0.6 * apart ** 2 +
      0.4 * (mark === null ? 0 : Math.max(0, 0.45 - dot(mark, d)) ** 2 * 4);
    if (cost < least - 1e-12) [least, best] = [cost, d];
  }
  return best;
}

/** Cosine of the angle between two directions as they are seen along `d`. */
function cosApart(a: Vec3, b: Vec3, d: Vec3): number {
  const off = (v: Vec3): Vec3 => byAxis((k) => v[k]! - dot(v, d) * d[k]!);
  const [p, q] = [off(a), off(b)];
  const size = Math.hypot(...p) * Math.hypot(...q);
  return size < 1e-9 ? 1 : dot(p, q) / size;
}

const mean = (v: readonly number[]): number => v.reduce((s, x) => s + x, 0) / v.length;

/** Middle of a face's corners, body frame, inradius 1. */
export function faceCentre(solid: DieSolid, face: number): Vec3 {
  const own = solid.corners.filter((c) => c.faces.includes(face));
  return byAxis((k) => mean(own.map((c) => c.vertex[k]!)));
}

/** Corners of a face, counter-clockwise from outside. */
export function faceRing(solid: DieSolid, face: number): number[] {
  const n = vec3At(solid.normals, face);
  const c = faceCentre(solid, face);
  const x = unitVector(cross(n, Math.abs(n[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]));
  const y = cross(n, x);
  const angle = (k: number): number => {
    const v = solid.corners[k]!.vertex;
    const d: Vec3 = [v[0] - c[0], v[1] - c[1], v[2] - c[2]];
    return Math.atan2(dot(d, y), dot(d, x));
  };
  return solid.corners
    .flatMap((corner, k) => (corner.faces.includes(face) ? [k] : []))
    .sort((a, b) => angle(a) - angle(b));
}

function reachOf(outline: readonly Xy[], [mx, my]: Xy): number {
  return Math.min(
    ...outline.map(([x, y], i) => {
      const [u, v] = outline[(i + 1) % outline.length]!;
      return Math.abs((u - x) * (my - y) - (v - y) * (mx - x)) / Math.hypot(u - x, v - y);
    }),
  );
}

function frameOf(points: readonly Xy[]): [number, number, number, number] {
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  return [left, top, Math.max(...xs) - left, Math.max(...ys) - top];
}
