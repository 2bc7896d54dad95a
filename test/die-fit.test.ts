import { describe, expect, test } from 'vitest';
import { composed, product, rotationOf, turned, type Camera, type Rigid } from '../src/geometry/camera.ts';
import { turnsOf } from '../src/geometry/symmetry.ts';
import { balls, DIE_KINDS, dieSolid, type DieKind } from '../src/geometry/solid.ts';
import { fitDie } from '../src/fit/die-fit.ts';
import { parameterCount, type DieState, type FitPhoto } from '../src/fit/die-state.ts';
import { CUT, SHAPE_PRIOR } from '../src/fit/normal-equations.ts';
import { CAMERA_WIDTH } from '../src/fit/camera-rows.ts';
import { photoRows, WIDTH } from '../src/fit/photo-rows.ts';
import { NO_TAU } from '../src/fit/stretches.ts';
import { photoForms } from '../src/fit/turn-check.ts';
import { trueDie } from '../src/measure/coarse.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { byAxis, type Vec3 } from '../src/geometry/vec.ts';
import { CAMERA, exactOutline, shifted, unevenDie } from './support/synthetic-die.ts';

const max = (values: Iterable<number>): number => Math.max(0, ...[...values].map(Math.abs));

/** The state with one parameter moved. */
function movedBy(state: DieState, parameter: number, step: number): DieState {
  const [faces, corners] = [state.distances.length, state.radii.length];
  const at = (values: Float64Array, from: number): Float64Array =>
    values.map((v, k) => (k + from === parameter ? v + step : v));
  const stands = state.stands.map((s, i) => {
    const k = parameter - faces - corners - 3 * i;
    return { x: s.x + (k === 0 ? step : 0), y: s.y + (k === 1 ? step : 0), yaw: s.yaw + (k === 2 ? step : 0) };
  });
  return { ...state, distances: at(state.distances, 0), radii: at(state.radii, faces), stands };
}

type Rows = ReturnType<typeof photoRows>;
/** Points that touch the same balls in all of these: where they change, a derivative jumps. */
const steady = (base: Rows, ...others: Rows[]): number[] =>
  Array.from({ length: base.count }, (_, k) => k).filter((k) =>
    others.every((o) => o.first[k] === base.first[k] && o.second[k] === base.second[k]),
  );

describe.each(DIE_KINDS)('derivatives of a %s', (kind) => {
  // The faces that meet at a d8's or d20's corner do not meet in one point: such a corner has several balls.
  const { truth, photos } = unevenDie(kind, 7, 2);
  const i = photos.length - 1;
  const photo = photos[i]!;
  const outline = exactOutline(truth, photo, i, 3);
  const rows = photoRows(truth, photo, i, outline, true);

  test('the outline is that of the solid itself', () => {
    expect(max(rows.residual)).toBeLessThan(1e-9);
  });

  test('by every distance, radius and place', () => {
    const h = 1e-5;
    let checked = 0;
    for (let p = 0; p < parameterCount(truth); p++) {
      const [low, high] = [-h, h].map((s) => photoRows(movedBy(truth, p, s), photo, i, outline, false)) as [Rows, Rows];
      const stated = new Float64Array(rows.count);
      for (let e = 0; e < rows.index.length; e++)
        if (rows.index[e] === p) stated[Math.floor(e / WIDTH)]! += rows.value[e]!;
      const points = steady(rows, low, high);
      expect(points.length / rows.count, `parameter ${p}`).toBeGreaterThan(0.9);
      for (const k of points) {
        const seen = (high.residual[k]! - low.residual[k]!) / (2 * h);
        expect(Math.abs(seen - stated[k]!), `parameter ${p}, point ${k}`).toBeLessThan(1e-4 * (1 + Math.abs(seen)));
        if (stated[k] !== 0) checked++;
      }
    }
    expect(checked).toBeGreaterThan(3 * rows.count);
  });

  test('by the camera, the focal change, and the turn and shift of the card', () => {
    const h = 1e-6;
    const { cameraFromCard: pose } = photo;
    const posed = (cameraFromCard: Rigid): FitPhoto => ({ ...photo, cameraFromCard });
    const lens = (camera: Camera): FitPhoto => ({ ...photo, camera });
    const unit = (k: number, s: number): Vec3 => byAxis((j) => (j === k ? s : 0));
    const turnedBy = (w: Vec3): FitPhoto =>
      posed({ rotation: product(rotationOf(w), pose.rotation), shift: turned(rotationOf(w), pose.shift) });
    const shiftedBy = (t: Vec3): FitPhoto =>
      posed({ rotation: pose.rotation, shift: byAxis((k) => pose.shift[k] + t[k]) });
    const changed = (column: number, s: number): FitPhoto => {
      if (column === 0 || column === 5) return lens({ ...CAMERA, f: CAMERA.f * Math.exp(s) });
      if (column < 5) {
        const name = (['f', 'cx', 'cy', 'k1', 'k2'] as const)[column]!;
        return lens({ ...CAMERA, [name]: CAMERA[name] + s });
      }
      if (column > 11) return lens({ ...CAMERA, [column === 12 ? 'skew' : 'stretch']: s });
      return column < 9 ? turnedBy(unit(column - 6, s)) : shiftedBy(unit(column - 9, s));
    };
    for (let column = 0; column < CAMERA_WIDTH; column++) {
      const [low, high] = [-h, h].map((s) => photoRows(truth, changed(column, s), i, outline, false)) as [Rows, Rows];
      const size = max(Array.from({ length: rows.count }, (_, k) => rows.camera![CAMERA_WIDTH * k + column]!));
      for (const k of steady(rows, low, high)) {
        const seen = (high.residual[k]! - low.residual[k]!) / (2 * h);
        expect(Math.abs(seen - rows.camera![CAMERA_WIDTH * k + column]!), `column ${column}, point ${k}`).toBeLessThan(
          1e-3 * size,
        );
      }
    }
  });
});

