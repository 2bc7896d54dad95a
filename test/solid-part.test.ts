import { expect, test } from 'vitest';
import { seededRandom } from '../src/maths/random.ts';
import { aligned, passingMemory } from '../src/vision/pixel-memory.ts';
import { solidPart, type Part } from '../src/vision/solid-part.ts';

/** Chamfer distances to the next cell of a value, cell by cell; steps of 1 and 4/3. */
function distances(mask: Uint8Array, W: number, H: number, value: number): Float32Array {
  const d = Float32Array.from(mask, (v) => (v === value ? 0 : W + H));
  for (const way of [1, -1])
    for (let j = 1; j < H - 1; j++)
      for (let i = 1; i < W - 1; i++) {
        const k = way > 0 ? j * W + i : (H - 1 - j) * W + W - 1 - i;
        const before = k - way * W;
        d[k] = Math.min(d[k]!, d[k - way]! + 1, d[before]! + 1, d[before - 1]! + 4 / 3, d[before + 1]! + 4 / 3);
      }
  return d;
}

function openedPlainly(solid: Uint8Array, W: number, H: number, radius: number): Uint8Array {
  const deep = distances(solid, W, H, 0);
  const eroded = Uint8Array.from(deep, (d) => (d > radius ? 1 : 0));
  const near = distances(eroded, W, H, 1);
  return solid.map((v, k) => (v === 1 && near[k]! <= radius ? 1 : 0));
}

// Lanes take 4 or 16 cells at once; 7/3 is a distance itself, of which a number in single precision falls short.
test.each([
  [3, 3, 1],
  [19, 30, 2],
  [64, 21, 7 / 3],
  [70, 55, 4],
  [131, 90, 8.3],
])('a field of %i x %i opened by a disc of %f is that of plain loops', (W, H, radius) => {
  const random = seededRandom(W);
  for (let n = 0; n < 12; n++) {
    const [cx, cy, r, gaps] = [W * random(), H * random(), (W / 2) * random(), 0.04 * random()];
    const solid = Uint8Array.from({ length: W * H }, (_, k) => {
      const [x, y] = [k % W, Math.floor(k / W)];
      const isFrame = x === 0 || y === 0 || x === W - 1 || y === H - 1;
      return !isFrame && (Math.hypot(x - cx, y - cy) < r || random() < 0.2) && random() > gaps ? 1 : 0;
    });
    const memory = passingMemory();
    const cells = aligned(W * H);
    memory.reserve(6 * cells + aligned(4 * W));
    memory.bytes.set(solid, cells);
    memory.run.opened(0, cells, 2 * cells, 6 * cells, W, H, radius);
    expect(memory.bytes.slice(0, W * H)).toEqual(openedPlainly(solid, W, H, radius));
  }
});

/** A ring with a bar that sticks out of it, and what is found solid of it. */
function ringWithBar(isBare: boolean) {
  const runs: number[] = [];
  for (let y = 0; y < 60; y++)
    for (let x = 0, from = -1; x <= 100; x++) {
      const d = Math.hypot(x - 30, y - 30);
      const isIn = (d < 29 && d > 26) || (y > 29 && y < 33 && x > 50 && x < 100);
      if (isIn && from < 0) from = x;
      if (!isIn && from >= 0) {
        runs.push(7 + y, 5 + from, 5 + x);
        from = -1;
      }
    }
  const part: Part = { left: 5, top: 7, width: 100, height: 60, x: 55, y: 37, size: 100, runs };
  return solidPart(part, { isBare: () => isBare });
}

test('a ring is filled and its bar taken off; where its hole is the stage nothing is solid', () => {
  const { area, ends, off } = ringWithBar(false);
  expect(area).toBeGreaterThan(0.95 * Math.PI * 29 ** 2);
  expect(area).toBeLessThan(1.03 * Math.PI * 29 ** 2);
  const xs = (xy: readonly number[]): number[] => xy.filter((_, k) => k % 2 === 0);
  expect(Math.max(...xs(ends))).toBeLessThan(70);
  expect(Math.max(...xs(off))).toBe(104);
  expect(ringWithBar(true).area).toBe(0);
});
