import { expect, test } from 'vitest';
import { seenIn } from '../src/fit/die-state.ts';
import { moved, projection, turnedBack } from '../src/geometry/camera.ts';
import { cross, minus, scaled, unitVector, vec3At, type Vec3 } from '../src/geometry/vec.ts';
import { besideBumps } from '../src/measure/bumps.ts';
import { unevenDie } from './support/synthetic-die.ts';

const plus = (a: Vec3, b: Vec3): Vec3 => minus(a, scaled(b, -1));

test('an outline lies beside a mark as far as the mark reaches across the view, wherever on the face the ray touches it', () => {
  const { truth, photos } = unevenDie('d6', 3);
  const [photo, index, face, reach] = [photos[1]!, 1, 2, 1.2];
  const normal = vec3At(truth.solid.normals, face);
  const foot = plus(scaled(normal, truth.distances[face]!), scaled(unitVector(cross(normal, [0.3, 0.5, 0.8])), 1.5));
  const { cameraFromBody } = seenIn(truth, photo, index);
  const ray = unitVector(turnedBack(cameraFromBody.rotation, moved(cameraFromBody, foot)));
  const across = unitVector(cross(ray, normal));
  const along = cross(normal, across);
  // Nearer by 6 mm of 240 a place lies on a ray that passes the mark 0.04 mm further off.
  const places: { readonly a: number; readonly b: number }[] = [];
  for (const a of [-2.2, -1.68, -1.52, -0.7, 0, 1.52, 1.68, 2.2]) for (const b of [-6, 0, 6]) places.push({ a, b });
  const xy = Float64Array.from(
    places.flatMap(({ a, b }) => [
      ...projection(photo.camera, moved(cameraFromBody, plus(foot, plus(scaled(across, a), scaled(along, b))))),
    ]),
  );
  const crowns = {
    face: Int32Array.from(places, () => face),
    byCrown: new Float64Array(),
    byGlare: new Float64Array(),
    sums: new Float64Array(),
  };
  const beside = besideBumps([{ face, foot, reach }], truth, photo, index, { xy, crowns });
  expect(places.map((_, k) => beside(k))).toEqual(places.map(({ a }) => Math.abs(a) < reach + 0.4));
  // Another face's outline, or a die without marks, loses nothing.
  const other = besideBumps([{ face: 3, foot, reach }], truth, photo, index, { xy, crowns });
  expect(places.some((_, k) => other(k))).toBe(false);
  expect(places.some((_, k) => besideBumps([], truth, photo, index, { xy, crowns })(k))).toBe(false);
});
