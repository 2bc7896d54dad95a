import { hypot3 } from '../maths/hypot.ts';

/** Three numbers: a point or a direction, in the frame that the variable's name says. */
export type Vec3 = readonly [number, number, number];

export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const minus = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scaled = (a: Vec3, s: number): Vec3 => [a[0] * s, a[1] * s, a[2] * s];
export const norm = (a: Vec3): number => hypot3(a[0], a[1], a[2]);
export const unitVector = (a: Vec3): Vec3 => scaled(a, 1 / norm(a));
/** The three numbers that `of` gives for x, y and z. */
export const byAxis = (of: (axis: 0 | 1 | 2) => number): Vec3 => [of(0), of(1), of(2)];
export const vec3At = (flat: ArrayLike<number>, i: number): Vec3 => [flat[3 * i]!, flat[3 * i + 1]!, flat[3 * i + 2]!];

/** Determinant of the matrix with rows a, b, c. */
export const determinant = (a: Vec3, b: Vec3, c: Vec3): number => dot(a, cross(b, c));

/** The point where three planes `normal . x = distance` meet, or null where they do not meet in one point. */
export function planesMeet(a: Vec3, b: Vec3, c: Vec3, da: number, db: number, dc: number): Vec3 | null {
  const d = determinant(a, b, c);
  if (Math.abs(d) < 1e-6) return null;
  const x = cross(b, c);
  const y = cross(c, a);
  const z = cross(a, b);
  return [
    (x[0] * da + y[0] * db + z[0] * dc) / d,
    (x[1] * da + y[1] * db + z[1] * dc) / d,
    (x[2] * da + y[2] * db + z[2] * dc) / d,
  ];
}

interface Placed {
  readonly p: Vec3;
  readonly at: number;
}

/** Points in the order of a number that each has; those of equal ones stay as they were. */
export function inOrderOf(numbers: readonly number[], points: readonly Vec3[]): Vec3[] {
  const placed: Placed[] = [];
  for (let i = 0; i < points.length; i++) placed.push({ p: points[i]!, at: numbers[i]! });
  return placed.sort(byPlace).map(pointOf);
}

const byPlace = (a: Placed, b: Placed): number => a.at - b.at;
const pointOf = ({ p }: Placed): Vec3 => p;
