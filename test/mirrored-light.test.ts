import { describe, expect, test } from 'vitest';
import { seenIn } from '../src/fit/die-state.ts';
import { projection, turned, turnedBack } from '../src/geometry/camera.ts';
import { dot, scaled, vec3At, type Vec3 } from '../src/geometry/vec.ts';
import type { FaceLight } from '../src/vision/face-light.ts';
import { MirroredLights, type Mirrored } from '../src/vision/mirrored-light.ts';
import type { Crop } from '../src/vision/picture.ts';
import { limbTerm, mirrorShare, roughShare } from '../src/vision/reflectance.ts';
import { sheenOf } from '../src/vision/sheen.ts';
import { toneCurve } from '../src/vision/tone.ts';
import { unevenDie } from './support/synthetic-die.ts';

/** Display values that are light itself. */
const PLAIN = toneCurve((l) => l);
const UNSEEN = 1.7;

/** A picture whose light rises evenly across it. */
const [LEFT, TOP, SIDE] = [900, 500, 1200];
const lightAt = (u: number, v: number): number => 0.2 + (0.5 * (u - LEFT)) / SIDE + (0.2 * (v - TOP)) / SIDE;
const crop: Crop = {
  left: LEFT,
  top: TOP,
  width: SIDE,
  height: SIDE,
  channels: 3,
  data: Uint8Array.from({ length: 3 * SIDE * SIDE }, (_, k) => {
    const p = Math.floor(k / 3);
    return Math.round(255 * lightAt(LEFT + (p % SIDE), TOP + Math.floor(p / SIDE)));
  }),
};

describe('what a face mirrors of the stage', () => {
  const { truth, photos } = unevenDie('d6', 5);
  const cases = photos.flatMap((photo, i) =>
    truth.solid.labels.map((label, f) => ({ name: `photo ${i}, face ${label}`, photo, i, f })),
  );

  test('is the place that the picture shows where the line from the mirrored camera meets it', () => {
    let [looked, unseen] = [0, 0];
    for (const { name, photo, i, f } of cases) {
      const die = seenIn(truth, photo, i);
      const normal = turned(die.cameraFromBody.rotation, vec3At(truth.solid.normals, f));
      const body = scaled(vec3At(truth.solid.normals, f), truth.distances[f]!);
      const point = turned(die.cameraFromBody.rotation, body).map((v, c) => v + die.cameraFromBody.shift[c]!);
      const p: Vec3 = [point[0]!, point[1]!, point[2]!];
      if (dot(p, normal) > -0.1) continue;
      const lights = new MirroredLights(crop, die, photo.camera, photo.cameraFromCard, PLAIN, [1, 1, 1], UNSEEN);
      const seen = lights.at(p, normal);
      // The camera's image in the face's plane, which sees through the plane what the camera sees in it.
      const far = 2 * dot(p, normal);
      const image: Vec3 = [far * normal[0], far * normal[1], far * normal[2]];
      const { rotation, shift } = photo.cameraFromCard;
      const height = (q: Vec3): number => turnedBack(rotation, [q[0] - shift[0], q[1] - shift[1], q[2] - shift[2]])[2];
      const t = height(image) / (height(image) - height(p));
      if (t <= 1) {
        expect(seen.polished.light[0], name).toBe(UNSEEN);
        unseen++;
        continue;
      }
      const met: Vec3 = [
        image[0] + t * (p[0] - image[0]),
        image[1] + t * (p[1] - image[1]),
        image[2] + t * (p[2] - image[2]),
      ];
      const [u, v] = projection(photo.camera, met);
      if (u < LEFT + 5 || v < TOP + 5 || u > LEFT + SIDE - 5 || v > TOP + SIDE - 5) continue;
      for (let c = 0; c < 3; c++) expect(seen.polished.light[c], name).toBeCloseTo(lightAt(u, v), 2);
      expect(seen.rough.light[0], name).toBeGreaterThan(0.2);
      looked++;
    }
    expect(looked).toBeGreaterThan(2);
    expect(unseen).toBeGreaterThan(2);
  });
});

describe('sheen', () => {
  const shown = (light: number): Mirrored => ({ light: [light, light, light], doubt: 0.02 });
  /** Faces of a red die at many slants, whose surroundings are as bright as told. */
  const faces = (mirror: number, rough: number, around: (k: number) => number, told = around): FaceLight[] =>
    Array.from({ length: 40 }, (_, k) => {
      const cosine = 0.07 + (0.9 * k) / 39;
      const [m, r] = [mirrorShare(cosine) - mirrorShare(1), roughShare(cosine) - roughShare(1)];
      const share = mirror * m + rough * r;
      const turn = 2.4 * k;
      const side = Math.sqrt(1 - cosine * cosine);
      const light = [0.3, 0.06, 0.05].map(
        (body) => body * (1 + 0.4 * limbTerm(cosine)) * (1 - share) + share * around(k),
      ) as [number, number, number];
      return {
        cosine,
        normal: [side * Math.cos(turn), side * Math.sin(turn), cosine],
        light,
        mirrored: { polished: shown(told(k)), rough: shown(told(k)) },
        photo: 0,
        scatter: 0.01,
      };
    });
  const prior = { mean: [0.4, 0.7, 0.4], sd: [0.4, 0.4, 0.4] };
  const shaded = (k: number): number => 0.55 + 0.2 * Math.sin(k);

  // Weak beliefs draw them a little to the usual mixture.
  test.each([
    [1, 0],
    [0.4, 0.6],
    [0, 1],
  ])('polished %f and rough %f come back, in the shade too', (mirror, rough) => {
    const found = sheenOf(faces(mirror, rough, shaded), prior);
    expect(Math.abs(found.mirror - mirror)).toBeLessThan(0.15);
    expect(Math.abs(found.rough - rough)).toBeLessThan(0.25);
    expect(Math.abs(found.mirror + found.rough - 1)).toBeLessThan(0.15);
  });

  test('a shade that is not known of reads as a duller surface', () => {
    const found = sheenOf(
      faces(0.4, 0.6, shaded, () => 1),
      prior,
    );
    expect(found.mirror + found.rough).toBeLessThan(0.85);
  });

  test('a matt die is told from a plastic that mirrors', () => {
    const found = sheenOf(
      faces(0, 0, () => 1),
      prior,
    );
    expect(found.mirror + found.rough).toBeLessThan(0.25);
  });
});
