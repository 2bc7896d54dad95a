import { cross, dot, minus, norm, vec3At, type Vec3 } from '../../geometry/vec.ts';
import { solidFor, without, type DieShape } from './die-shape.ts';
import { hullBalls } from './hull-balls.ts';
import { massProperties } from './mass.ts';

/*
 * Two rules in closed form, for comparison and teaching only: neither sees rounding, marks or tables, and the first is far off (a d6's axis slope
 * is -1.2 by it, -2.9 by throws).
 */

interface Seen {
  /** Corners of the sharp body, from its centre of mass. */
  readonly corners: readonly Vec3[];
  /** Indices of each face's corners, in order round it. */
  readonly faces: readonly (readonly number[])[];
  /** Distance of each face from the centre of mass, mm. */
  readonly heights: readonly number[];
}

function seen(shape: DieShape): Seen {
  const sharp = without({ ...shape, radii: shape.radii.map(() => 0) }, 'trim');
  const solid = solidFor(shape);
  const balls = hullBalls(sharp);
  const { centre } = massProperties(Float64Array.from(balls.flatMap((b) => [...b.centre, 0])));
  const corners = balls.map((b) => minus(b.centre, centre));
  const heights = shape.distances.map((d, f) => d - dot(vec3At(solid.normals, f), centre));
  const faces = heights.map((h, f) => {
    const n = vec3At(solid.normals, f);
    const own = corners.flatMap((c, i) => (Math.abs(dot(n, c) - h) < 1e-6 * h ? [i] : []));
    const x = minus(corners[own[0]], corners[own[1]]);
    const y = cross(n, x);
    const middle = own.reduce<Vec3>(
      (s, i) => [s[0] + corners[i][0], s[1] + corners[i][1], s[2] + corners[i][2]],
      [0, 0, 0],
    );
    const angle = (i: number): number => {
      const v = minus(corners[i], [middle[0] / own.length, middle[1] / own.length, middle[2] / own.length]);
      return Math.atan2(dot(v, y), dot(v, x));
    };
    return own.sort((i, j) => angle(i) - angle(j));
  });
  return { corners, faces, heights };
}

/** Chance of each face to lie down in proportion to the solid angle it fills seen from the centre of mass (Simpson's rule for cuboids). */
export function solidAngleChances(shape: DieShape): number[] {
  const { corners, faces } = seen(shape);
  return shares(
    faces.map((face) => {
      let sum = 0;
      for (let i = 1; i + 1 < face.length; i++)
        sum += triangleAngle(corners[face[0]], corners[face[i]], corners[face[i + 1]]);
      return Math.abs(sum);
    }),
  );
}

/** Solid angle of a triangle from the origin (van Oosterom and Strackee 1983). */
function triangleAngle(a: Vec3, b: Vec3, c: Vec3): number {
  const [p, q, r] = [norm(a), norm(b), norm(c)];
  return 2 * Math.atan2(dot(a, cross(b, c)), p * q * r + dot(a, b) * r + dot(b, c) * p + dot(c, a) * q);
}

/**
 * Chance of each face to lie down by a Gibbs law in the height of the centre of mass over it: p ~ exp(-beta 2 h / V^(1/3)) (Riemer, Stoyan
 * and Obreschkow 2014, for cuboids; V^(1/3) is the cube root of the volume of the box of the three heights there, of the body here).
 */
export function gibbsChances(shape: DieShape, beta: number): number[] {
  const { heights } = seen(shape);
  const sharp = without({ ...shape, radii: shape.radii.map(() => 0) }, 'trim');
  const { volume } = massProperties(Float64Array.from(hullBalls(sharp).flatMap((b) => [...b.centre, 0])));
  return shares(heights.map((h) => Math.exp((-beta * 2 * h) / Math.cbrt(volume))));
}

function shares(w: readonly number[]): number[] {
  const sum = w.reduce((s, x) => s + x, 0);
  return w.map((x) => x / sum);
}
