import type { DieState } from '../fit/die-state.ts';
import { balls, type Balls } from '../geometry/solid.ts';
import { byAxis, cross, dot, minus, norm, unitVector, vec3At, type Vec3 } from '../geometry/vec.ts';

/** A rounded die in triangles. mm, body frame. */
export interface SolidMesh {
  /** [x, y, z] per vertex. */
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  /** Per vertex how much each of three faces has in its colour. */
  readonly faces: Int16Array;
  readonly shares: Float32Array;
  /** Three per triangle, counter-clockwise seen from outside. */
  readonly triangles: Uint32Array;
}

/** Steps across an edge's rounding, and along each side of a corner's. */
const STEPS = 8;
/** Planes that meet in one point would leave out faces of a corner: moved by so little, mm, they do not. */
const UNEVEN = 1e-4;

/** The same die with its faces' deviations from their mean enlarged; radii stay as they are. */
export function enlarged(shape: DieState, factor: number): DieState {
  const mean = shape.distances.reduce((s, d) => s + d, 0) / shape.distances.length;
  return { ...shape, distances: shape.distances.map((d) => mean + factor * (d - mean)), stands: [] };
}

/** Largest deviation on the drawing, share of the die's half width. */
const SHOWN = 0.05;
export const FACTORS = [1, 2, 5, 10, 20, 50, 100, 200] as const;

/** The largest of {@link FACTORS} at which deviations stay well below the die's size. */
export function fittingFactor({ distances }: DieState): number {
  const mean = distances.reduce((s, d) => s + d, 0) / distances.length;
  const most = Math.max(1e-6, ...distances.map((d) => Math.abs(d - mean)));
  return FACTORS.filter((f) => f * most <= SHOWN * mean).at(-1) ?? 1;
}

/** The surface of a die: lands, edges as ruled strips between two balls, corners as parts of balls. */
export function solidMesh(shape: DieState): SolidMesh {
  const { solid, radii } = shape;
  const body = balls(
    solid,
    shape.distances.map((d, i) => d + UNEVEN * Math.sin(1 + 2.4 * i)),
    radii,
  );
  const mesh = new Builder();
  const touching = solid.labels.map((_, f) => ballsAt(body, f));
  solid.labels.forEach((_, f) => addLand(mesh, body, f, vec3At(solid.normals, f), touching[f]!));
  for (let f = 0; f < solid.labels.length; f++)
    for (let g = f + 1; g < solid.labels.length; g++) {
      const both = touching[f]!.filter((b) => touching[g]!.includes(b));
      if (both.length === 2)
        addStrip(mesh, body, both[0]!, both[1]!, [f, g], [vec3At(solid.normals, f), vec3At(solid.normals, g)]);
    }
  for (let b = 0; b < body.count; b++) {
    const faces = [0, 1, 2].map((k) => body.faces[3 * b + k]!) as [number, number, number];
    addCap(mesh, body, b, faces, faces.map((f) => vec3At(solid.normals, f)) as [Vec3, Vec3, Vec3]);
  }
  return mesh.done();
}

const ballsAt = (body: Balls, face: number): number[] =>
  Array.from({ length: body.count }, (_, b) => b).filter((b) => [0, 1, 2].some((k) => body.faces[3 * b + k] === face));

class Builder {
  readonly #positions: number[] = [];
  readonly #normals: number[] = [];
  readonly #faces: number[] = [];
  readonly #shares: number[] = [];
  readonly #triangles: number[] = [];

  vertex(
    p: Vec3,
    n: Vec3,
    faces: readonly [number, number, number],
    shares: readonly [number, number, number],
  ): number {
    this.#positions.push(...p);
    this.#normals.push(...n);
    this.#faces.push(...faces);
    this.#shares.push(...shares);
    return this.#positions.length / 3 - 1;
  }

