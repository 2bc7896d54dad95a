import type { DieKind } from './kinds.ts';
import { NUMBERINGS, type Numbering } from './numbering.ts';
import { turned } from './camera.ts';
import { ofShape } from './of-shape.ts';
import { cross, dot, minus, norm, planesMeet, unitVector, vec3At, type Vec3 } from './vec.ts';

export { DIE_KINDS, type DieKind } from './kinds.ts';

/** Apex height over belt radius of a d10 (a pentagonal trapezohedron); the mould's choice, 1 is common practice. */
export const D10_APEX = 1;

/** A place where three or more faces meet on the true die. */
export interface Corner {
  /** Faces that meet here, ascending by index. */
  readonly faces: readonly number[];
  /** Position on the sharp true die of inradius 1, body frame. */
  readonly vertex: Vec3;
  /** The numbers of its faces, ascending, joined by "-". */
  readonly name: string;
}

/** A place where two faces meet on the true die. */
export interface Edge {
  readonly faces: readonly [number, number];
  readonly corners: readonly [number, number];
  readonly name: string;
}

/** A polyhedral die as drawn: normals and what touches what. Body frame, origin at the centre, inradius 1. */
export interface DieSolid {
  readonly kind: DieKind;
  /** Outward unit normals, [x, y, z] per face. */
  readonly normals: Float64Array;
  /** The number on each face. */
  readonly labels: readonly string[];
  /** Index of the opposite face; -1 on a d4, which has none. */
  readonly opposite: readonly number[];
  readonly corners: readonly Corner[];
  readonly edges: readonly Edge[];
}

/** What is wrong with a numbering: of which number, what was seen and what is needed. */
export interface NumberingFault {
  readonly code:
    'numbering-count' | 'numbering-twice' | 'numbering-clash' | 'numbering-neighbours' | 'numbering-beside';
  readonly field?: string;
  readonly seen?: string | number;
  readonly needed?: string | number;
}

/** A malformed numbering. */
export class NumberingError extends Error {
  readonly fault: NumberingFault;

  constructor(fault: NumberingFault) {
    super(fault.code);
    this.fault = fault;
  }
}

/** Solids that were made last: what others keep of a solid they need not work out anew for its like. */
const made = new Map<string, DieSolid>();
const MOST_KEPT = 32;

/**
 * The true die of a kind with its numbers; one and the same for as long as it is among those made last.
 *
 * @param numbering  Neighbours of each number, counter-clockwise from outside; the usual layout where left out.
 * @param apex       Only for a d10: apex height over belt radius.
 * @throws {NumberingError}  If the numbering does not fit the solid.
 */
export function dieSolid(kind: DieKind, numbering: Numbering = NUMBERINGS[kind], apex: number = D10_APEX): DieSolid {
  const key = JSON.stringify([kind, numbering, apex]);
  let solid = made.get(key);
  if (solid) return solid;
  solid = madeSolid(kind, numbering, apex);
  if (made.size === MOST_KEPT) made.delete(made.keys().next().value!);
  made.set(key, solid);
  return solid;
}

function madeSolid(kind: DieKind, numbering: Numbering, apex: number): DieSolid {
  const normals = faceNormals(kind, apex);
  const n = normals.length;
  const bare = cornersOf(normals);
  const labels = numbered(normals, bare, numbering);
  const corners = bare.map((c) => ({ ...c, name: joined(c.faces.map((f) => labels[f]!)) }));
  const edges: Edge[] = [];
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++) {
      const shared = corners.flatMap((c, k) => (c.faces.includes(i) && c.faces.includes(j) ? [k] : []));
      if (shared.length >= 2)
        edges.push({ faces: [i, j], corners: [shared[0]!, shared[1]!], name: joined([labels[i]!, labels[j]!]) });
    }
  const opposite = normals.map((a) => normals.findIndex((b) => dot(a, b) < -1 + 1e-9));
  return { kind, normals: Float64Array.from(normals.flat()), labels, opposite, corners, edges };
}

