import { describe, expect, test } from 'vitest';
import { CARD, CARD_MARKERS } from '../src/geometry/card.ts';
import { seededRandom } from '../src/maths/random.ts';
import type { Camera } from '../src/geometry/camera.ts';
import { calibration, CARD_POINTS_NEEDED } from '../src/vision/calibration.ts';
import { findMarkers } from '../src/vision/markers.ts';
import type { Picture } from '../src/vision/picture.ts';
import { reducedGrey } from '../src/vision/reduced-grey.ts';
import { saddlePoints, type CardSight } from '../src/vision/saddles.ts';
import { poseOver, rendered, scene, seenOnCard, type Scene } from './support/render-card.ts';

/** A third of the markers, drawn by lot. */
function third(seed: number): number[] {
  const random = seededRandom(seed);
  return CARD_MARKERS.map(({ id }) => ({ id, lot: random() }))
    .sort((a, b) => a.lot - b.lot)
    .slice(0, CARD_MARKERS.length / 3)
    .map(({ id }) => id);
}

/** Distances of seen points from where they are, px. */
function errors(s: Scene, { card, picture }: CardSight): number[] {
  const out: number[] = [];
  for (let k = 0; k < card.length; k += 2) {
    const [u, v] = seenOnCard(s, card[k]!, card[k + 1]!);
    out.push(Math.hypot(picture[k]! - u, picture[k + 1]! - v));
  }
  return out;
}

/** Whether a covered square stands at this corner of the grid: three levels then meet there. */
const isBesideCover = (hidden: readonly number[], x: number, y: number): boolean =>
  CARD_MARKERS.some(
    ({ id, corners: c }) =>
      hidden.includes(id) &&
      Math.max(Math.abs((c[0]! + c[4]!) / 2 - x), Math.abs((c[1]! + c[5]!) / 2 - y)) < 0.6 * CARD.square,
  );

const rms = (list: readonly number[]): number => Math.sqrt(list.reduce((s, v) => s + v * v, 0) / list.length);

/** Of a small photo: 6 px to the millimetre, and more where the card leans far. */
const CAMERA: Camera = { f: 1250, cx: 503, cy: 422, k1: 0.03, k2: -0.05 };
const SMALL = { width: 1000, height: 850, camera: CAMERA };
const LARGE = { width: 1320, height: 1320, camera: { ...CAMERA, f: 2050, cx: 662, cy: 655 } };

describe('a card turned under the camera, leaning up to 45 degrees, a third of its markers covered', () => {
  const level: CardSight[] = [];

  test.each(Array.from({ length: 12 }, (_, k) => 30 * k))(
    'at %i degrees: the others are found, each as itself, and the saddles to 0.05 px',
    (roll) => {
      const lean = [0, 20, 45][(roll / 30) % 3]!;
      const cameraFromCard = poseOver(lean, 2.3 * roll, roll, lean === 45 ? 225 : 205);
      const s = scene({ ...(lean === 45 ? LARGE : SMALL), cameraFromCard, hidden: third(roll), seed: roll });
      const picture = rendered(s);
      const { found, mirrored } = findMarkers(reducedGrey(picture, 1));
      expect(mirrored).toBe(0);
      expect(found.length).toBeGreaterThanOrEqual(29);
      for (const { marker, corners } of found) {
        expect(s.hidden).not.toContain(marker.id);
        // A quarter turn would put the corners some 30 px away.
        for (let k = 0; k < 8; k += 2) {
          const [u, v] = seenOnCard(s, marker.corners[k]!, marker.corners[k + 1]!);
          expect(Math.hypot(corners[k]! - u, corners[k + 1]! - v), `marker ${marker.id}`).toBeLessThan(4);
        }
      }
      const sight = saddlePoints(picture, found);
      const off = errors(s, sight);
      expect(off.length).toBeGreaterThanOrEqual(CARD_POINTS_NEEDED);
      expect(Math.max(...off)).toBeLessThan(0.05);
      expect(rms(off)).toBeLessThan(0.025);
      // Those beside a cover are not point-symmetric, and must not be among them.
      for (let k = 0; k < sight.card.length; k += 2)
        expect(isBesideCover(s.hidden, sight.card[k]!, sight.card[k + 1]!)).toBe(false);
      if (lean < 45) level.push(sight);
    },
  );

  test('and those of one camera together give it back, and a card that is flat', () => {
    expect(level).toHaveLength(8);
    const c = calibration(level, SMALL, 1300, [1, 1]);
    if (!c.ok) throw new Error(JSON.stringify(c.error));
    const { shared, covariance, bow, sigma } = c.value;
    const n = Math.sqrt(covariance.length);
    const off = [
      Math.log(shared.f / CAMERA.f),
      shared.cx - CAMERA.cx,
      shared.cy - CAMERA.cy,
      shared.k1 - CAMERA.k1,
      shared.k2 - CAMERA.k2,
      ...bow,
    ];
    off.forEach((v, i) => {
      expect(Math.abs(v) / Math.sqrt(covariance[i * n + i]!), `unknown ${i}`).toBeLessThan(3);
    });
    expect(sigma).toBeLessThan(0.02);
    expect(Math.abs(off[0]!)).toBeLessThan(0.003);
  });
});

describe('a mirrored photo', () => {
  test('is told as one', () => {
    const { found, mirrored } = findMarkers(reducedGrey(rendered(scene({ ...SMALL, mirrored: true })), 1));
    expect(mirrored).toBeGreaterThanOrEqual(40);
    // A few markers read as others when turned over.
    expect(found.length).toBeLessThanOrEqual(4);
  });
});

test('a picture without a card shows none', () => {
  const random = seededRandom(5);
  const data = new Uint8Array(3 * 600 * 500).map(() => 255 * random());
  const picture: Picture = { width: 600, height: 500, channels: 3, data };
  const { found, mirrored } = findMarkers(reducedGrey(picture, 1));
  expect([found.length, mirrored]).toEqual([0, 0]);
  expect(saddlePoints(picture, found)).toEqual({ card: new Float64Array(0), picture: new Float64Array(0) });
});

test('a blurred and noisy card is still found, its saddles less sharply', () => {
  const s = scene({ ...SMALL, blur: 1.1, noise: 5, cameraFromCard: poseOver(30, 20, 40, 205) });
  const picture = rendered(s);
  const { found } = findMarkers(reducedGrey(picture, 1));
  const off = errors(s, saddlePoints(picture, found));
  expect(found.length).toBeGreaterThanOrEqual(30);
  expect(off.length).toBeGreaterThan(30);
  expect(rms(off)).toBeLessThan(0.15);
});
