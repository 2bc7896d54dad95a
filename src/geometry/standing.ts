import { composed, product, type Rigid } from './camera.ts';
import type { SeenBalls } from './hull.ts';
import type { Balls, DieSolid } from './solid.ts';
import { cross, dot, norm, scaled, unitVector, vec3At, type Vec3 } from './vec.ts';

/** How a die stands in a photo: which number is up and which faces the reader at the card's lower edge. */
export interface Shot {
  readonly up: string;
  readonly front: string;
}

/** Where it stands on the card: mm, and the turn from facing straight to the card's lower edge, radians. */
export interface Stand {
  readonly x: number;
  readonly y: number;
  readonly yaw: number;
}

/** The face that lies on the card: the one opposite `up`; on a d4 the one named `up`. -1 where no face has that number. */
export function baseFace(solid: DieSolid, up: string): number {
  const f = solid.labels.indexOf(up);
  return f < 0 ? -1 : solid.kind === 'd4' ? f : solid.opposite[f]!;
}

/** Turn of the body that lays the base face flat and has `front` look along -y of the card. */
export function uprightTurn(solid: DieSolid, shot: Shot): Float64Array {
  const down = vec3At(solid.normals, baseFace(solid, shot.up));
  const z = scaled(down, -1);
  const f = vec3At(solid.normals, solid.labels.indexOf(shot.front));
  const level: Vec3 = [f[0] - z[0] * dot(f, z), f[1] - z[1] * dot(f, z), f[2] - z[2] * dot(f, z)];
  // A front that is the up or base face gives no direction; any will do, the yaw is then searched.
  const y =
    norm(level) > 1e-6
      ? scaled(unitVector(level), -1)
      : unitVector(cross(z, Math.abs(z[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0]));
  const x = cross(y, z);
  return Float64Array.of(x[0], x[1], x[2], y[0], y[1], y[2], z[0], z[1], z[2]);
}

export const turnAboutUp = (yaw: number): Float64Array =>
  Float64Array.of(Math.cos(yaw), -Math.sin(yaw), 0, Math.sin(yaw), Math.cos(yaw), 0, 0, 0, 1);

/** Body frame to card frame of a die that stands on its base face, `height` of the body's origin over the card's plane. */
export function cardFromBody(upright: Float64Array, stand: Stand, height: number): Rigid {
  return { rotation: product(turnAboutUp(stand.yaw), upright), shift: [stand.x, stand.y, height] };
}

/** A rounded die as it is seen: the balls in the body frame and in the camera frame. */
export interface SeenDie extends SeenBalls {
  readonly body: Balls;
  readonly cameraFromBody: Rigid;
}

export function seenDie(body: Balls, cameraFromCard: Rigid, onCard: Rigid): SeenDie {
  const cameraFromBody = composed(cameraFromCard, onCard);
  const { rotation: r, shift: t } = cameraFromBody;
  const centres = new Float64Array(body.centres.length);
  for (let i = 0; i < body.count; i++) {
    const x = body.centres[3 * i]!;
    const y = body.centres[3 * i + 1]!;
    const z = body.centres[3 * i + 2]!;
    for (let k = 0; k < 3; k++) centres[3 * i + k] = r[3 * k]! * x + r[3 * k + 1]! * y + r[3 * k + 2]! * z + t[k]!;
  }
  return { count: body.count, centres, radii: body.radii, body, cameraFromBody };
}