/** Numbers ascending, joined by "-"; labels that are no numbers follow in their own order. */
function joined(labels: readonly string[]): string {
  return [...labels].sort((a, b) => Number(a) - Number(b) || (a < b ? -1 : 1)).join('-');
}

function faceNormals(kind: DieKind, apex: number): Vec3[] {
  const signs = [1, -1];
  const phi = (1 + Math.sqrt(5)) / 2;
  const cube = signs.flatMap((x) => signs.flatMap((y) => signs.map((z): Vec3 => [x, y, z])));
  const cyclic = (a: number, b: number): Vec3[] =>
    signs.flatMap((s) =>
      signs.flatMap((t): Vec3[] => [
        [0, s * a, t * b],
        [s * a, t * b, 0],
        [t * b, 0, s * a],
      ]),
    );
  switch (kind) {
    case 'd4':
      return (
        [
          [-1, -1, -1],
          [-1, 1, 1],
          [1, -1, 1],
          [1, 1, -1],
        ] as const
      ).map(unitVector);
    case 'd6':
      return [
        [1, 0, 0],
        [-1, 0, 0],
        [0, 1, 0],
        [0, -1, 0],
        [0, 0, 1],
        [0, 0, -1],
      ];
    case 'd8':
      return cube.map(unitVector);
    case 'd10':
      return kiteNormals(apex);
    case 'd12':
      return cyclic(1, phi).map(unitVector);
    case 'd20':
      return [...cube, ...cyclic(1 / phi, phi)].map(unitVector);
  }
}

/** Ten kites round two apexes at height `apex` over a zigzag belt of radius 1 whose height makes the kites plane. */
function kiteNormals(apex: number): Vec3[] {
  const rise = (apex * (1 - Math.cos(Math.PI / 5))) / (1 + Math.cos(Math.PI / 5));
  const belt = (k: number): Vec3 => [
    Math.cos((Math.PI / 5) * k),
    Math.sin((Math.PI / 5) * k),
    k % 2 === 0 ? rise : -rise,
  ];
  return Array.from({ length: 10 }, (_, k) => {
    const top: Vec3 = [0, 0, k % 2 === 0 ? -apex : apex];
    const n = unitVector(cross(minus(belt(k + 1), belt(k)), minus(top, belt(k))));
    return dot(n, belt(k)) < 0 ? [-n[0], -n[1], -n[2]] : n;
  });
}

function cornersOf(normals: readonly Vec3[]): Omit<Corner, 'name'>[] {
  const out: { faces: number[]; vertex: Vec3 }[] = [];
  const n = normals.length;
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++)
      for (let k = j + 1; k < n; k++) {
        const p = planesMeet(normals[i]!, normals[j]!, normals[k]!, 1, 1, 1);
        if (!p || normals.some((m) => dot(m, p) > 1 + 1e-9)) continue;
        if (out.some((c) => norm(minus(c.vertex, p)) < 1e-6)) continue;
        out.push({ faces: normals.flatMap((m, f) => (dot(m, p) > 1 - 1e-9 ? [f] : [])), vertex: p });
      }
  return out;
}

