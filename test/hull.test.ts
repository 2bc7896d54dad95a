import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { rotationOf, turned } from '../src/geometry/camera.ts';
import { contactFinder, newContact, type Contact, type SeenBalls } from '../src/geometry/hull.ts';
import { byAxis, dot, minus, norm, unitVector, vec3At, type Vec3 } from '../src/geometry/vec.ts';
import { vectors } from './support/arbitraries.ts';
import { distanceFromRay, hulls, leastReach, reachPast, seenBalls } from './support/hulls.ts';

function contact(balls: SeenBalls, ray: Vec3): Contact {
  const out = newContact();
  contactFinder(balls)(ray[0], ray[1], ray[2], out);
  return out;
}

const middle = (balls: SeenBalls): Vec3 => {
  let m: Vec3 = [0, 0, 0];
  for (let i = 0; i < balls.count; i++) m = byAxis((k) => m[k] + vec3At(balls.centres, i)[k] / balls.count);
  return m;
};

/** A ray that passes a hull of balls at about its outline or outside, and the hull. */
const passing = fc
  .tuple(hulls, vectors(30))
  .map(([balls, off]) => ({ balls, ray: unitVector(byAxis((k) => middle(balls)[k] + off[k]!)) }));

test('of one ball the distance is that of its centre from the ray, minus its radius', () => {
  fc.assert(
    fc.property(vectors(50), vectors(60), fc.double({ min: 0.1, max: 20, noNaN: true }), (p, aim, radius) => {
      const centre: Vec3 = [p[0], p[1], 250 + p[2]];
      const ray = unitVector([aim[0], aim[1], 250]);
      const { distance, first, second } = contact(seenBalls([[centre, radius]]), ray);
      expect(Math.abs(distance - (distanceFromRay(centre, ray) - radius))).toBeLessThan(1e-9);
      expect([first, second]).toEqual([0, 0]);
    }),
  );
});

test('of two equal balls beside each other it is the distance of the straight skin between them', () => {
  const balls = seenBalls([
    [[-5, 0, 200], 1],
    [[5, 0, 200], 1],
  ]);
  const ray = unitVector([0, 4, 200]);
  const { distance, share, uy, first, second } = contact(balls, ray);
  // The ray passes the line between the centres at 200 sin(angle) with tan = 4 / 200.
  expect(distance).toBeCloseTo((200 * 4) / Math.hypot(200, 4) - 1, 12);
  expect(share).toBeCloseTo(0.5, 9);
  expect(new Set([first, second])).toEqual(new Set([0, 1]));
  expect(uy).toBeGreaterThan(0.99);
});

test('a guess, right or wrong, changes nothing', () => {
  fc.assert(
    fc.property(passing, fc.nat(20), fc.nat(20), ({ balls, ray }, first, second) => {
      const plain = contact(balls, ray);
      // Inside there are several local answers, and a guess may keep to another.
      fc.pre(plain.distance > 0);
      const find = contactFinder(balls);
      for (const [a, b] of [
        [first, second],
        [first, first],
        [plain.first, plain.second],
        [-1, 3],
      ] as const) {
        const out = newContact();
        find(ray[0], ray[1], ray[2], out, a, b);
        expect(Math.abs(out.distance - plain.distance)).toBeLessThan(1e-9);
        expect(Math.hypot(out.ux - plain.ux, out.uy - plain.uy, out.uz - plain.uz)).toBeLessThan(1e-5);
      }
    }),
  );
});

test('outside, and inside near the outline, it is what trying all directions gives', () => {
  let checked = 0;
  fc.assert(
    fc.property(passing, ({ balls, ray }) => {
      const brute = leastReach(balls, ray);
      // Deep inside there are several local answers, and none is promised.
      fc.pre(brute.value < 0.25);
      checked++;
      const found = contact(balls, ray);
      expect(Math.abs(found.distance + brute.value)).toBeLessThan(1e-7);
    }),
    { numRuns: 400 },
  );
  expect(checked).toBeGreaterThan(200);
});

test('balls that stand one behind the other, alike but for rounding, are one', () => {
  const ray = unitVector([-0.0085, 0.4767, 1]);
  const [x, y, z] = [0, 59.999999999999886, 158.79106660024388];
  const one = contact(seenBalls([[[x, y, z], 3]]), ray).distance;
  const alike = seenBalls([
    [[3e-195, y, z], 0.3],
    [[-1.5e-94, y, z], 0.3],
    [[3e-195, y, z], 2.999999999999999],
    [[-8, y, z], 1.3],
    [[-1.4e-65, y, z], 3],
  ]);
  expect(contact(alike, ray).distance).toBeCloseTo(one, 9);
  const behind = seenBalls([
    [[0, 0, 200], 2],
    [[0, 0, 204], 2],
    [[0, 0, 210], 2],
  ]);
  expect(contact(behind, [0, 0.02, Math.sqrt(1 - 0.0004)]).distance).toBeCloseTo(4 - 2, 9);
});

