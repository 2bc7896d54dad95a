/** What a calibration believes and states, by closed forms. */
import { describe, expect, test } from 'vitest';
import { composed, moved, projection, rotationOf, type Camera, type Rigid } from '../src/geometry/camera.ts';
import { CARD_SADDLES } from '../src/geometry/card.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import {
  calibration,
  CAMERA_PRIOR,
  CARD_POINTS_NEEDED,
  FOCAL_GUESS,
  PER_PHOTO,
  RATIO,
  SHARED,
  type Calibration,
} from '../src/vision/calibration.ts';
import { SKEW } from '../src/vision/card-system.ts';
import type { CardSight } from '../src/vision/saddles.ts';

const SIZE = { width: 3000, height: 2000 };
const TRUTH: Camera = { f: 2650, cx: 1511, cy: 990, k1: 0.06, k2: -0.11 };
const pose = (lean: number, turn: number, z: number): Rigid =>
  composed(
    { rotation: rotationOf([0, 0, turn]), shift: [2, -3, z] },
    { rotation: rotationOf([Math.PI - lean, 0, 0]), shift: [0, 0, 0] },
  );
const POSES = [pose(0.2, 0.1, 260), pose(0.5, 1.4, 280), pose(0.4, -0.8, 250)];

function sights(noise: () => number = () => 0, points = CARD_SADDLES.length / 2): CardSight[] {
  const card = CARD_SADDLES.slice(0, 2 * points);
  return POSES.map((p) => {
    const picture = new Float64Array(card.length);
    for (let k = 0; k < card.length; k += 2) {
      const [u, v] = projection(TRUTH, moved(p, [card[k]!, card[k + 1]!, 0]));
      picture.set([u + noise(), v + noise()], k);
    }
    return { card, picture };
  });
}
function solved(...[seen, options]: [readonly CardSight[], Parameters<typeof calibration>[4]?]): Calibration {
  const found = calibration(seen, SIZE, 2600, [1, 1], options);
  if (!found.ok) throw new Error(found.error.code);
  return found.value;
}

test('what is believed before a photo is seen: common practice for telephones and small cameras', () => {
  expect(CAMERA_PRIOR).toEqual({
    focal: 0.1,
    focalUnknown: 0.5,
    centre: 0.012,
    k1: 0.2,
    k2: 0.4,
    focus: 2e-3,
    bow: 0.25,
    ratio: 1e-9,
    skew: 1e-9,
    stretch: 1e-9,
  });
  // A lens of 26 mm over the diagonal of a full frame, 36 mm by 24 mm.
  expect(FOCAL_GUESS).toBeCloseTo(26 / Math.hypot(36, 24), 3);
});

test('a lens that is believed to sit over the middle sits there: half the pixels less one, the centre of the first being (0, 0)', () => {
  const { shared } = solved(sights(), { beliefs: { ...CAMERA_PRIOR, centre: 1e-8 } });
  expect([shared.cx, shared.cy]).toEqual([expect.closeTo(1499.5, 3), expect.closeTo(999.5, 3)]);
});

test('twelve points make a pose, eleven none, and no photo at all none', () => {
  expect(CARD_POINTS_NEEDED).toBe(12);
  expect(calibration(sights(undefined, 11), SIZE, 2600, [1, 1])).toEqual({
    ok: false,
    error: { code: 'card-points', seen: 11, needed: 12 },
  });
  expect(calibration(sights(undefined, 12), SIZE, 2600, [1, 1])).not.toMatchObject({ error: { code: 'card-points' } });
  expect(calibration([], SIZE, 2600, [1, 1])).toMatchObject({ error: { code: 'card-points', seen: 0 } });
});

