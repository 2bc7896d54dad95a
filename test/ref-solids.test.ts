import { describe, expect, test } from 'vitest';
import { NUMBERINGS, type Numbering } from '../src/geometry/numbering.ts';
import {
  balls,
  circumradius,
  D10_APEX,
  DIE_KINDS,
  dieSolid,
  NumberingError,
  type DieKind,
  type DieSolid,
} from '../src/geometry/solid.ts';
import { cross, dot, minus, norm, scaled, vec3At, type Vec3 } from '../src/geometry/vec.ts';
import { jobMessage } from '../src/text/job-faults.ts';

const PHI = (1 + Math.sqrt(5)) / 2;
const deg = (radians: number): number => (radians * 180) / Math.PI;

/**
 * Closed forms of the regular solids: Coxeter, "Regular Polytopes" (3rd ed. 1973), table I(i), and the same in Weisstein's MathWorld under
 * each name. Dihedral angles in degrees to five decimals as tabulated there; radii for edge length 1.
 */
const REGULAR = {
  d4: {
    faces: 4,
    edges: 6,
    corners: 4,
    round: 3,
    sides: 3,
    dihedral: Math.acos(1 / 3),
    tabulated: 70.52878,
    inradius: Math.sqrt(6) / 12,
    circumradius: Math.sqrt(6) / 4,
  },
  d6: {
    faces: 6,
    edges: 12,
    corners: 8,
    round: 3,
    sides: 4,
    dihedral: Math.PI / 2,
    tabulated: 90,
    inradius: 1 / 2,
    circumradius: Math.sqrt(3) / 2,
  },
  d8: {
    faces: 8,
    edges: 12,
    corners: 6,
    round: 4,
    sides: 3,
    dihedral: Math.acos(-1 / 3),
    tabulated: 109.47122,
    inradius: Math.sqrt(6) / 6,
    circumradius: Math.SQRT2 / 2,
  },
  d12: {
    faces: 12,
    edges: 30,
    corners: 20,
    round: 3,
    sides: 5,
    dihedral: Math.acos(-Math.sqrt(5) / 5),
    tabulated: 116.56505,
    inradius: PHI ** 2 / (2 * Math.sqrt(3 - PHI)),
    circumradius: (Math.sqrt(3) * PHI) / 2,
  },
  d20: {
    faces: 20,
    edges: 30,
    corners: 12,
    round: 5,
    sides: 3,
    dihedral: Math.acos(-Math.sqrt(5) / 3),
    tabulated: 138.18969,
    inradius: PHI ** 2 / (2 * Math.sqrt(3)),
    circumradius: Math.sqrt(PHI * Math.sqrt(5)) / 2,
  },
} as const;

const normal = (solid: DieSolid, face: number): Vec3 => vec3At(solid.normals, face);
const lengthOf = (solid: DieSolid, [a, b]: readonly [number, number]): number =>
  norm(minus(solid.corners[a]!.vertex, solid.corners[b]!.vertex));
const dihedral = (solid: DieSolid, [a, b]: readonly [number, number]): number =>
  Math.PI - Math.acos(dot(normal(solid, a), normal(solid, b)));

describe.each(Object.keys(REGULAR) as (keyof typeof REGULAR)[])('%s, a regular solid', (kind) => {
  const solid = dieSolid(kind);
  const book = REGULAR[kind];

  test('has its faces, edges and corners, and as many of each round the others', () => {
    expect([solid.labels.length, solid.edges.length, solid.corners.length]).toEqual([
      book.faces,
      book.edges,
      book.corners,
    ]);
    for (const { faces } of solid.corners) expect(faces).toHaveLength(book.round);
    for (let f = 0; f < book.faces; f++)
      expect(solid.corners.filter(({ faces }) => faces.includes(f))).toHaveLength(book.sides);
  });

  test('has its dihedral angle at every edge', () => {
    expect(deg(book.dihedral)).toBeCloseTo(book.tabulated, 5);
    for (const { faces } of solid.edges) expect(dihedral(solid, faces)).toBeCloseTo(book.dihedral, 12);
  });

  test('has its inradius, edge length and circumradius', () => {
    const edge = 1 / book.inradius;
    for (const { corners } of solid.edges) expect(lengthOf(solid, corners)).toBeCloseTo(edge, 12);
    for (const { vertex } of solid.corners) expect(norm(vertex)).toBeCloseTo(book.circumradius * edge, 12);
    expect(circumradius(solid)).toBeCloseTo(book.circumradius / book.inradius, 12);
  });
});