test('its direction is square to the ray, of unit length, and reaches the distance; its balls carry it', () => {
  fc.assert(
    fc.property(passing, ({ balls, ray }) => {
      const { distance, ux, uy, uz, first, second, share } = contact(balls, ray);
      fc.pre(distance > -0.25);
      const u: Vec3 = [ux, uy, uz];
      expect(norm(u)).toBeCloseTo(1, 10);
      expect(dot(u, ray)).toBeCloseTo(0, 10);
      expect(Math.abs(reachPast(balls, u) + distance)).toBeLessThan(1e-9);
      for (const i of [first, second])
        expect(Math.abs(dot(vec3At(balls.centres, i), u) + balls.radii[i]! + distance)).toBeLessThan(1e-7);
      expect(share).toBeGreaterThanOrEqual(0);
      expect(share).toBeLessThanOrEqual(1);
    }),
  );
});

test('it is as smooth as a distance is: nearby rays have nearby distances', () => {
  fc.assert(
    fc.property(passing, vectors(1), ({ balls, ray }, step) => {
      const other = unitVector(byAxis((k) => ray[k] + 1e-5 * step[k]!));
      const [a, b] = [contact(balls, ray).distance, contact(balls, other).distance];
      fc.pre(a > -0.25);
      const turn = norm(minus(ray, other));
      // The solid lies within 450 mm of the camera.
      expect(Math.abs(a - b)).toBeLessThan(450 * turn + 1e-9);
    }),
  );
});

test('its slopes by centres and radii are the direction and the shares', () => {
  fc.assert(
    fc.property(passing, ({ balls, ray }) => {
      const { distance, ux, uy, uz, first, second, share } = contact(balls, ray);
      // Where two balls share the point almost wholly on one side, a step may change who carries it.
      fc.pre(distance > -0.25 && (first === second || (share > 0.01 && share < 0.99)));
      const h = 1e-5;
      const slope = (i: number, move: readonly number[], grow: number): number => {
        const at = (s: number): number => {
          const centres = balls.centres.map((v, k) => (k >= 3 * i && k < 3 * i + 3 ? v + s * move[k - 3 * i]! : v));
          const radii = balls.radii.map((v, k) => (k === i ? v + s * grow : v));
          return contact({ count: balls.count, centres, radii }, ray).distance;
        };
        return (at(h) - at(-h)) / (2 * h);
      };
      const carried = (i: number): number => (i === first ? share : 0) + (i === second ? 1 - share : 0);
      for (const i of new Set([first, second])) {
        const weight = carried(i);
        [ux, uy, uz].forEach((c, k) => {
          const unit = [0, 0, 0];
          unit[k] = 1;
          expect(Math.abs(slope(i, unit, 0) + weight * c)).toBeLessThan(2e-3);
        });
        expect(Math.abs(slope(i, [0, 0, 0], 1) + weight)).toBeLessThan(2e-3);
      }
    }),
  );
});

describe('laws', () => {
  test('turning the solid and the ray together changes nothing', () => {
    fc.assert(
      fc.property(passing, vectors(0.6), ({ balls, ray }, w) => {
        const r = rotationOf(w);
        const turnedBalls = seenBalls(
          Array.from(
            { length: balls.count },
            (_, i) => [turned(r, vec3At(balls.centres, i)), balls.radii[i]!] as const,
          ),
        );
        const [a, b] = [contact(balls, ray), contact(turnedBalls, turned(r, ray))];
        fc.pre(a.distance > -0.25);
        expect(Math.abs(a.distance - b.distance)).toBeLessThan(1e-7);
        const u = turned(r, [a.ux, a.uy, a.uz]);
        // Only a hull of one straight ridge seen end-on has two directions; chance does not make one.
        expect(dot(u, [b.ux, b.uy, b.uz])).toBeGreaterThan(1 - 1e-6);
      }),
    );
  });

  test('the order of the balls, and balls inside others, change nothing', () => {
    fc.assert(
      fc.property(passing, fc.nat(), ({ balls, ray }, pick) => {
        const i = pick % balls.count;
        const list = Array.from(
          { length: balls.count },
          (_, k) => [vec3At(balls.centres, k), balls.radii[k]!] as const,
        );
        const inner = [list[i]![0], 0.5 * list[i]![1]] as const;
        const before = contact(balls, ray).distance;
        fc.pre(before > -0.25);
        expect(Math.abs(contact(seenBalls([...list].reverse()), ray).distance - before)).toBeLessThan(1e-9);
        expect(Math.abs(contact(seenBalls([inner, ...list]), ray).distance - before)).toBeLessThan(1e-9);
      }),
    );
  });

  test('a larger hull is nearer', () => {
    fc.assert(
      fc.property(passing, vectors(8), ({ balls, ray }, p) => {
        const list = Array.from(
          { length: balls.count },
          (_, k) => [vec3At(balls.centres, k), balls.radii[k]!] as const,
        );
        const m = middle(balls);
        const more = seenBalls([...list, [[m[0] + p[0], m[1] + p[1], m[2] + p[2]], 1]]);
        const [a, b] = [contact(balls, ray).distance, contact(more, ray).distance];
        fc.pre(a > -0.25 && b > -0.25);
        expect(b).toBeLessThan(a + 1e-9);
      }),
    );
  });
});
