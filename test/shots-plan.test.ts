import { describe, expect, test } from 'vitest';
import { CUT, SHAPE_PRIOR } from '../src/fit/normal-equations.ts';
import { doubtOf } from '../src/fit/doubt.ts';
import { axesOf } from '../src/shots/axes.ts';
import { candidates, EDGE_ON, frontsOf, usualShape } from '../src/shots/candidates.ts';
import {
  plannedPhoto,
  plannedState,
  shotInformation,
  USUAL_NOISE,
  USUAL_SETTING,
  type PlannedShot,
} from '../src/shots/information.ts';
import {
  chooseShots,
  criterion,
  expected,
  nothingYet,
  noiseCovariance,
  ranked,
  withShot,
} from '../src/shots/greedy-plan.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { cardFromBody, baseFace, seenDie, uprightTurn } from '../src/geometry/standing.ts';
import { balls } from '../src/geometry/solid.ts';
import { TENS } from '../src/geometry/numbering.ts';
import { commonDoubt, PHOTO_COUNTS, ShotPlanner } from '../src/shots/plan.ts';
import { radians } from '../src/units.ts';

const NO_COMMON = { edge: 0, scale: 0 } as const;

describe('what a shot will say', () => {
  const shots: readonly PlannedShot[] = [
    { up: '1', front: '2', lean: radians(16), turn: radians(15) },
    { up: '2', front: '3', lean: radians(20), turn: radians(-15) },
    { up: '3', front: '5', lean: radians(12), turn: radians(15) },
  ];
  const shape = usualShape(dieSolid('d6'));

  test('summed over shots it is the covariance that the fit states for outlines without residuals', () => {
    const photos = shots.map((s) => plannedPhoto(s, USUAL_SETTING));
    const state = { ...shape, stands: shots.map((s) => plannedState(shape, s.turn).stands[0]!) };
    const body = balls(shape.solid, shape.distances, shape.radii);
    const outlines = shots.map((s, i) => {
      const height = shape.distances[baseFace(shape.solid, s.up)]!;
      const onCard = cardFromBody(uprightTurn(shape.solid, s), state.stands[i]!, height);
      const curve = outlineOf(seenDie(body, photos[i]!.cameraFromCard, onCard), photos[i]!.camera, 4);
      const sigma = new Float64Array(curve.count).fill(USUAL_NOISE.sigma);
      return { xy: curve.xy, normal: curve.normal, sigma, byTerm: new Float64Array(0), terms: 0 };
    });
    const camera = { covariance: new Float64Array((9 + 9 * 3) ** 2), shared: 9, places: [0, 1, 2] };
    const doubt = doubtOf(state, photos, outlines, SHAPE_PRIOR, CUT, USUAL_NOISE.tau, camera, []);
    if (!doubt.ok) throw new Error('rank');
    const own = noiseCovariance(shots.reduce((g, s) => withShot(g, shotInformation(shape, s)), nothingYet(shape)))!;
    const [n, all] = [6 + 8, 6 + 8 + 9];
    for (const { row } of axesOf(shape)) {
      const variance = (m: Float64Array, size: number): number =>
        [...row].reduce((s, a, i) => s + [...row].reduce((t, b, j) => t + a * b * m[i * size + j]!, 0), 0);
      // Points stand twice as far apart here: their sums differ a little.
      expect(Math.abs(Math.log(variance(own, n) / variance(doubt.value.noise, all)))).toBeLessThan(0.1);
    }
  });

  test.each(DIE_KINDS)('of a %s follows the turns of the true die', (kind) => {
    const list = candidates(kind);
    const beside = chooseShots(list, 3).reduce((g, i) => withShot(g, list.information(i)), nothingYet(list.shape));
    const some = list.shots.map((_, i) => i).filter((i) => i % Math.ceil(list.shots.length / 7) === 3);
    for (const i of some) {
      const [turned, direct] = [list.information(i), shotInformation(list.shape, list.shots[i]!)];
      const after = [turned, direct].map((info) => criterion(list.shape, withShot(beside, info)));
      // The die a plan is made for is a little uneven, as no turn leaves it.
      expect(after[0]! / after[1]!).toBeGreaterThan(0.9);
      expect(after[0]! / after[1]!).toBeLessThan(1.12);
      expect(turned.edgeOn).toBeCloseTo(direct.edgeOn, 3);
    }
  });

  test('grows with every photo, and twice the same photos halve the variance that noise gives', () => {
    const info = shots.map((s) => shotInformation(shape, s));
    const once = info.reduce((g, i) => withShot(g, i), nothingYet(shape));
    const merits = [0, 1, 2, 3].map((k) =>
      criterion(
        shape,
        info.slice(0, k).reduce((g, i) => withShot(g, i), nothingYet(shape)),
      ),
    );
    expect([...merits].sort((a, b) => b - a)).toEqual(merits);
    const twice = info.reduce((g, i) => withShot(g, i), once);
    expect(criterion(shape, once) / criterion(shape, twice)).toBeCloseTo(2, 1);
    const u = (g: typeof once): number => expected(shape, g, NO_COMMON).axes[0]!.u;
    expect(u(once) / u(twice)).toBeCloseTo(Math.SQRT2, 1);
  });
});