test('turning and shifting card and camera together changes nothing', () => {
  const { truth, photos } = unevenDie('d12', 3, 1);
  const photo = photos[0]!;
  const outline = exactOutline(truth, photo, 0, 4);
  const { x, y, yaw } = truth.stands[0]!;
  // The card turned about its upward axis and shifted in its plane under a die that stays where it is.
  const [angle, dx, dy] = [0.7, 11, -5];
  const cardFromCard: Rigid = { rotation: rotationOf([0, 0, angle]), shift: [dx, dy, 0] };
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const back: DieState = {
    ...truth,
    stands: [{ x: c * (x - dx) + s * (y - dy), y: -s * (x - dx) + c * (y - dy), yaw: yaw - angle }],
  };
  const again = photoRows(
    back,
    { ...photo, cameraFromCard: composed(photo.cameraFromCard, cardFromCard) },
    0,
    outline,
    false,
  );
  expect(max(again.residual)).toBeLessThan(1e-9);
});

test('a die turned onto itself, its faces and corners with it, looks the same', () => {
  for (const kind of DIE_KINDS) {
    const { truth, photos } = unevenDie(kind, 5, 1);
    const photo = photos[0]!;
    const outline = exactOutline(truth, photo, 0, 6);
    const { labels } = truth.solid;
    const turns = turnsOf(truth.solid);
    expect(turns).toHaveLength({ d4: 12, d6: 24, d8: 24, d10: 10, d12: 60, d20: 60 }[kind]);
    const turn = turns[Math.floor(turns.length / 2)]!;
    const [distances, radii] = [new Float64Array(labels.length), new Float64Array(truth.radii.length)];
    turn.faces.forEach((to, f) => (distances[to] = truth.distances[f]!));
    turn.corners.forEach((to, k) => (radii[to] = truth.radii[k]!));
    const named = (label: string): string => labels[turn.faces[labels.indexOf(label)]!]!;
    const shot = { up: named(photo.shot.up), front: named(photo.shot.front) };
    const rows = photoRows({ ...truth, distances, radii }, { ...photo, shot }, 0, outline, false);
    expect(max(rows.residual), kind).toBeLessThan(1e-6);
  }
});

/** A fit from a true die of the same mean size, a little off its place. */
function fitted(truth: DieState, photos: readonly FitPhoto[], outlines: Parameters<typeof fitDie>[2]) {
  const mean = truth.distances.reduce((s, d) => s + d, 0) / truth.distances.length;
  const stands = truth.stands.map((s) => ({ x: s.x + 0.05, y: s.y - 0.04, yaw: s.yaw + 0.01 }));
  const options = { prior: SHAPE_PRIOR, cut: CUT, tau: NO_TAU };
  const start = fitDie(trueDie(truth.solid, mean, stands), photos, outlines, { ...options, free: 'size', steps: 10 });
  // Where more than three faces meet, a true die has no derivative: the faces are moved by micrometres first.
  const distances = start.state.distances.map((d, f) => d + 0.002 * Math.sin(1 + 2.4 * f));
  return fitDie({ ...start.state, distances }, photos, outlines, { ...options, free: 'whole', steps: 60 });
}

