import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { composed, normalised, rotationOf, viewingRay, type Camera, type Rigid } from '../src/geometry/camera.ts';
import { contactFinder, newContact } from '../src/geometry/hull.ts';
import { convexHull, outlineOf, type OutlineCurve } from '../src/geometry/outline.ts';
import { balls, DIE_KINDS, dieSolid, type DieKind } from '../src/geometry/solid.ts';
import { baseFace, cardFromBody, seenDie, uprightTurn, type SeenDie, type Stand } from '../src/geometry/standing.ts';
import type { Vec3 } from '../src/geometry/vec.ts';
import { vectors } from './support/arbitraries.ts';
import { seenBalls } from './support/hulls.ts';

type Pair = readonly [number, number];

const PINHOLE: Camera = { f: 3000, cx: 1500, cy: 1000, k1: 0, k2: 0 };
const LENS: Camera = { ...PINHOLE, k1: 0.08, k2: -0.1 };

/**
 * Value of the conic that a ball's outline is, over its slope: the distance from it to first order, in normalised coordinates.
 *
 * A ray d touches a ball of centre c and radius r where (c . d)^2 = (c . c - r^2) (d . d): Hartley and Zisserman, "Multiple View
 * Geometry" (2nd ed. 2004), section 8.3, for a quadric's outline.
 */
function fromEllipse(c: Vec3, r: number, x: number, y: number): number {
  const along = c[0] * x + c[1] * y + c[2];
  const q = c[0] ** 2 + c[1] ** 2 + c[2] ** 2 - r * r;
  const value = q * (x * x + y * y + 1) - along * along;
  return value / Math.hypot(2 * q * x - 2 * along * c[0], 2 * q * y - 2 * along * c[1]);
}

/** Area of a closed outline, px^2, positive where it runs clockwise as drawn (y down). */
function area(xy: ArrayLike<number>): number {
  let s = 0;
  for (let i = 0, n = xy.length; i < n; i += 2) s += xy[i]! * xy[(i + 3) % n]! - xy[(i + 2) % n]! * xy[i + 1]!;
  return s / 2;
}

describe('of one ball', () => {
  const balls = fc
    .tuple(vectors(80), fc.double({ min: 2, max: 12, noNaN: true }))
    .map(([p, r]): readonly [Vec3, number] => [[p[0], p[1], 260 + p[2] / 2], r]);

  test.each([
    ['a pinhole camera', PINHOLE],
    ['a lens', LENS],
  ])('the outline is the exact ellipse, as %s sees it, to a thousandth of the radius', (_, camera) => {
    fc.assert(
      fc.property(balls, ([c, r]) => {
        const { xy, count } = outlineOf(seenBalls([[c, r]]), camera, 2);
        expect(xy).toHaveLength(2 * count);
        const size = r / c[2];
        for (let k = 0; k < count; k++) {
          const off = fromEllipse(c, r, ...normalised(camera, xy[2 * k]!, xy[2 * k + 1]!));
          expect(off).toBeLessThan(1e-4 * size);
          expect(off).toBeGreaterThan(-1.2e-3 * size);
        }
      }),
    );
  });

  test('seen straight on it is a circle of radius f r / sqrt(d^2 - r^2)', () => {
    const { xy, count, step } = outlineOf(seenBalls([[[0, 0, 200], 10]]), PINHOLE, 3);
    const radius = (3000 * 10) / Math.sqrt(200 ** 2 - 10 ** 2);
    for (let k = 0; k < count; k++)
      expect(Math.abs(Math.hypot(xy[2 * k]! - 1500, xy[2 * k + 1]! - 1000) - radius)).toBeLessThan(1e-3 * radius);
    expect(area(xy)).toBeGreaterThan(0);
    expect(area(xy) / (Math.PI * radius ** 2)).toBeCloseTo(1, 2);
    expect((count * step) / (2 * Math.PI * radius)).toBeCloseTo(1, 2);
  });

  test('its normals point outwards, square to it', () => {
    const { xy, normal, count } = outlineOf(seenBalls([[[0, 0, 200], 10]]), PINHOLE, 3);
    for (let k = 0; k < count; k++) {
      const r = Math.hypot(xy[2 * k]! - 1500, xy[2 * k + 1]! - 1000);
      const out = ((xy[2 * k]! - 1500) * normal[2 * k]! + (xy[2 * k + 1]! - 1000) * normal[2 * k + 1]!) / r;
      expect(out).toBeGreaterThan(0.999);
    }
  });
});

const cameraFromCard: Rigid = { rotation: rotationOf([Math.PI - 0.3, 0.05, 0.02]), shift: [4, -3, 240] };

/** A die standing on the card, rounded, not quite true. */
function standing(kind: DieKind, stand: Stand, from: Rigid = cameraFromCard): SeenDie {
  const solid = dieSolid(kind);
  const distances = solid.labels.map((_, f) => 9 + 0.05 * Math.sin(7 * f));
  const radii = solid.corners.map((_, c) => 0.6 + 0.2 * Math.sin(5 * c));
  const up = solid.labels.at(-1)!;
  const base = baseFace(solid, up);
  const front = solid.labels.find((label, f) => f !== base && label !== up)!;
  return seenDie(
    balls(solid, distances, radii),
    from,
    cardFromBody(uprightTurn(solid, { up, front }), stand, distances[base]!),
  );
}
const STAND: Stand = { x: 3, y: -2, yaw: 0.7 };