/** Faces that share an edge with `face`, counter-clockwise seen from outside. */
function neighbours(normals: readonly Vec3[], corners: readonly Omit<Corner, 'name'>[], face: number): number[] {
  const n = normals[face]!;
  const near = normals.flatMap((_, j) =>
    j !== face && corners.filter((c) => c.faces.includes(face) && c.faces.includes(j)).length >= 2 ? [j] : [],
  );
  const a = unitVector(cross(n, Math.abs(n[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]));
  const b = cross(n, a);
  const angle = (j: number): number => Math.atan2(dot(normals[j]!, b), dot(normals[j]!, a));
  return near.sort((i, j) => angle(i) - angle(j));
}

/** The number of each face; the first number goes on face 0, in the first turn that fits (a kite's ring fits in one turn only). */
function numbered(normals: readonly Vec3[], corners: readonly Omit<Corner, 'name'>[], numbering: Numbering): string[] {
  const names = Object.keys(numbering);
  if (names.length !== normals.length)
    throw new NumberingError({ code: 'numbering-count', seen: names.length, needed: normals.length });
  const around = normals.map((_, f) => neighbours(normals, corners, f));
  let fault: NumberingError | undefined;
  for (let turn = 0; turn < around[0]!.length; turn++) {
    try {
      const labels = walk(around, numbering, names[0]!, turn);
      if (new Set(labels).size === labels.length) return labels;
      fault ??= new NumberingError({ code: 'numbering-twice' });
    } catch (e) {
      if (!(e instanceof NumberingError)) throw e;
      fault ??= e;
    }
  }
  throw fault!;
}

function walk(around: readonly number[][], numbering: Numbering, first: string, turn: number): string[] {
  const labels: (string | undefined)[] = around.map(() => undefined);
  const place = (face: number, label: string, from: number): void => {
    if (labels[face] !== undefined) {
      if (labels[face] !== label)
        throw new NumberingError({ code: 'numbering-clash', field: label, seen: labels[face]! });
      return;
    }
    labels[face] = label;
    const list = numbering[label];
    const ring = around[face]!;
    if (!list || list.length !== ring.length)
      throw new NumberingError({
        code: 'numbering-neighbours',
        field: label,
        seen: list?.length ?? 0,
        needed: ring.length,
      });
    if (from >= 0 && !list.includes(labels[from]!))
      throw new NumberingError({ code: 'numbering-beside', field: label, needed: labels[from]! });
    const shift = from < 0 ? turn : list.indexOf(labels[from]!) - ring.indexOf(from);
    ring.forEach((f, i) => {
      place(f, list[(((i + shift) % ring.length) + ring.length) % ring.length]!, face);
    });
  };
  place(0, first, -1);
  return labels as string[];
}

/** The balls whose convex hull is the rounded die. */
export interface Balls {
  readonly count: number;
  /** Centres, [x, y, z] per ball, mm, body frame. */
  readonly centres: Float64Array;
  /** Radii, mm. */
  readonly radii: Float64Array;
  /** Index of the corner each ball belongs to. */
  readonly corner: Int32Array;
  /** The three faces that each ball touches, three per ball. */
  readonly faces: Int32Array;
  /** Inverse of the three normals' matrix, 9 per ball row-major: d centre = inverse . (d distances - d radius). */
  readonly inverse: Float64Array;
}

/** Three faces that can carry a ball at a corner, with the inverse of their normals. */
interface Triple {
  readonly corner: number;
  /** The corner's faces, these three among them, and their normals. */
  readonly meeting: readonly number[];
  readonly faces: readonly [number, number, number];
  readonly inverse: Float64Array;
}

/** All triples of faces that can carry a ball at each corner, with the inverse of their normals; of copies of a solid that other workers send as well. */
const triples: (solid: DieSolid) => readonly Triple[] = ofShape((solid) => {
  const out: Triple[] = [];
  solid.corners.forEach(({ faces }, corner) => {
    for (let i = 0; i < faces.length; i++)
      for (let j = i + 1; j < faces.length; j++)
        for (let k = j + 1; k < faces.length; k++) {
          const f = [faces[i]!, faces[j]!, faces[k]!] as const;
          const [a, b, c] = [vec3At(solid.normals, f[0]), vec3At(solid.normals, f[1]), vec3At(solid.normals, f[2])];
          const columns = [planesMeet(a, b, c, 1, 0, 0), planesMeet(a, b, c, 0, 1, 0), planesMeet(a, b, c, 0, 0, 1)];
          if (columns.some((v) => v === null)) continue;
          const inverse = new Float64Array(9);
          for (let r = 0; r < 3; r++) for (let q = 0; q < 3; q++) inverse[3 * r + q] = columns[q]![r]!;
          out.push({ corner, meeting: faces, faces: f, inverse });
        }
  });
  return out;
});

/** A ball is left out that reaches so far over a plane, and one that lies so near another of its corner, mm. */
const OVER = 1e-7;

/**
 * Balls of a die whose faces stand at `distances` and whose corners are rounded to `radii`, mm.
 *
 * Where more than three faces meet, the planes need not meet in a point: the corner then has several balls of its radius, those
 * whose centre satisfies all planes moved in by the radius.
 *
 * @param distances  One per face, mm from the body origin.
 * @param radii      One per corner, mm.
 */
export function balls(solid: DieSolid, distances: ArrayLike<number>, radii: ArrayLike<number>): Balls {
  const all = triples(solid);
  const kept: Triple[] = [];
  const centres = new Float64Array(3 * all.length);
  for (const t of all) {
    const o = 3 * kept.length;
    setCentre(t, distances, radii[t.corner]!, centres, o);
    if (reachesOver(solid, t, distances, radii[t.corner]!, centres, o)) continue;
    // Where the planes of a corner do meet in a point, its triples give one and the same ball.
    if (!hasTwin(kept, t.corner, centres, o)) kept.push(t);
  }
  return ballsOf(kept, centres.slice(0, 3 * kept.length), radii);
}

/** Where a ball touches its three planes, written to `centres` at `o`. */
function setCentre(
  { faces, inverse: m }: Triple,
  distances: ArrayLike<number>,
  r: number,
  centres: Float64Array,
  o: number,
): void {
  const d0 = distances[faces[0]]! - r;
  const d1 = distances[faces[1]]! - r;
  const d2 = distances[faces[2]]! - r;
  for (let c = 0; c < 3; c++) centres[o + c] = m[3 * c]! * d0 + m[3 * c + 1]! * d1 + m[3 * c + 2]! * d2;
}

/** Whether the ball at `o` reaches over a plane that meets at its corner. */
function reachesOver(
  { normals }: DieSolid,
  { meeting }: Triple,
  distances: ArrayLike<number>,
  r: number,
  centres: Float64Array,
  o: number,
): boolean {
  for (let k = 0; k < meeting.length; k++) {
    const f = meeting[k]!;
    const far =
      normals[3 * f]! * centres[o]! + normals[3 * f + 1]! * centres[o + 1]! + normals[3 * f + 2]! * centres[o + 2]!;
    if (far > distances[f]! - r + OVER) return true;
  }
  return false;
}

/** Whether a ball of the same corner lies where that at `o` does. */
function hasTwin(kept: readonly Triple[], corner: number, centres: Float64Array, o: number): boolean {
  for (let i = 0; i < kept.length; i++) {
    if (kept[i]!.corner !== corner) continue;
    const apart =
      Math.abs(centres[3 * i]! - centres[o]!) +
      Math.abs(centres[3 * i + 1]! - centres[o + 1]!) +
      Math.abs(centres[3 * i + 2]! - centres[o + 2]!);
    if (apart < OVER) return true;
  }
  return false;
}

function ballsOf(kept: readonly Triple[], centres: Float64Array, all: ArrayLike<number>): Balls {
  const count = kept.length;
  const radii = new Float64Array(count);
  const corner = new Int32Array(count);
  const faces = new Int32Array(3 * count);
  const inverse = new Float64Array(9 * count);
  for (let b = 0; b < count; b++) {
    const t = kept[b]!;
    radii[b] = all[t.corner]!;
    corner[b] = t.corner;
    faces.set(t.faces, 3 * b);
    inverse.set(t.inverse, 9 * b);
  }
  return { count, centres, radii, corner, faces, inverse };
}

/** Outward normals of a turned die, face by face. */
export function turnedNormals(rotation: Float64Array, { labels, normals }: DieSolid): Vec3[] {
  const out: Vec3[] = [];
  for (let f = 0; f < labels.length; f++) out.push(turned(rotation, vec3At(normals, f)));
  return out;
}

/** Corner position of the sharp true die nearest to the body's z direction etc. is in `corners`; this is its circumradius for inradius 1. */
export const circumradius = (solid: DieSolid): number => Math.max(...solid.corners.map((c) => norm(c.vertex)));
