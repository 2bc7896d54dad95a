import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  composed,
  IDENTITY,
  moved,
  normalised,
  product,
  projection,
  rotationOf,
  turned,
  turnedBack,
  viewingRay,
  type Camera,
  type Rigid,
} from '../src/geometry/camera.ts';
import { byAxis, cross, dot, norm, scaled, unitVector, type Vec3 } from '../src/geometry/vec.ts';
import { homographyOf, mapped } from '../src/maths/homography.ts';
import { cameras, rigids, vectors } from './support/arbitraries.ts';

const near = (a: ArrayLike<number>, b: ArrayLike<number>, within: number): void => {
  expect(a).toHaveLength(b.length);
  for (let i = 0; i < a.length; i++) expect(Math.abs(a[i]! - b[i]!)).toBeLessThan(within);
};

describe('the camera', () => {
  test('without a lens is f x / z + c', () => {
    const camera: Camera = { f: 1000, cx: 320.5, cy: 240, k1: 0, k2: 0 };
    near(projection(camera, [3, -4, 200]), [320.5 + 15, 240 - 20], 1e-12);
    near(projection(camera, [0, 0, 7]), [320.5, 240], 1e-12);
  });

  test('its lens terms are those of the doc: d = x (1 + k1 r^2 + k2 r^4)', () => {
    const camera: Camera = { f: 1000, cx: 0, cy: 0, k1: 0.1, k2: -0.2 };
    // r^2 = 0.25: factor 1 + 0.025 - 0.0125.
    near(projection(camera, [0.3, 0.4, 1]), [300 * 1.0125, 400 * 1.0125], 1e-9);
  });

  test('normalised undoes projection, and the viewing ray goes through the point', () => {
    fc.assert(
      fc.property(cameras, vectors(1), fc.double({ min: 1, max: 1000, noNaN: true }), (camera, v, depth) => {
        const point: Vec3 = [0.45 * v[0] * depth, 0.45 * v[1] * depth, depth];
        const [u, w] = projection(camera, point);
        near(normalised(camera, u, w), [point[0] / depth, point[1] / depth], 1e-11);
        const ray = viewingRay(camera, u, w);
        expect(norm(ray)).toBeCloseTo(1, 12);
        near(cross(ray, unitVector(point)), [0, 0, 0], 1e-11);
      }),
    );
  });

  test('normalised is exact at the principal point', () => {
    expect(normalised({ f: 500, cx: 3, cy: 4, k1: 0.2, k2: 0 }, 3, 4)).toEqual([0, 0]);
  });
});

describe('rotations', () => {
  test('by a quarter turn about each axis', () => {
    const q = Math.PI / 2;
    near(turned(rotationOf([q, 0, 0]), [1, 2, 3]), [1, -3, 2], 1e-12);
    near(turned(rotationOf([0, q, 0]), [1, 2, 3]), [3, 2, -1], 1e-12);
    near(turned(rotationOf([0, 0, q]), [1, 2, 3]), [-2, 1, 3], 1e-12);
  });

  test('by a third of a turn about the diagonal permutes the axes', () => {
    const w = scaled(unitVector([1, 1, 1]), (2 * Math.PI) / 3);
    near(turned(rotationOf(w), [1, 2, 3]), [3, 1, 2], 1e-12);
  });

  test('are orthogonal, keep their axis and turn by their angle', () => {
    fc.assert(
      fc.property(vectors(Math.PI), vectors(10), (w, p) => {
        const r = rotationOf(w);
        near(
          product(r, Float64Array.of(r[0]!, r[3]!, r[6]!, r[1]!, r[4]!, r[7]!, r[2]!, r[5]!, r[8]!)),
          IDENTITY.rotation,
          1e-12,
        );
        near(turned(r, w), w, 1e-12);
        near(turnedBack(r, turned(r, p)), p, 1e-11);
        near(turned(rotationOf(scaled(w, -1)), p), turnedBack(r, p), 1e-11);
        near(product(rotationOf(scaled(w, 0.3)), rotationOf(scaled(w, 0.7))), r, 1e-12);
        expect(r[0]! + r[4]! + r[8]!).toBeCloseTo(1 + 2 * Math.cos(norm(w)), 11);
      }),
    );
  });

  test('by very small angles are exact to first order', () => {
    for (const size of [1e-6, 1e-8, 1e-9, 1e-10, 1e-12, 0]) {
      const w: Vec3 = [size, -2 * size, 0.5 * size];
      const p: Vec3 = [1, 2, 3];
      const linear = cross(w, p);
      // Second order in the angle, and rounding.
      near(turned(rotationOf(w), p), [p[0] + linear[0], p[1] + linear[1], p[2] + linear[2]], 30 * size * size + 1e-15);
    }
  });
});

