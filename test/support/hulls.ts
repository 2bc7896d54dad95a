import fc, { type Arbitrary } from 'fast-check';
import type { SeenBalls } from '../../src/geometry/hull.ts';
import { byAxis, cross, dot, norm, unitVector, vec3At, type Vec3 } from '../../src/geometry/vec.ts';
import { vectors } from './arbitraries.ts';

/** Balls within 10 mm of a middle, 150 to 350 mm before the camera. */
export const hulls: Arbitrary<SeenBalls> = fc
  .tuple(
    fc.array(fc.tuple(vectors(8), fc.double({ min: 0.3, max: 3, noNaN: true })), { minLength: 1, maxLength: 14 }),
    fc.double({ min: 150, max: 350, noNaN: true }),
    vectors(60),
  )
  .map(([list, z, aside]) =>
    seenBalls(list.map(([p, r]) => [[p[0] + aside[0], p[1] + aside[1], p[2] + z], r] as const)),
  );

export const seenBalls = (list: readonly (readonly [Vec3, number])[]): SeenBalls => ({
  count: list.length,
  centres: Float64Array.from(list.flatMap(([centre]) => centre)),
  radii: Float64Array.from(list, ([, radius]) => radius),
});

/** Unit vectors square to a direction and to each other. */
export function acrossOf(ray: Vec3): readonly [Vec3, Vec3] {
  const a = unitVector(cross(ray, Math.abs(ray[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0]));
  return [a, cross(ray, a)];
}

/** How far the hull reaches past a ray in the direction `u`, square to it. */
export function reachPast(balls: SeenBalls, u: Vec3): number {
  let best = -Infinity;
  for (let i = 0; i < balls.count; i++) best = Math.max(best, dot(vec3At(balls.centres, i), u) + balls.radii[i]!);
  return best;
}

/** The least reach over all directions round the ray, by trying them all and closing in: minus the signed distance. */
export function leastReach(balls: SeenBalls, ray: Vec3): { readonly value: number; readonly u: Vec3 } {
  const [a, b] = acrossOf(ray);
  const at = (angle: number): Vec3 => byAxis((k) => a[k]! * Math.cos(angle) + b[k]! * Math.sin(angle));
  const value = (angle: number): number => reachPast(balls, at(angle));
  const coarse = 720;
  let best = 0;
  for (let k = 1; k < coarse; k++)
    if (value((2 * Math.PI * k) / coarse) < value((2 * Math.PI * best) / coarse)) best = k;
  let [low, high] = [(2 * Math.PI * (best - 1)) / coarse, (2 * Math.PI * (best + 1)) / coarse];
  // Golden section: between neighbours of the least value the envelope is unimodal.
  const g = (Math.sqrt(5) - 1) / 2;
  for (let k = 0; k < 60; k++) {
    const [p, q] = [high - g * (high - low), low + g * (high - low)];
    if (value(p) < value(q)) high = q;
    else low = p;
  }
  const angle = (low + high) / 2;
  return { value: value(angle), u: at(angle) };
}

/** Distance of a point from a ray through the camera. */
export const distanceFromRay = (p: Vec3, ray: Vec3): number => norm(cross(p, ray));
