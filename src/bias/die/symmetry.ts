import type { DieKind } from '../../geometry/solid.ts';
import {
  byAxis,
  cross,
  determinant,
  dot,
  minus,
  norm,
  scaled,
  unitVector,
  vec3At,
  type Vec3,
} from '../../geometry/vec.ts';
import { solidOf } from './die-shape.ts';

/** The directions in which a kind's shape is read: faces, edges (nearest point of each to the centre), corners. Unit vectors. */
export interface Directions {
  readonly vectors: readonly Vec3[];
  /** What each direction belongs to. */
  readonly types: readonly ('F' | 'E' | 'V')[];
}

/** Classes of pairs of a face and a direction that a symmetry of the true die maps onto each other. */
export interface PairClasses {
  /** Class of face `f` and direction `d` at `f * directions + d`. */
  readonly of: Int32Array;
  /** Type and cosine of the angle between the two, in the order of the classes; equal names told apart by a letter. */
  readonly names: readonly string[];
}

export interface KernelGrid {
  readonly directions: Directions;
  readonly classes: PairClasses;
}

const grids = new Map<DieKind, KernelGrid>();

/** Directions and classes of a kind; computed once. */
export function kernelGrid(kind: DieKind): KernelGrid {
  let grid = grids.get(kind);
  if (!grid) {
    const directions = directionsOf(kind);
    grid = { directions, classes: classesOf(kind, directions) };
    grids.set(kind, grid);
  }
  return grid;
}

function directionsOf(kind: DieKind): Directions {
  const { normals, labels, edges, corners } = solidOf(kind);
  const faces = labels.map((_, f) => vec3At(normals, f));
  const edgePoints = edges.map(({ corners: [a, b] }) => {
    const [p, q] = [corners[a].vertex, corners[b].vertex];
    const along = minus(q, p);
    return unitVector(minus(p, scaled(along, dot(p, along) / dot(along, along))));
  });
  return {
    vectors: [...faces, ...edgePoints, ...corners.map((c) => unitVector(c.vertex))],
    types: [...faces.map(() => 'F' as const), ...edges.map(() => 'E' as const), ...corners.map(() => 'V' as const)],
  };
}

/** Every rotation and mirroring that maps the true die onto itself, as the permutation of `vectors` that it makes. */
export function symmetries(kind: DieKind, vectors: readonly Vec3[]): number[][] {
  const faces = solidOf(kind).labels.map((_, f) => vectors[f]);
  const [a, b, c] = frame(faces);
  const sameAngle = (p: Vec3, q: Vec3, r: Vec3, s: Vec3): boolean => Math.abs(dot(p, q) - dot(r, s)) < 1e-6;
  const out: number[][] = [];
  for (const x of faces)
    for (const y of faces) {
      if (!sameAngle(a, b, x, y)) continue;
      for (const z of faces) {
        if (!sameAngle(a, c, x, z) || !sameAngle(b, c, y, z)) continue;
        const permutation: number[] = [];
        for (const v of vectors) {
          const at = indexOf(vectors, moved(v, [a, b, c], [x, y, z]));
          if (at < 0) break;
          permutation.push(at);
        }
        if (permutation.length === vectors.length) out.push(permutation);
      }
    }
  return out;
}

/** Three faces whose normals span space. */
function frame(faces: readonly Vec3[]): readonly [Vec3, Vec3, Vec3] {
  const a = faces[0];
  const b = faces.find((n) => norm(cross(a, n)) > 0.1)!;
  return [a, b, faces.find((n) => Math.abs(determinant(a, b, n)) > 0.1)!];
}

/** `v` with its components along the vectors `from` taken along `to` instead. */
function moved(v: Vec3, from: readonly [Vec3, Vec3, Vec3], to: readonly [Vec3, Vec3, Vec3]): Vec3 {
  const d = determinant(...from);
  const share = [
    determinant(v, from[1], from[2]) / d,
    determinant(from[0], v, from[2]) / d,
    determinant(from[0], from[1], v) / d,
  ];
  return byAxis((k) => share[0] * to[0][k] + share[1] * to[1][k] + share[2] * to[2][k]);
}

const indexOf = (vectors: readonly Vec3[], v: Vec3): number => vectors.findIndex((w) => norm(minus(v, w)) < 1e-6);

function classesOf(kind: DieKind, { vectors, types }: Directions): PairClasses {
  const faces = solidOf(kind).labels.length;
  const group = symmetries(kind, vectors);
  const of = new Int32Array(faces * vectors.length).fill(-1);
  const found: { readonly type: string; readonly cos: number; readonly members: readonly number[] }[] = [];
  for (let f = 0; f < faces; f++)
    for (let d = 0; d < vectors.length; d++) {
      if (of[f * vectors.length + d] >= 0) continue;
      const members = group.map((g) => g[f] * vectors.length + g[d]);
      for (const m of members) of[m] = 0;
      found.push({ type: types[d], cos: dot(vectors[f], vectors[d]), members });
    }
  found.sort((p, q) => 'FEV'.indexOf(p.type) - 'FEV'.indexOf(q.type) || q.cos - p.cos);
  found.forEach(({ members }, c) => members.forEach((m) => (of[m] = c)));
  return { of, names: distinct(found.map(({ type, cos }) => `${type}${cos.toFixed(3).replace('-0.000', '0.000')}`)) };
}

/** The same names with a letter after those that occur more than once. */
const distinct = (names: readonly string[]): string[] =>
  names.map((n, i) => {
    const twins = names.flatMap((m, j) => (m === n ? [j] : []));
    return twins.length > 1 ? n + 'abcdef'[twins.indexOf(i)] : n;
  });