describe('d10, a pentagonal trapezohedron', () => {
  const solid = dieSolid('d10');

  test('has ten kites, twenty edges, twelve corners, two of them with five faces', () => {
    expect([solid.labels.length, solid.edges.length, solid.corners.length]).toEqual([10, 20, 12]);
    expect(solid.corners.map(({ faces }) => faces.length).sort((a, b) => a - b)).toEqual([
      ...Array<number>(10).fill(3),
      5,
      5,
    ]);
    for (let f = 0; f < 10; f++) expect(solid.corners.filter(({ faces }) => faces.includes(f))).toHaveLength(4);
  });

  test('is centrally symmetric, with its apexes as far out as its belt is wide', () => {
    const apexes = solid.corners.filter(({ faces }) => faces.length === 5);
    const belt = solid.corners.filter(({ faces }) => faces.length === 3);
    const height = norm(apexes[0]!.vertex);
    const axis = scaled(apexes[0]!.vertex, 1 / height);
    for (const { vertex } of belt) {
      const along = dot(vertex, axis);
      expect(norm(minus(vertex, scaled(axis, along)))).toBeCloseTo(height / D10_APEX, 12);
      // Planarity of a kite: the belt rises by apex height times (1 - cos 36) / (1 + cos 36) = tan^2 18, from the four points by hand.
      expect(Math.abs(along) / height).toBeCloseTo(Math.tan(Math.PI / 10) ** 2, 12);
    }
    for (let f = 0; f < 10; f++) expect(solid.opposite[f]).toBeGreaterThanOrEqual(0);
  });

  test("with the apex of the dual of the uniform antiprism, all its dihedral angles are a dodecahedron's", () => {
    // A uniform pentagonal antiprism is an icosahedron without two opposite caps, so its dual's faces belong to a dodecahedron (Coxeter
    // 1973, section 2.1, and Wenninger, "Dual Models", 1983). Its vertices (cos 36k, sin 36k, +-1/2) are the dual's normals, from which
    // apex height over belt radius = 2 cos^2 18 = 1 + cos 36.
    const dual = dieSolid('d10', NUMBERINGS.d10, 1 + Math.cos(Math.PI / 5));
    for (const { faces } of dual.edges) expect(dihedral(dual, faces)).toBeCloseTo(REGULAR.d12.dihedral, 12);
  });

  test.each([0.9, D10_APEX, 1.2])('with apex %f it has the two dihedral angles of its closed form', (apex) => {
    // A kite's plane holds the apex (0, a) and the belt's tip (1, -a tan^2 18): normal (r, z) with r / z = a / cos^2 18. Round the apex
    // normals stand 72 degrees apart, across the belt 36 degrees and upside down.
    const r2 = (apex / Math.cos(Math.PI / 10) ** 2) ** 2;
    const steep = Math.PI - Math.acos((r2 * Math.cos((2 * Math.PI) / 5) + 1) / (r2 + 1));
    const belt = Math.PI - Math.acos((r2 * Math.cos(Math.PI / 5) - 1) / (r2 + 1));
    const s = dieSolid('d10', NUMBERINGS.d10, apex);
    for (const { faces, corners } of s.edges) {
      const meetsApex = corners.some((c) => s.corners[c]!.faces.length === 5);
      expect(dihedral(s, faces)).toBeCloseTo(meetsApex ? steep : belt, 12);
    }
  });
});