test.each(DIE_KINDS)('a %s is recovered from exact outlines', (kind) => {
  const { truth, photos } = unevenDie(kind, 11);
  const outlines = photos.map((p, i) => exactOutline(truth, p, i, 4, 0.02));
  const { state, stop } = fitted(truth, photos, outlines);
  expect(stop).toBe('converged');
  // The beliefs draw by some nanometres, and more where few photos see a face or a corner.
  const axes = (s: DieState): number[] =>
    s.solid.labels.flatMap((_, f) =>
      s.solid.opposite[f]! > f ? [s.distances[f]! + s.distances[s.solid.opposite[f]!]!] : [],
    );
  const expected = kind === 'd4' ? [...truth.distances] : axes(truth);
  const got = kind === 'd4' ? [...state.distances] : axes(state);
  expect(1e3 * max(got.map((v, k) => v - expected[k]!)), 'um').toBeLessThan(0.5);
  const mean = (v: Float64Array): number => v.reduce((s, r) => s + r, 0) / v.length;
  expect(1e3 * Math.abs(mean(state.radii) - mean(truth.radii)), 'um').toBeLessThan(2);
});

test('a few points far off draw an axis by less than a micrometre each', () => {
  const { truth, photos } = unevenDie('d6', 11);
  const outlines = photos.map((p, i) => shifted(exactOutline(truth, p, i, 4, 0.05), (k) => (k % 40 === 3 ? 4 : 0)));
  const { state } = fitted(truth, photos, outlines);
  expect(1e3 * max(state.distances.map((d, f) => d - truth.distances[f]!))).toBeLessThan(3);
});

describe('numbers that are wrong', () => {
  const checked = (kind: DieKind, wrong: number | null) => {
    const { truth, photos } = unevenDie(kind, 21);
    const normal = seededNormal(seededRandom(5));
    const outlines = photos.map((p, i) => shifted(exactOutline(truth, p, i, 4, 0.05), () => 0.05 * normal()));
    const turns = turnsOf(truth.solid);
    const { labels } = truth.solid;
    const turn = turns.find((t) => t.faces[0] !== 0 && t.faces.some((to, f) => to === f) === (kind === 'd4'))!;
    const named = (label: string): string => labels[turn.faces[labels.indexOf(label)]!]!;
    const said = photos.map((p, i) =>
      i === wrong ? { ...p, shot: { up: named(p.shot.up), front: named(p.shot.front) } } : p,
    );
    const { state } = fitted(truth, said, outlines);
    return { photos, checks: photoForms(state, said, outlines, NO_TAU).turnChecks() };
  };

  test.each(['d6', 'd8', 'd10', 'd12'] as const)('one of a %s is found, and the right numbers are told', (kind) => {
    const { photos, checks } = checked(kind, 1);
    const gains = checks.map((c) => c!.gain);
    expect(gains.indexOf(Math.max(...gains))).toBe(1);
    expect(checks[1]).toMatchObject(photos[1]!.shot);
  });

  test.each(DIE_KINDS)('none of a %s: nothing is gained by any other', (kind) => {
    for (const c of checked(kind, null).checks) expect(c!.gain).toBeLessThan(4);
  });
});

test('a photo whose outline is not there counts for nothing', () => {
  const { truth, photos } = unevenDie('d8', 2, 3);
  const outlines = photos.map((p, i) => (i === 1 ? null : exactOutline(truth, p, i, 6)));
  const forms = photoForms(truth, photos, outlines, NO_TAU);
  expect(forms.costs[1]).toBeNull();
  expect(forms.turnChecks()[1]).toBeNull();
});

test('a copy of a solid has the very balls of the one it was made of, whatever its numbers are', () => {
  for (const kind of DIE_KINDS) {
    const solid = dieSolid(kind);
    const distances = Float64Array.from(solid.labels, (_, f) => 7 + 0.01 * f);
    const radii = new Float64Array(solid.corners.length).fill(0.5);
    const copy = { ...structuredClone(solid), labels: solid.labels.toReversed() };
    expect(balls(copy, distances, radii)).toEqual(balls(solid, distances, radii));
  }
});

test('the kinds have as many faces, edges and corners as Euler asks', () => {
  for (const kind of DIE_KINDS) {
    const { labels, edges, corners } = dieSolid(kind);
    expect(corners.length - edges.length + labels.length).toBe(2);
  }
});
