import { expect, test } from 'vitest';
import { CARD } from '../src/geometry/card.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { aligned, passingMemory } from '../src/vision/pixel-memory.ts';
import { gradientOverBends } from '../src/vision/plane-smoothing.ts';
import { stageRegions } from '../src/vision/region.ts';
import type { Picture } from '../src/vision/picture.ts';

const SCALE = 8;
const [W, H] = [Math.ceil(SCALE * CARD.stageWidth), Math.ceil(SCALE * CARD.stageHeight)];
const map = {
  at: (x: number, y: number): readonly [number, number] => [W / 2 + SCALE * x, H / 2 + SCALE * y],
  depth: () => 1,
};

/** A stage of 220 with a disc of radius 100 on it, darker by so much, and grain of so much. */
function stage(darker: number, grain: number): Picture {
  const normal = seededNormal(seededRandom(5));
  const data = new Uint8ClampedArray(3 * W * H);
  for (let k = 0; k < data.length; k++) {
    const p = Math.floor(k / 3);
    const inside = Math.hypot((p % W) - W / 2, Math.floor(p / W) - H / 2) < 100;
    data[k] = 220 - (inside ? darker : 0) + grain * normal();
  }
  return { width: W, height: H, channels: 3, data: new Uint8Array(data.buffer) };
}

test.each([
  [60, 0],
  [60, 6],
  [60, 12],
  [45, 12],
  [100, 25],
])('one whole thing darker than the stage by %i at a grain of %i', (darker, grain) => {
  const things = stageRegions(stage(darker, grain), map);
  expect(things).toHaveLength(1);
  expect(Math.sqrt(things[0]!.area / Math.PI) / 100).toBeCloseTo(1, 1);
});

test('grain alone is nothing', () => {
  expect(stageRegions(stage(0, 25), map)).toHaveLength(0);
});

function smoothPlane(plane: Int16Array, w: number, h: number): void {
  const memory = passingMemory();
  const lines = aligned(plane.byteLength);
  memory.reserve(lines + 4 * aligned(2 * w));
  const there = new Int16Array(memory.bytes.buffer, 0, plane.length);
  there.set(plane);
  memory.run.smoothPlane(0, w, h, lines);
  plane.set(there);
}

test('smoothing is the binomial mean of nine cells', () => {
  const plane = new Int16Array(25);
  plane[12] = 160;
  smoothPlane(plane, 5, 5);
  expect([...plane]).toEqual([0, 0, 0, 0, 0, 0, 10, 20, 10, 0, 0, 20, 40, 20, 0, 0, 10, 20, 10, 0, 0, 0, 0, 0, 0]);
});

/** Of 500 x 500 cells of white grain: the medians themselves. */
test.each([0, 2])('gradients over second differences of grain smoothed %i times', (passes) => {
  const n = 500;
  const normal = seededNormal(seededRandom(6));
  const plane = Int16Array.from({ length: n * n }, () => Math.round(400 * normal()));
  for (let i = 0; i < passes; i++) smoothPlane(plane, n, n);
  const at = (k: number): number => plane[k]!;
  const [gradients, bends]: [number[], number[]] = [[], []];
  for (let y = 5; y < n - 5; y++)
    for (let x = 5, k = y * n + x; x < n - 5; x++, k++) {
      const dx = at(k - n + 1) + 2 * at(k + 1) + at(k + n + 1) - at(k - n - 1) - 2 * at(k - 1) - at(k + n - 1);
      const dy = at(k + n - 1) + 2 * at(k + n) + at(k + n + 1) - at(k - n - 1) - 2 * at(k - n) - at(k - n + 1);
      gradients.push(Math.hypot(dx, dy));
      bends.push(Math.abs(at(k - 1) - 2 * at(k) + at(k + 1)));
    }
  const middle = (v: number[]): number => v.sort((a, b) => a - b)[v.length >> 1]!;
  expect(middle(gradients) / middle(bends) / gradientOverBends(passes)).toBeCloseTo(1, 1);
});