describe('the choice', () => {
  test('of two photos of a d6 is the best of all pairs, found by trying each', () => {
    const list = candidates('d6');
    const nothing = nothingYet(list.shape);
    let best = Infinity;
    // By symmetry the first may be one of the representatives.
    for (const first of list.representatives)
      best = Math.min(best, ranked(list, withShot(nothing, list.information(first)))[0]!.merit);
    const chosen = chooseShots(list, 2).reduce((g, i) => withShot(g, list.information(i)), nothing);
    expect(criterion(list.shape, chosen) / best).toBeLessThan(1.02);
    const usual = [
      { up: '1', front: '2', lean: 0.2, turn: 0 },
      { up: '2', front: '3', lean: 0.2, turn: 0 },
    ].reduce((g, s) => withShot(g, shotInformation(list.shape, s)), nothing);
    expect(criterion(list.shape, usual) / best).toBeGreaterThan(1.2);
  });

  test.each(DIE_KINDS)('for a %s: every axis known to 0.1 mm by a quick set, better by more photos', (kind) => {
    const planner = new ShotPlanner({ kind, numbering: null, bars: 2 });
    const [quick, usual] = (['quick', 'usual'] as const).map((e) => planner.plan(PHOTO_COUNTS[kind][e]));
    expect(quick!.shots.length).toBe(PHOTO_COUNTS[kind].quick);
    for (const { u } of quick!.expected.axes) expect(2 * u).toBeLessThan(0.1);
    expect(usual!.expected.merit).toBeLessThan(quick!.expected.merit);
    const solid = dieSolid(kind);
    for (const { shot, helps } of usual!.shots) {
      expect(frontsOf(solid, shot.up)).toContain(shot.front);
      expect(helps.length).toBeGreaterThan(0);
      for (const { before, after } of helps) expect(after).toBeLessThan(before);
      expect(shotInformation(usualShape(solid), shot).edgeOn).toBeGreaterThan(0.8 * EDGE_ON);
    }
    expect(planner.plan(PHOTO_COUNTS[kind].usual)).toEqual(usual);
  });

  test('beside photos taken: the next one helps the axis that they tell least of', () => {
    const planner = new ShotPlanner({ kind: 'd6', numbering: null, bars: 2 });
    expect(planner.next([]).reached).toBeNull();
    // Twice the same view from above: the upright axis is all but unknown.
    const view = { up: '1', front: '2', lean: radians(4), turn: radians(15) };
    const { reached, next } = planner.next([view, view]);
    const worst = [...reached!.axes].sort((a, b) => b.u - a.u)[0]!;
    expect(worst.name).toBe('1-6');
    expect(next.helps[0]!.axis).toBe('1-6');
    expect(next.shot.up).not.toBe('1');
    expect(next.expected.merit).toBeLessThan(reached!.merit);
  });

  test('speaks the numbers on the die', () => {
    const { shots } = new ShotPlanner({ kind: 'd10', numbering: TENS, bars: 0 }).plan(4);
    for (const { shot } of shots) expect(Object.keys(TENS)).toContain(shot.up);
  });
});

test('measured check bars take away the common doubt, a second one more', () => {
  const [none, one, two] = ([0, 1, 2] as const).map((bars) => commonDoubt({ kind: 'd6', numbering: null, bars }).scale);
  expect(none).toBeGreaterThan(3 * one!);
  expect(one! / two!).toBeCloseTo(Math.SQRT2, 9);
});
