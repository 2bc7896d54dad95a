import { expect, test } from 'vitest';
import { bodyOf, type DieState } from '../src/fit/die-state.ts';
import { product, rotationOf } from '../src/geometry/camera.ts';
import { outlineOf, type Outline } from '../src/geometry/outline.ts';
import { dieSolid } from '../src/geometry/solid.ts';
import { baseFace, cardFromBody, seenDie, uprightTurn } from '../src/geometry/standing.ts';
import { scaled, vec3At } from '../src/geometry/vec.ts';
import { tiltedView } from '../src/measure/tilted-photos.ts';
import { radians } from '../src/units.ts';
import { poseOver } from './support/render-card.ts';
import { CAMERA } from './support/synthetic-die.ts';

const solid = dieSolid('d6');
const shape: DieState = {
  solid,
  distances: new Float64Array(6).fill(8),
  radii: new Float64Array(8).fill(0.5),
  stands: [],
};
const photo = { camera: CAMERA, cameraFromCard: poseOver(0, 0, 18, 240), shot: { up: '1', front: '2' } };
const crop = { width: 1, height: 1, channels: 3, data: new Uint8Array(3), left: 0, top: 0 } as const;

/** The ideal outline of the die turned by so much about the card's x axis, over the middle of its face. */
function outline(tilt: number): Outline {
  const flat = cardFromBody(
    uprightTurn(solid, photo.shot),
    { x: 1, y: -2, yaw: 0.1 },
    8 + 8 * Math.sin(Math.abs(tilt)),
  );
  const onCard = { rotation: product(rotationOf([tilt, 0, 0]), flat.rotation), shift: flat.shift };
  const die = seenDie(bodyOf(shape), photo.cameraFromCard, onCard);
  const { xy, normal, count } = outlineOf(die, CAMERA, 3);
  return { xy, normal, sigma: new Float64Array(count).fill(0.1), byTerm: new Float64Array(0), terms: 0 };
}
const stand = { x: 1, y: -2, yaw: 0.1 };
const seen = (tilt: number) =>
  tiltedView(shape, photo, crop, { stand, distance: 8, misfit: 0, outline: outline(tilt) });

test('a die that lies on a mark is tilted, and its face lifted by as much as a plane turned by that angle is', () => {
  const tilt = radians(1.2);
  const view = seen(tilt)!;
  const base = baseFace(solid, '1');
  expect(view.base).toBe(base);
  // From the corner that lies on the card to the middle of the face, along the tilt: the die is turned by 0.1 against it.
  const middle = view.heightOf(scaled(vec3At(solid.normals, base), 8));
  expect(middle).toBeCloseTo(7.5 * (Math.cos(0.1) + Math.sin(0.1)) * Math.sin(tilt), 2);
});

test('a die that lies flat, or as no mark would make it lie, is none', () => {
  expect(seen(0)).toBeNull();
  expect(seen(radians(0.2))).toBeNull();
  expect(seen(radians(7))).toBeNull();
});
