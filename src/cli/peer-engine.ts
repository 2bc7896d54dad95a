import RAPIER from '@dimforge/rapier3d-compat';
import { principalAxes } from '../bias/die/principal-axes.ts';
import { HAND, type Table } from '../bias/throws/tables.ts';
import { GRAVITY } from '../bias/throws/throws.ts';
import { ThrowRandom } from '../bias/throws/throw-random.ts';
import type { ThrowBody } from '../bias/throws/throw-body.ts';

/** Dice in one world, and steps per second: where the engine's outcomes no longer changed with either. */
const DICE = 256;
const HZ = 1000;
/** Steps between two looks at the dice, and seconds after which one is taken up again whatever it does. */
const LOOK = 4;
const LONGEST = 8;
const APART = 500;
/** The engine's lengths are cm: its tolerances are made for bodies of about 1. */
const CM = 0.1;

export interface PeerTally {
  readonly counts: Float64Array;
  readonly throws: number;
}

/**
 * The same throws in a general engine (round convex hull on a plane, its own solver): an independent check, and the yardstick for speed.
 * The table's restitution does not fade at low speed there.
 *
 * @param corners  The hull's balls all have this radius, mm.
 * @param form     The engine's rounded hull of the balls' centres, or the balls themselves, joined: several times slower, and what the die is.
 */
export async function peerThrows(
  body: ThrowBody,
  corners: number,
  table: Table,
  seed: number,
  throws: number,
  form: 'hull' | 'balls' = 'hull',
): Promise<PeerTally> {
  await RAPIER.init();
  const world = new RAPIER.World({ x: 0, y: 0, z: -GRAVITY * CM });
  world.timestep = 1 / HZ;
  const surface = (c: RAPIER.ColliderDesc): RAPIER.ColliderDesc =>
    c
      .setFriction(table.mu)
      .setRestitution(table.e)
      .setFrictionCombineRule(RAPIER.CoefficientCombineRule.Min)
      .setRestitutionCombineRule(RAPIER.CoefficientCombineRule.Min);
  world.createCollider(
    surface(RAPIER.ColliderDesc.cuboid(1e4, 1e4, 10).setTranslation(0, 0, -10)).setCollisionGroups(0x00010002),
  );
  const hull = Float32Array.from(
    body.balls.filter((_, i) => i % 4 < 3),
    (x) => x * CM,
  );
  const { moments, turn } = principalTurn(body.inertia);
  const dice = Array.from({ length: DICE }, () => {
    const [x, y, z] = moments.map((m) => m * CM * CM);
    const die = world.createRigidBody(
      RAPIER.RigidBodyDesc.dynamic()
        .setCanSleep(false)
        .setAdditionalMassProperties(1, { x: 0, y: 0, z: 0 }, { x, y, z }, turn),
    );
    const joined = (c: RAPIER.ColliderDesc): void =>
      void world.createCollider(surface(c).setDensity(0).setCollisionGroups(0x00020001), die);
    if (form === 'hull') {
      const shape = RAPIER.ColliderDesc.roundConvexHull(hull, corners * CM);
      if (!shape) throw new Error('the engine makes no hull of this body');
      joined(shape);
    } else
      for (let i = 0; i < hull.length; i += 3)
        joined(RAPIER.ColliderDesc.ball(corners * CM).setTranslation(hull[i], hull[i + 1], hull[i + 2]));
    return { die, age: 0 };
  });
  const random = new ThrowRandom();
  let next = 0;
  dice.forEach(({ die }, i) => release(die, i, body, random, seed, next++));
  const counts = new Float64Array(body.passes.length);
  let done = 0;
  while (done < throws) {
    for (let i = 0; i < LOOK; i++) world.step();
    dice.forEach((d, i) => {
      d.age += LOOK / HZ;
      const face = decided(d.die, body, d.age > LONGEST);
      if (face < 0) return;
      counts[face]++;
      done++;
      d.age = 0;
      release(d.die, i, body, random, seed, next++);
    });
  }
  world.free();
  return { counts, throws: done };
}

function release(
  die: RAPIER.RigidBody,
  i: number,
  body: ThrowBody,
  random: ThrowRandom,
  seed: number,
  index: number,
): void {
  random.start(seed, index);
  const q = [random.bell(), random.bell(), random.bell(), random.bell()];
  const n = Math.hypot(...q);
  const height = HAND.height[0] + (HAND.height[1] - HAND.height[0]) * random.uniform();
  const along = HAND.along[0] + HAND.along[1] * random.bell();
  const up = HAND.up[0] + HAND.up[1] * random.bell();
  const down = Math.sqrt(Math.max(100, up * up + 2 * GRAVITY * (height - body.reach)));
  die.setTranslation({ x: (i % 16) * APART, y: (i >> 4) * APART, z: 1.01 * body.reach * CM }, true);
  die.setRotation({ w: q[0] / n, x: q[1] / n, y: q[2] / n, z: q[3] / n }, true);
  die.setLinvel({ x: along * CM, y: 0, z: -down * CM }, true);
  const spin = (): number => HAND.spin * random.bell();
  die.setAngvel({ x: spin(), y: spin(), z: spin() }, true);
}

/** The face a die can no longer leave, -1 while it can; `now` takes the face below in any case. */
function decided(die: RAPIER.RigidBody, body: ThrowBody, now: boolean): number {
  const { w, x, y, z } = die.rotation();
  const up = [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)];
  const F = body.faces;
  let face = 0;
  let most = -Infinity;
  for (let f = 0; f < body.passes.length; f++) {
    const v = -(F[4 * f] * up[0] + F[4 * f + 1] * up[1] + F[4 * f + 2] * up[2]) * F[4 * f + 3];
    if (v > most) [most, face] = [v, f];
  }
  if (now) return face;
  const v = die.linvel();
  const s = die.angvel();
  const inertia = (body.inertia[0] + body.inertia[1] + body.inertia[2]) / 3;
  const motion = (v.x * v.x + v.y * v.y + v.z * v.z) / (CM * CM) + inertia * (s.x * s.x + s.y * s.y + s.z * s.z);
  return 0.5 * motion + (GRAVITY * die.translation().z) / CM < GRAVITY * body.passes[face] ? face : -1;
}

/** Principal moments, mm^2, and the turn of their axes as a quaternion. */
function principalTurn(inertia: Float64Array): {
  readonly moments: Float64Array;
  readonly turn: { readonly w: number; readonly x: number; readonly y: number; readonly z: number };
} {
  const { moments, axes: a } = principalAxes(inertia);
  const w = Math.sqrt(Math.max(1e-12, 1 + a[0] + a[4] + a[8])) / 2;
  return { moments, turn: { w, x: (a[5] - a[7]) / (4 * w), y: (a[6] - a[2]) / (4 * w), z: (a[1] - a[3]) / (4 * w) } };
}
