import { moved, type Rigid } from '../../src/geometry/camera.ts';
import type { Vec3 } from '../../src/geometry/vec.ts';
import { seenBalls } from './hulls.ts';
import type { Scene } from './render-card.ts';

// ISO/IEC 7810:2019, ID-1: 85.60 x 53.98 x 0.76 mm, corners of 3.18 mm radius.
const ID1 = { width: 85.6, height: 53.98, thickness: 0.76, radius: 3.18 };

export interface Place {
  readonly x?: number;
  readonly y?: number;
  /** rad */
  readonly turn?: number;
  readonly light?: number;
  readonly height?: number;
  readonly size?: typeof ID1;
}

/** A plate with rounded corners and sharp rims on the card, as balls of a hundredth of a millimetre. */
export function plate(
  pose: Rigid,
  { x = 0, y = 0, turn = 0, light = 0.35, height = 0, size = ID1 }: Place,
): Scene['die'] {
  const small = 0.01;
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const balls: (readonly [Vec3, number])[] = [];
  for (const z of [height + small, height + size.thickness - small])
    for (const i of [-1, 1])
      for (const j of [-1, 1])
        for (let k = 0; k <= 4; k++) {
          const a = (k * Math.PI) / 8;
          const p = i * (size.width / 2 - size.radius + (size.radius - small) * Math.cos(a));
          const q = j * (size.height / 2 - size.radius + (size.radius - small) * Math.sin(a));
          balls.push([moved(pose, [x + cos * p - sin * q, y + sin * p + cos * q, z]), small]);
        }
  return { balls: seenBalls(balls), light };
}
