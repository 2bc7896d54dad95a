import { describe, expect, test } from 'vitest';
import { contactFinder, newContact } from '../src/geometry/hull.ts';
import { newHit, RayCaster } from '../src/geometry/ray-cast.ts';
import { viewingRay } from '../src/geometry/camera.ts';
import { believedCrowns, crownPrecision, HIDDEN_ALIKE } from '../src/fit/crown-prior.ts';
import {
  moveState,
  parameterCount,
  seenIn,
  shapeCount,
  withCrowns,
  type DieState,
  type FitPhoto,
} from '../src/fit/die-state.ts';
import { elevations } from '../src/fit/grazed.ts';
import { photoRows, WIDTH } from '../src/fit/photo-rows.ts';
import { crownPrior, FINISH_PRIOR } from '../src/measure/finish.ts';
import { hiddenCrown } from '../src/measure/flatness.ts';
import { choleskyInverse, cholesky } from '../src/maths/linear.ts';
import { dieSolid } from '../src/geometry/solid.ts';
import { CAMERA, centred, exactOutline } from './support/synthetic-die.ts';
import { poseOver } from './support/render-card.ts';

const CROWN = 0.05;

/** A d6 of 16 mm right under the camera, shifted so that one side face is seen at the wanted angle, radians; all faces crowned. */
function grazing(angle: number): { state: DieState; photo: FitPhoto; face: number } {
  const solid = dieSolid('d6');
  const photo: FitPhoto = { camera: CAMERA, cameraFromCard: poseOver(0, 0, 0, 250), shot: { up: '1', front: '2' } };
  const flat = (x: number): DieState =>
    centred({
      solid,
      distances: Float64Array.from(solid.labels, (_, f) => 8 + 0.01 * Math.sin(f)),
      radii: new Float64Array(solid.corners.length).fill(0.6),
      stands: [{ x, y: 3, yaw: 0 }],
    });
  const at = (x: number): readonly [DieState, number[]] => {
    const state = withCrowns(flat(x), new Float64Array(6).fill(CROWN));
    return [state, elevations(state, photo, 0)];
  };
  // The side face that looks to larger x is seen edge-on where the camera stands over it.
  let [low, high] = [-20, 20];
  const over = at(0)[1];
  const side = [2, 3, 4, 5].map(String).map((l) => solid.labels.indexOf(l));
  const face = side.reduce((a, b) => (at(5)[1][b]! - over[b]! > at(5)[1][a]! - over[a]! ? b : a));
  for (let k = 0; k < 60; k++) {
    const middle = (low + high) / 2;
    if (at(middle)[1][face]! < angle) low = middle;
    else high = middle;
  }
  return { state: at(low)[0], photo, face };
}

describe('a crowned face seen edge-on', () => {
  test.each([0, 0.004, -0.004])('stands out by b (1 - d a / 2 b)^2 in its middle, d = %f', (angle) => {
    const { state, photo, face } = grazing(angle);
    const flat = { ...state, crowns: state.crowns!.map(() => 0) };
    const outline = exactOutline(flat, photo, 0, 2);
    const [withCrown, without] = [seenIn(state, photo, 0), seenIn(flat, photo, 0, state.crowns)].map(contactFinder);
    let most = 0;
    const [a, b] = [newContact(), newContact()];
    for (let k = 0; k < outline.sigma.length; k++) {
      const [x, y, z] = viewingRay(CAMERA, outline.xy[2 * k]!, outline.xy[2 * k + 1]!);
      withCrown!(x, y, z, a);
      without!(x, y, z, b);
      most = Math.max(most, b.distance - a.distance);
    }
    const half = 8 - 0.6;
    // The land's two sides stand for its rim; perspective turns the view by less than its width over the distance, upright by nothing.
    const due = CROWN * (1 - (Math.abs(angle) * half) / (2 * CROWN)) ** 2;
    expect(1e3 * Math.abs(most - due), `face ${face}`).toBeLessThan(1.5);
  });

  test('derivatives by every parameter, crowns among them, agree with central differences', () => {
    const { state, photo } = grazing(0.002);
    const outline = exactOutline(state, photo, 0, 2);
    const rows = photoRows(state, photo, 0, outline, false);
    const n = parameterCount(state);
    const h = 1e-6;
    let checked = 0;
    for (let p = 0; p < n; p++) {
      const [low, high] = [-h, h].map((s) => {
        const moved = moveState(
          state,
          Float64Array.from({ length: n }, (_, i) => (i === p ? s : 0)),
        );
        return photoRows(moved, photo, 0, outline, false);
      }) as [typeof rows, typeof rows];
      for (let k = 0; k < rows.count; k++) {
        if ([low, high].some((o) => o.first[k] !== rows.first[k] || o.second[k] !== rows.second[k])) continue;
        let stated = 0;
        for (let e = k * WIDTH; e < (k + 1) * WIDTH; e++) if (rows.index[e] === p) stated += rows.value[e]!;
        const seen = (high.residual[k]! - low.residual[k]!) / (2 * h);
        expect(Math.abs(seen - stated), `parameter ${p}, point ${k}`).toBeLessThan(2e-4 * (1 + Math.abs(seen)));
        if (p >= shapeCount(state) - 6 && p < shapeCount(state) && stated !== 0) checked++;
      }
    }
    expect(checked, 'points that hang on a crown').toBeGreaterThan(20);
  });

  test('rays meet the crown where its height says, with the normal of its slope', () => {
    const { state, photo, face } = grazing(0);
    const die = seenIn(state, photo, 0);
    const caster = new RayCaster(die, state.solid);
    const { normal, middle } = die.crowns!.faces.find((c) => c.face === face)!;
    // From above its middle the ray passes 0.02 mm under the crown's top.
    const at = normal.map((v, k) => middle[k]! + (CROWN - 0.02) * v) as [number, number, number];
    const length = Math.hypot(...at);
    const hit = newHit();
    caster.cast(at[0] / length, at[1] / length, at[2] / length, hit);
    const facing = normal[0] * hit.nx + normal[1] * hit.ny + normal[2] * hit.nz;
    // Height b (1 - g^2) left of 0.03: g = sqrt(0.4), slope 2 b g / a.
    const slope = (2 * CROWN * Math.sqrt(0.02 / CROWN)) / 7.4;
    expect(Math.acos(facing)).toBeGreaterThan(0.85 * slope);
    expect(Math.acos(facing)).toBeLessThan(1.15 * slope);
  });
});

