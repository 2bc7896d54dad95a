import { expect, test } from 'vitest';
import { composed, rotationOf, turned, type Rigid } from '../src/geometry/camera.ts';
import { balls } from '../src/geometry/solid.ts';
import { baseFace, cardFromBody, seenDie, uprightTurn } from '../src/geometry/standing.ts';
import type { Vec3 } from '../src/geometry/vec.ts';
import { fates, measured, sampleJob, type SetPhoto } from './support/measuring.ts';
import { poseOver, rendered, scene } from './support/render-card.ts';
import { unevenDie } from './support/synthetic-die.ts';

const { truth } = unevenDie('d6', 3);
const shots = [
  { photo: '1.jpg', up: '1', front: '2' },
  { photo: '2.jpg', up: '2', front: '3' },
  { photo: '3.jpg', up: '3', front: '1' },
];
const width = 1200;

/** A rendered photo of the die, lifted on one side by `tilt` degrees, as if it lay on a crumb. */
function photoOf(i: number, tilt: number): SetPhoto {
  const { up, front } = shots[i]!;
  const cameraFromCard = poseOver(14 + 5 * i, 20 * i, 0, 190);
  const height = truth.distances[baseFace(truth.solid, up)]!;
  const flat = cardFromBody(uprightTurn(truth.solid, { up, front }), { x: 2, y: 1, yaw: 0.2 - 0.1 * i }, height);
  const rotation = rotationOf([0, (tilt * Math.PI) / 180, 0]);
  const edge: Vec3 = [10, 1, 0];
  const back = turned(rotation, edge);
  const lifted: Rigid = { rotation, shift: [edge[0] - back[0], edge[1] - back[1], edge[2] - back[2]] };
  const body = balls(truth.solid, truth.distances, truth.radii);
  const die = seenDie(body, cameraFromCard, composed(lifted, flat));
  const picture = rendered(
    scene({ width, height: 960, cameraFromCard, die: { balls: die, light: 0.15 }, samples: 4, seed: i + 1 }),
  );
  return { name: shots[i]!.photo, picture, focal: 1.2 * width };
}

const flat = shots.map((_, i) => photoOf(i, 0));
const job = sampleJob('d6', { shots });

test('a die that stands flat each time is measured', () => {
  const outcome = measured(job, flat);
  expect(fates(outcome)).toEqual(['used', 'used', 'used']);
  if (!outcome.ok) return;
  for (const { name, length, u } of outcome.value.axes) {
    const [a, b] = name.split('-').map((label) => truth.distances[truth.solid.labels.indexOf(label)]!) as [
      number,
      number,
    ];
    expect(Math.abs(length - a - b), name).toBeLessThan(Math.min(2 * u, 0.03));
  }
});

test('one that is lifted by 15 degrees in one photo: that photo is left out', () => {
  const outcome = measured(
    job,
    flat.map((p, i) => (i === 1 ? photoOf(1, 15) : p)),
  );
  expect(fates(outcome)).toEqual(['used', 'left-out: misfit', 'used']);
});

test('one that is lifted by 4 degrees: three photos are too few to say which, but they are not all taken', () => {
  const outcome = measured(
    job,
    flat.map((p, i) => (i === 1 ? photoOf(1, 4) : p)),
  );
  expect(fates(outcome).filter((f) => f === 'used').length).toBeLessThan(3);
});