describe('scatter of the points', () => {
  const normal = seededNormal(seededRandom(4));
  const noisy = sights(() => 0.05 * normal());
  // One point far off, as a reflection makes it.
  noisy[1]!.picture[20]! += 5;

  test('is that of their median, widened by what camera and poses took; what lies beyond six of it is left out', () => {
    const { sigma, errors, kept } = solved(noisy);
    expect(kept.flat().filter((k) => !k)).toHaveLength(1);
    expect(kept[1]![10]).toBe(false);
    const flat = errors.flatMap((e, i) => [...e].filter((_, k) => kept[i]![k >> 1]));
    const sorted = flat.map(Math.abs).sort((a, b) => a - b);
    const half = sorted.length / 2;
    const middle = Number.isInteger(half) ? (sorted[half - 1]! + sorted[half]!) / 2 : sorted[Math.floor(half)]!;
    // A normal distribution's standard deviation over the median of its sizes; six coordinates a pose with two of the photo's own, and the camera's nine.
    const left = flat.length - 9 - 8 * POSES.length;
    expect(sigma / (1.4826 * middle * Math.sqrt(flat.length / left))).toBeCloseTo(1, 2);
    expect(sigma).toBeGreaterThan(0.04);
    expect(sigma).toBeLessThan(0.06);
    const far = Math.hypot(errors[1]![20]!, errors[1]![21]!);
    expect(far).toBeGreaterThan(6 * sigma);
  });

  test('six sigma and no fewer: a point five off stays', () => {
    const five = sights(() => 0.05 * normal());
    five[1]!.picture[20]! += 0.2;
    expect(solved(five).kept.flat().every(Boolean)).toBe(true);
  });

  test('of points without weights it is their plain root mean square, and all are kept', () => {
    const { sigma, errors, kept } = solved(noisy, { robust: false });
    const flat = errors.flatMap((e) => [...e]);
    expect(sigma).toBeCloseTo(Math.sqrt(flat.reduce((s, v) => s + v * v, 0) / flat.length), 12);
    expect(kept.flat().every(Boolean)).toBe(true);
  });

  test('is never believed below four thousandths of a pixel', () => {
    expect(solved(sights()).sigma).toBe(0.004);
  });
});

test('exact points give the camera back, in few steps', () => {
  const loose = { ...CAMERA_PRIOR, focal: 100, centre: 100, k1: 100, k2: 100 };
  const { shared, steps, errors, bow } = solved(sights(), { beliefs: loose });
  expect(shared.f / TRUTH.f).toBeCloseTo(1, 5);
  for (const key of ['cx', 'cy'] as const) expect(Math.abs(shared[key] - TRUTH[key])).toBeLessThan(0.02);
  for (const key of ['k1', 'k2'] as const) expect(Math.abs(shared[key] - TRUTH[key])).toBeLessThan(1e-3);
  for (const b of bow) expect(Math.abs(b)).toBeLessThan(1e-3);
  expect(Math.max(...errors.flatMap((e) => [...e]).map(Math.abs))).toBeLessThan(1e-3);
  expect(steps).toBeGreaterThan(4);
  expect(steps).toBeLessThan(60);
});

test('the ratio of x to y and the skews are stated with the square roots of their variances', () => {
  const normal = seededNormal(seededRandom(8));
  const free = { ...CAMERA_PRIOR, ratio: 5e-3, skew: 1e-3 };
  const { ratio, skewU, covariance, motion } = solved(
    sights(() => 0.05 * normal()),
    { beliefs: free },
  );
  const size = SHARED + PER_PHOTO * POSES.length;
  expect(covariance).toHaveLength(size * size);
  expect(ratio.u).toBe(Math.sqrt(covariance[RATIO * (size + 1)]!));
  expect(Math.abs(ratio.value)).toBeLessThan(4 * ratio.u);
  skewU.forEach((u, i) => {
    expect(u).toBe(Math.sqrt(covariance[(SHARED + PER_PHOTO * i + SKEW) * (size + 1)]!));
    expect(u).toBeLessThan(1e-3);
    expect(Math.abs(motion[i]!.skew)).toBeLessThan(4 * u);
  });
  expect(new Set(skewU).size).toBe(POSES.length);
});

test('a photo that states no focal length is believed at that of a telephone, half as long or half as long again', () => {
  const normal = seededNormal(seededRandom(3));
  const one = [sights(() => 0.05 * normal())[0]!];
  const without = calibration(one, SIZE, null, [1, 1]);
  const stated = calibration(one, SIZE, 2600, [1, 1]);
  if (!without.ok || !stated.ok) throw new Error('not calibrated');
  // One photo of a card seen nearly from above hardly tells its focal length: what was believed stands.
  expect(Math.sqrt(stated.value.covariance[0]!)).toBeLessThanOrEqual(0.1);
  expect(without.value.covariance[0]!).toBeGreaterThan(stated.value.covariance[0]!);
});
