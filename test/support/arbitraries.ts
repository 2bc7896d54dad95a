import fc, { type Arbitrary } from 'fast-check';
import { rotationOf, type Camera, type Rigid } from '../../src/geometry/camera.ts';
import type { Vec3 } from '../../src/geometry/vec.ts';

const number = (min: number, max: number): Arbitrary<number> => fc.double({ min, max, noNaN: true });

/** Three numbers, each at most `size` either way. */
export const vectors = (size: number): Arbitrary<Vec3> =>
  fc.tuple(number(-size, size), number(-size, size), number(-size, size));

/** Cameras with a mild lens, whose distortion rises with the radius out to 0.65. */
export const cameras: Arbitrary<Camera> = fc.record({
  f: number(500, 5000),
  cx: number(-100, 4000),
  cy: number(-100, 3000),
  k1: number(-0.2, 0.2),
  k2: number(-0.15, 0.3),
});

export const rigids: Arbitrary<Rigid> = fc.record({ rotation: vectors(Math.PI).map(rotationOf), shift: vectors(300) });