  /** Counter-clockwise seen from outside, whichever way round it comes: the other side is drawn dark. */
  triangle(a: number, b: number, c: number): void {
    const [p, q, r] = [a, b, c].map((v) => vec3At(this.#positions, v)) as [Vec3, Vec3, Vec3];
    const n = cross(minus(q, p), minus(r, p));
    const out = [a, b, c].reduce((s, v) => s + [0, 1, 2].reduce((t, k) => t + n[k]! * this.#normals[3 * v + k]!, 0), 0);
    if (out < 0) this.#triangles.push(a, c, b);
    else this.#triangles.push(a, b, c);
  }

  done(): SolidMesh {
    return {
      positions: Float32Array.from(this.#positions),
      normals: Float32Array.from(this.#normals),
      faces: Int16Array.from(this.#faces),
      shares: Float32Array.from(this.#shares),
      triangles: Uint32Array.from(this.#triangles),
    };
  }
}

const onBall = (body: Balls, b: number, n: Vec3): Vec3 => {
  const r = body.radii[b]!;
  return [body.centres[3 * b]! + r * n[0], body.centres[3 * b + 1]! + r * n[1], body.centres[3 * b + 2]! + r * n[2]];
};

/** Touch points of a face's balls in order round it, mm. */
export function landRing(body: Balls, normal: Vec3, at: readonly number[]): Vec3[] {
  const points = at.map((b) => onBall(body, b, normal));
  const c = byAxis((k) => points.reduce((s, p) => s + p[k]!, 0) / points.length);
  const x = unitVector(cross(normal, Math.abs(normal[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]));
  const y = cross(normal, x);
  const angle = (p: Vec3): number => Math.atan2(dot(minus(p, c), y), dot(minus(p, c), x));
  return points.sort((p, q) => angle(p) - angle(q));
}

function addLand(mesh: Builder, body: Balls, face: number, normal: Vec3, at: readonly number[]): void {
  const ring = landRing(body, normal, at).map((p) => mesh.vertex(p, normal, [face, face, face], [1, 0, 0]));
  for (let k = 1; k + 1 < ring.length; k++) mesh.triangle(ring[0]!, ring[k]!, ring[k + 1]!);
}

/** Direction between two normals, `t` of the way along the arc. */
function between(a: Vec3, b: Vec3, t: number): Vec3 {
  const angle = Math.acos(Math.min(1, Math.max(-1, dot(a, b))));
  const [p, q] = [Math.sin((1 - t) * angle), Math.sin(t * angle)];
  return unitVector([p * a[0] + q * b[0], p * a[1] + q * b[1], p * a[2] + q * b[2]]);
}

function addStrip(
  mesh: Builder,
  body: Balls,
  a: number,
  b: number,
  [f, g]: readonly [number, number],
  [m, n]: readonly [Vec3, Vec3],
): void {
  if (norm(minus(vec3At(body.centres, a), vec3At(body.centres, b))) < 1e-9) return;
  let last: readonly [number, number] | null = null;
  for (let k = 0; k <= STEPS; k++) {
    const t = k / STEPS;
    const d = between(m, n, t);
    const now = [a, b].map((ball) => mesh.vertex(onBall(body, ball, d), d, [f, g, g], [1 - t, t, 0])) as [
      number,
      number,
    ];
    if (last) {
      mesh.triangle(last[0], last[1], now[0]);
      mesh.triangle(last[1], now[1], now[0]);
    }
    last = now;
  }
}

/** The part of a ball between the normals of the three faces that it touches. */
function addCap(
  mesh: Builder,
  body: Balls,
  b: number,
  faces: readonly [number, number, number],
  [p, q, r]: readonly [Vec3, Vec3, Vec3],
): void {
  const rows: number[][] = [];
  for (let i = 0; i <= STEPS; i++) {
    const row: number[] = [];
    for (let j = 0; j <= i; j++) {
      const [s, t, v] = [(STEPS - i) / STEPS, (i - j) / STEPS, j / STEPS];
      const d = unitVector(byAxis((k) => s * p[k]! + t * q[k]! + v * r[k]!));
      row.push(mesh.vertex(onBall(body, b, d), d, faces, [s, t, v]));
    }
    rows.push(row);
  }
  for (let i = 0; i < STEPS; i++)
    for (let j = 0; j <= i; j++) {
      mesh.triangle(rows[i]![j]!, rows[i + 1]![j]!, rows[i + 1]![j + 1]!);
      if (j < i) mesh.triangle(rows[i]![j]!, rows[i + 1]![j + 1]!, rows[i]![j + 1]!);
    }
}