describe.each(DIE_KINDS)('%s, numbered as usual', (kind) => {
  const solid = dieSolid(kind);
  const numbers = solid.labels.map(Number);
  const n = numbers.length;

  test('carries each number once, and opposite numbers sum to the same', () => {
    // Common practice: 1 to n, opposite faces sum to n + 1; a d10 runs from 0 to 9 and sums to 9; a d4 has no opposite faces.
    const first = kind === 'd10' ? 0 : 1;
    expect([...numbers].sort((a, b) => a - b)).toEqual(Array.from({ length: n }, (_, i) => i + first));
    solid.opposite.forEach((other, face) => {
      if (kind === 'd4') expect(other).toBe(-1);
      else {
        expect(numbers[face]! + numbers[other]!).toBe(2 * first + n - 1);
        expect(dot(normal(solid, face), normal(solid, other))).toBeCloseTo(-1, 12);
      }
    });
  });

  test('has outward unit normals, faces about the origin, and names of ascending numbers', () => {
    for (let f = 0; f < n; f++) expect(norm(normal(solid, f))).toBeCloseTo(1, 12);
    for (const { faces, vertex, name } of solid.corners) {
      for (const f of faces) expect(dot(normal(solid, f), vertex)).toBeCloseTo(1, 9);
      const list = name.split('-').map(Number);
      expect(list).toEqual([...list].sort((a, b) => a - b));
      expect(new Set(list)).toEqual(new Set(faces.map((f) => numbers[f])));
    }
    // Euler.
    expect(n + solid.corners.length - solid.edges.length).toBe(2);
  });

  test('has the neighbours of its table, counter-clockwise from outside', () => {
    for (const [label, around] of Object.entries(NUMBERINGS[kind])) {
      const face = solid.labels.indexOf(label);
      const directions = around.map((beside) => normal(solid, solid.labels.indexOf(beside)));
      directions.forEach((d, i) => {
        expect(dot(cross(d, directions[(i + 1) % directions.length]!), normal(solid, face))).toBeGreaterThan(0);
      });
      for (const beside of around) {
        const pair = [face, solid.labels.indexOf(beside)].sort((a, b) => a - b);
        expect(solid.edges.some(({ faces }) => faces[0] === pair[0] && faces[1] === pair[1])).toBe(true);
      }
    }
  });

  test('with one distance and one radius its balls touch all planes they should and cross none', () => {
    const distances = Array.from({ length: n }, () => 10);
    const radii = Array.from({ length: solid.corners.length }, () => 0.7);
    const b = balls(solid, distances, radii);
    for (let i = 0; i < b.count; i++) {
      const reach = Array.from({ length: n }, (_, f) => dot(normal(solid, f), vec3At(b.centres, i)) + b.radii[i]!);
      expect(Math.max(...reach)).toBeLessThan(10 + 1e-6);
      for (const f of solid.corners[b.corner[i]!]!.faces) expect(reach[f]).toBeCloseTo(10, 6);
    }
    expect(new Set(b.corner).size).toBe(solid.corners.length);
  });
});

test('1, 2, 3 of a d6 run counter-clockwise round their corner', () => {
  // Common practice for dice made in Europe and America.
  const solid = dieSolid('d6');
  const [a, b, c] = ['1', '2', '3'].map((label) => normal(solid, solid.labels.indexOf(label))) as [Vec3, Vec3, Vec3];
  expect(dot(cross(a, b), c)).toBeCloseTo(1, 12);
});

describe("a numbering of one's own", () => {
  const d6 = NUMBERINGS.d6;
  const renamed = (names: Readonly<Record<string, string>>): Numbering =>
    Object.fromEntries(
      Object.entries(d6).map(([label, around]) => [
        names[label] ?? label,
        around.map((beside) => names[beside] ?? beside),
      ]),
    );

  test('may use any labels, in any order', () => {
    const solid = dieSolid(
      'd6',
      Object.fromEntries(Object.entries(renamed({ '6': 'crown', '1': 'anchor' })).reverse()),
    );
    expect([...solid.labels].sort()).toEqual(['2', '3', '4', '5', 'anchor', 'crown']);
    const opposite = (label: string): string => solid.labels[solid.opposite[solid.labels.indexOf(label)]!]!;
    expect([opposite('crown'), opposite('2'), opposite('3')]).toEqual(['anchor', '5', '4']);
  });

  test("may be either of a d6's two mirror images", () => {
    const mirrored = Object.fromEntries(Object.entries(d6).map(([label, around]) => [label, [...around].reverse()]));
    const solid = dieSolid('d6', mirrored);
    const [a, b, c] = ['1', '2', '3'].map((label) => normal(solid, solid.labels.indexOf(label))) as [Vec3, Vec3, Vec3];
    expect(dot(cross(a, b), c)).toBeCloseTo(-1, 12);
  });

  test.each<[string, DieKind, Numbering, RegExp]>([
    ['too few numbers', 'd8', d6, /6 numbers seen, 8 needed/],
    ['a number with too few neighbours', 'd6', { ...d6, '3': ['2', '6', '5'] }, /3 has 3 neighbours, 4 needed/],
    ['a neighbour that is no number of this die', 'd6', { ...d6, '3': ['2', '6', '5', '9'] }, /numbering: /],
    ['two neighbours swapped', 'd6', { ...d6, '3': ['6', '2', '5', '1'] }, /numbering: /],
    ['a number that is its own neighbour', 'd6', { ...d6, '3': ['3', '6', '5', '1'] }, /numbering: /],
    ['a mirrored row', 'd8', { ...NUMBERINGS.d8, '7': [...NUMBERINGS.d8['7']!].reverse() }, /numbering: /],
  ])('%s: is refused with what is wrong', (_, kind, numbering, message) => {
    let fault: unknown;
    try {
      dieSolid(kind, numbering);
    } catch (thrown) {
      fault = thrown;
    }
    expect(fault).toBeInstanceOf(NumberingError);
    expect(jobMessage((fault as NumberingError).fault)).toMatch(message);
  });
});
