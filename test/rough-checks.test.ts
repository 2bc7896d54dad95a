import { expect, test } from 'vitest';
import { seenIn, type DieState, type FitPhoto } from '../src/fit/die-state.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { dieSolid, type DieKind } from '../src/geometry/solid.ts';
import { agreeing, ROUGH, roughNote, roughStand } from '../src/measure/rough-checks.ts';
import type { Added } from '../src/measure/look.ts';
import { trueDie } from '../src/measure/coarse.ts';
import type { Crop } from '../src/vision/picture.ts';
import { madeAdded, NO_REGION } from './support/made-added.ts';
import { poseOver } from './support/render-card.ts';

const camera = { f: 2000, cx: 1000, cy: 750, k1: 0, k2: 0 };

/** A light picture with a dark convex thing in it. */
function picture(xy: Float64Array): Crop {
  const [width, height] = [2000, 1500];
  const data = new Uint8Array(3 * width * height).fill(200);
  for (let v = 0; v < height; v++) {
    let [left, right] = [Infinity, -Infinity];
    for (let i = 0; i < xy.length; i += 2) {
      const j = (i + 2) % xy.length;
      const [a, b] = [xy[i + 1]!, xy[j + 1]!];
      if (a > v === b > v) continue;
      const u = xy[i]! + ((v - a) / (b - a)) * (xy[j]! - xy[i]!);
      [left, right] = [Math.min(left, u), Math.max(right, u)];
    }
    if (left < right) data.fill(90, 3 * (v * width + Math.ceil(left)), 3 * (v * width + Math.floor(right) + 1));
  }
  return { left: 0, top: 0, width, height, channels: 3, data };
}

/** What is kept of a photo whose rough outline is exact, with its numbers said to be `up` and `front`. */
function seen(die: DieState, photo: FitPhoto, up: string, front: string): { a: Added; photo: FitPhoto } {
  const { xy } = outlineOf(seenIn(die, photo, 0), camera, 2);
  let twice = 0;
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    twice += xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
  }
  const region = { ...NO_REGION, outline: xy, area: Math.abs(twice) / 2 };
  const shot = { photo: 'a.jpg', up, front };
  const a = madeAdded({ shot }, { regions: [region], crop: picture(xy) });
  return { a, photo: { ...photo, shot } };
}

const stoodUp = (kind: DieKind, up: string, front: string, distance = 8, yaw = 0.1) => {
  const solid = dieSolid(kind);
  const photo: FitPhoto = { camera, cameraFromCard: poseOver(20, 10, 0, 240), shot: { up, front } };
  return { solid, photo, die: trueDie(solid, distance, [{ x: 3, y: -2, yaw }]) };
};

test.each<[DieKind, string, string]>([
  ['d4', '1', '2'],
  ['d6', '1', '2'],
  ['d8', '1', '2'],
  ['d10', '0', '6'],
  ['d12', '1', '2'],
  ['d20', '20', '2'],
])('a true %s is found where it stands', (kind, up, front) => {
  const { solid, photo, die } = stoodUp(kind, up, front);
  const { a, photo: looked } = seen(die, photo, up, front);
  const stand = roughStand(solid, a, looked);
  expect(stand.misfit).toBeLessThan(5e-3);
  expect(Math.abs(stand.distance / 8 - 1)).toBeLessThan(0.02);
  expect(Math.hypot(stand.stand.x - 3, stand.stand.y + 2)).toBeLessThan(0.3);
  expect(agreeing([stand])).toEqual([true]);
});

test.each<[DieKind, string, string, number]>([
  ['d4', '1', '2', 1],
  ['d6', '1', '2', 0.75],
  ['d8', '1', '2', -0.95],
  ['d10', '0', '6', 0.55],
  ['d12', '1', '2', -0.56],
  ['d20', '20', '2', 0.9],
])('a true %s turned nearly half the way to the next front: its turn is found', (kind, up, front, yaw) => {
  const { solid, photo, die } = stoodUp(kind, up, front, 8, yaw);
  const { a, photo: looked } = seen(die, photo, up, front);
  const { stand } = roughStand(solid, a, looked);
  expect(stand.yaw).toBeCloseTo(yaw, 1);
});

test('a d10 whose front is another: told by its outline', () => {
  const { solid, photo, die } = stoodUp('d10', '0', '6');
  const wrong = solid.labels.filter((label) => {
    if (['0', '9', '6'].includes(label)) return false;
    const { a, photo: looked } = seen(die, photo, '0', label);
    const stand = roughStand(solid, a, looked);
    if (stand.misfit < ROUGH.misfit) return false;
    expect(roughNote(solid, a, looked, stand)).toMatchObject({
      code: 'up-doubtful',
      needed: `0/${label}`,
    });
    return true;
  });
  expect(wrong.length).toBeGreaterThan(2);
});

test('a die of another size than its set: misfit, told in mm', () => {
  const sizes = [8, 8, 8, 11].map((distance) => {
    const { solid, photo, die } = stoodUp('d6', '1', '2', distance);
    const { a, photo: looked } = seen(die, photo, '1', '2');
    const stand = roughStand(solid, a, looked);
    return { stand, note: () => roughNote(solid, a, looked, stand) };
  });
  expect(agreeing(sizes.map((s) => s.stand))).toEqual([true, true, true, false]);
  expect(sizes[3]!.note()).toMatchObject({
    code: 'misfit',
    as: 'size',
    seen: expect.closeTo(22, 0) as number,
  });
});