/** Largest distance between points of two outlines that are walked from different starts. */
function apart(a: OutlineCurve, b: OutlineCurve): number {
  expect(b.count).toBe(a.count);
  const gap = (shift: number): number => {
    let worst = 0;
    for (let k = 0; k < a.count; k++) {
      const j = (k + shift) % a.count;
      worst = Math.max(worst, Math.hypot(a.xy[2 * k]! - b.xy[2 * j]!, a.xy[2 * k + 1]! - b.xy[2 * j + 1]!));
    }
    return worst;
  };
  return Math.min(...Array.from({ length: a.count }, (_, shift) => gap(shift)));
}

describe.each(DIE_KINDS)('of a standing %s', (kind) => {
  test('each point lies on the solid: its viewing ray touches', () => {
    for (const yaw of [0, 0.4, 2.2]) {
      const die = standing(kind, { ...STAND, yaw });
      const { xy, count } = outlineOf(die, LENS, 4);
      const find = contactFinder(die);
      const out = newContact();
      for (let k = 0; k < count; k++) {
        find(...viewingRay(LENS, xy[2 * k]!, xy[2 * k + 1]!), out);
        // A thousandth of the largest corner's radius, 0.8 mm: the chord of its sampled rim lies inside.
        expect(out.distance).toBeLessThan(1e-6);
        expect(out.distance).toBeGreaterThan(-8e-4);
      }
    }
  });

  test('it is convex through a pinhole, clockwise as drawn, and evenly walked', () => {
    const { xy, count, step } = outlineOf(standing(kind, STAND), PINHOLE, 3);
    expect(area(xy)).toBeGreaterThan(0);
    for (let k = 0; k < count; k++) {
      const [a, b, c] = [k, (k + 1) % count, (k + 2) % count].map((i): Pair => [xy[2 * i]!, xy[2 * i + 1]!]) as [
        Pair,
        Pair,
        Pair,
      ];
      expect((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])).toBeGreaterThan(-1e-6);
      // A step cuts a sharp tip short by at most a few tenths.
      expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeLessThan(1.01 * step);
      expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeGreaterThan(0.3 * step);
    }
  });

  test('turning the die and the card together under the camera changes nothing', () => {
    const plain = outlineOf(standing(kind, STAND), LENS, 3);
    fc.assert(
      fc.property(fc.double({ min: -3, max: 3, noNaN: true }), (angle) => {
        const [c, s] = [Math.cos(angle), Math.sin(angle)];
        const turnedStand = { x: c * STAND.x - s * STAND.y, y: s * STAND.x + c * STAND.y, yaw: STAND.yaw + angle };
        const back: Rigid = { rotation: rotationOf([0, 0, -angle]), shift: [0, 0, 0] };
        const other = outlineOf(standing(kind, turnedStand, composed(cameraFromCard, back)), LENS, 3);
        expect(other.count).toBe(plain.count);
        for (let k = 0; k < plain.xy.length; k++) expect(Math.abs(other.xy[k]! - plain.xy[k]!)).toBeLessThan(1e-6);
      }),
      { numRuns: 20 },
    );
  });

  test('rolling the camera about its axis turns the outline about the principal point', () => {
    const plain = outlineOf(standing(kind, STAND), LENS, 8);
    for (const angle of [0.3, 1.9, -2.5]) {
      const rolled = composed({ rotation: rotationOf([0, 0, angle]), shift: [0, 0, 0] }, cameraFromCard);
      const other = outlineOf(standing(kind, STAND, rolled), LENS, 8);
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      const back = other.xy.map((_, k) => {
        const [x, y] = [other.xy[k - (k % 2)]! - LENS.cx, other.xy[k - (k % 2) + 1]! - LENS.cy];
        return k % 2 === 0 ? LENS.cx + c * x + s * y : LENS.cy - s * x + c * y;
      });
      // The walk begins at another point, up to half a step off; the rim is sampled in other directions.
      expect(apart({ ...plain }, { ...other, xy: back })).toBeLessThan(plain.step / 2 + 0.05);
      expect(area(back) / area(plain.xy)).toBeCloseTo(1, 3);
    }
  });
});

test('the convex hull of a grid is its four corners, clockwise as drawn', () => {
  const grid = Array.from({ length: 35 }, (_, k) => [k % 7, Math.floor(k / 7)]).flat();
  expect(convexHull(grid)).toEqual([0, 0, 6, 0, 6, 4, 0, 4]);
});

test('the convex hull holds all points and turns one way', () => {
  fc.assert(
    fc.property(fc.array(vectors(100), { minLength: 3, maxLength: 60 }), (points) => {
      const hull = convexHull(points.flatMap(([x, y]) => [x, y]));
      fc.pre(hull.length >= 6);
      for (let i = 0; i < hull.length; i += 2) {
        const [ax, ay, bx, by] = [hull[i]!, hull[i + 1]!, hull[(i + 2) % hull.length]!, hull[(i + 3) % hull.length]!];
        for (const [x, y] of points) expect((bx - ax) * (y - ay) - (by - ay) * (x - ax)).toBeGreaterThan(-1e-9);
      }
    }),
  );
});