test('beliefs about crowns: precision is the inverse of common and own variance', () => {
  const prior = { mean: 0.01, common: 0.03, own: 0.01 };
  const { own, shared } = crownPrecision(prior, 5);
  const precision = Float64Array.from({ length: 25 }, (_, k) => (k % 6 === 0 ? own : 0) - shared);
  const covariance = choleskyInverse(cholesky(precision, 5, 0)!, 5);
  covariance.forEach((v, k) => expect(v / (prior.common ** 2 + (k % 6 === 0 ? prior.own ** 2 : 0))).toBeCloseTo(1, 9));
});

test('a hand test narrows what the finish says, towards what the hand found', () => {
  const still = crownPrior({ finish: 'tumbled', handTest: 'still' });
  expect(still.common).toBeLessThan(FINISH_PRIOR.tumbled.common);
  expect(still.mean).toBeLessThan(FINISH_PRIOR.tumbled.mean);
  expect(crownPrior({}).mean).toBe(0);
  expect(crownPrior({ handTest: 'spins' }).mean).toBeGreaterThan(0.02);
});

test('a die with sharp corners is believed to have lower crowns, unless its finish is named', () => {
  const [sharp, round] = [0.2, 0.9].map((radius) => crownPrior({}, radius));
  expect(sharp!.common).toBeLessThan(0.4 * round!.common);
  expect(round).toEqual(FINISH_PRIOR.unknown);
  expect(crownPrior({ finish: 'tumbled' }, 0.2)).toEqual(FINISH_PRIOR.tumbled);
});

test('a face seen edge-on without a crown narrows all crowns: as the Gaussian update of one witness says in closed form', () => {
  const prior = { mean: 0.02, common: 0.03, own: 0.01 };
  const u = 0.02;
  const { values, covariance } = believedCrowns(prior, 3, [{ face: 1, u }]);
  const own = prior.common ** 2 + prior.own ** 2;
  const seen = own + u ** 2 + HIDDEN_ALIKE ** 2;
  expect(covariance[4]! / (own - own ** 2 / seen)).toBeCloseTo(1, 12);
  expect(covariance[0]! / (own - prior.common ** 4 / seen)).toBeCloseTo(1, 12);
  expect(values[1]! / (prior.mean * (1 - own / seen))).toBeCloseTo(1, 12);
  expect(values[0]! / (prior.mean * (1 - prior.common ** 2 / seen))).toBeCloseTo(1, 12);
  // What may hide all crowns alike stays, however many faces are seen.
  const many = believedCrowns(
    prior,
    3,
    Array.from({ length: 60 }, (_, k) => ({ face: k % 3, u })),
  );
  expect(Math.sqrt(many.covariance[0]!)).toBeGreaterThan(0.8 * HIDDEN_ALIKE);
});

test('the crown that may hide at an angle is the one that stands out by just so much there', () => {
  for (const fall of [0, 0.02, 0.06]) {
    const b = hiddenCrown(0.01, fall);
    expect(b * (1 - fall / (2 * b)) ** 2).toBeCloseTo(0.01, 12);
  }
});