describe('motions', () => {
  test('composed is one after the other, whatever the brackets', () => {
    fc.assert(
      fc.property(rigids, rigids, rigids, vectors(100), (a, b, c, p) => {
        near(moved(composed(a, b), p), moved(a, moved(b, p)), 1e-9);
        near(moved(composed(composed(a, b), c), p), moved(composed(a, composed(b, c)), p), 1e-9);
        near(moved(composed(a, IDENTITY), p), moved(a, p), 1e-12);
      }),
    );
  });

  test('keep distances and handedness', () => {
    fc.assert(
      fc.property(rigids, vectors(10), vectors(10), (m: Rigid, p, q) => {
        const o = moved(m, [0, 0, 0]);
        const at = (v: Vec3): Vec3 => byAxis((i) => moved(m, v)[i] - o[i]!);
        expect(dot(at(p), at(q))).toBeCloseTo(dot(p, q), 8);
        near(cross(at(p), at(q)), at(cross(p, q)), 1e-8);
      }),
    );
  });
});

describe('the homography', () => {
  const H = Float64Array.of(1.2, -0.3, 140, 0.25, 0.9, -60, 2e-4, -3e-4, 1);
  const through = (points: readonly number[]): number[] =>
    points.flatMap((x, i) => (i % 2 === 0 ? mapped(H, x, points[i + 1]!) : []));

  test.each([
    ['four points', [0, 0, 800, 0, 800, 600, 0, 600]],
    ['five points', [0, 0, 800, 0, 800, 600, 0, 600, 300, 100]],
    ['points far from the origin', [90000, 90000, 90800, 90000, 90800, 90600, 90000, 90600, 90123, 90456]],
  ])('of %s that it made itself comes back', (_, from) => {
    const h = homographyOf(from, through(from));
    expect(h).not.toBeNull();
    for (let k = 0; k < from.length; k += 2)
      near(mapped(h!, from[k]!, from[k + 1]!), mapped(H, from[k]!, from[k + 1]!), 1e-6);
    if (from[0] === 0) near(h!, H, 1e-7);
  });

  test('maps unit square to any quadrangle exactly', () => {
    const quad = [10.5, 20, 310, 35, 280, 255, -12, 190];
    const h = homographyOf([0, 0, 1, 0, 1, 1, 0, 1], quad)!;
    near([...mapped(h, 0, 0), ...mapped(h, 1, 0), ...mapped(h, 1, 1), ...mapped(h, 0, 1)], quad, 1e-9);
    // The diagonals' meeting point maps to the quadrangle's.
    const [x, y] = mapped(h, 0.5, 0.5);
    const off = (i: number, j: number): number => {
      const [ax, ay, bx, by] = [quad[2 * i]!, quad[2 * i + 1]!, quad[2 * j]!, quad[2 * j + 1]!];
      return ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / Math.hypot(bx - ax, by - ay);
    };
    expect(Math.abs(off(0, 2))).toBeLessThan(1e-9);
    expect(Math.abs(off(1, 3))).toBeLessThan(1e-9);
  });

  test.each([
    ['three points', [0, 0, 1, 0, 0, 1]],
    ['points on one line', [0, 0, 1, 1, 2, 2, 3, 3, 4, 4]],
    ['one point many times', [5, 5, 5, 5, 5, 5, 5, 5]],
    ['three of four on a line', [0, 0, 1, 0, 2, 0, 0, 1]],
  ])('of %s is not determined', (_, from) => {
    expect(homographyOf(from, through(from))).toBeNull();
  });
});
