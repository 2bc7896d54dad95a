import { beforeAll, expect, test } from 'vitest';
import { loadCv } from '../src/cli/opencv-node.ts';
import { seededRandom } from '../src/maths/random.ts';
import { Borders } from '../src/vision/borders.ts';
import { withArena, type Cv } from '../src/vision/cv.ts';
import { fewCorners } from '../src/vision/few-corners.ts';
import { darkerThanAround } from '../src/vision/local-threshold.ts';

let cv: Cv;
beforeAll(async () => {
  cv = await loadCv();
});

/** Grey boxes, turned squares and grain. */
function greyOf(w: number, h: number, grain: number, seed: number): Uint8Array {
  const random = seededRandom(seed);
  const data = new Uint8Array(w * h).fill(200);
  for (let n = 0; n < 12; n++) {
    const [cx, cy, r, turn, value] = [w * random(), h * random(), 3 + 12 * random(), 2 * random(), 220 * random()];
    for (let y = 0; y < h; y++)
      for (let x = 0; x < w; x++) {
        const [dx, dy] = [x - cx, y - cy];
        const p = Math.cos(turn) * dx + Math.sin(turn) * dy;
        const q = Math.cos(turn) * dy - Math.sin(turn) * dx;
        if (Math.max(Math.abs(p), Math.abs(q)) < r && Math.hypot(p, q) > r / 3) data[y * w + x] = value;
      }
  }
  return data.map((v) => Math.max(0, Math.min(255, v + grain * (random() - 0.5))));
}

const CASES = [
  [120, 90, 0, 25, 14],
  [120, 90, 60, 25, 6],
  [121, 77, 250, 25, 6],
  [60, 50, 20, 71, 6],
  [20, 16, 100, 25, 6],
] as const;

test.each(CASES)('dark pixels of %i x %i with grain %i are those of OpenCV', (w, h, grain, block, offset) => {
  const data = greyOf(w, h, grain, 5);
  const theirs = withArena(cv, (arena) => {
    const out = arena.mat();
    cv.adaptiveThreshold(arena.mat(h, w, 'u8', data), out, 255, 'mean', 'binary-inverse', block, offset);
    return out.data.slice();
  });
  const own = darkerThanAround(data, w, h, block, offset);
  expect(theirs.map((_, k) => 255 * own[(Math.floor(k / w) + 1) * (w + 2) + (k % w) + 1]!)).toEqual(theirs);
});

test.each(CASES)(
  'borders of %i x %i with grain %i, and their corners, are those of OpenCV',
  (w, h, grain, block, offset) => {
    const dark = darkerThanAround(greyOf(w, h, grain, 6), w, h, block, offset);
    const cells = Uint8Array.from({ length: w * h }, (_, k) => dark[(Math.floor(k / w) + 1) * (w + 2) + (k % w) + 1]!);
    const theirs = withArena(cv, (arena) => cv.findContours(arena.mat(h, w, 'u8', cells), 'list', 'all').chains);
    const own: Int32Array[] = [];
    const borders = new Borders(dark, w + 2);
    for (let count = borders.next(); count > 0; count = borders.next()) own.push(borders.points.slice(0, 2 * count));
    expect(own.reverse()).toEqual(theirs);
    for (const chain of own)
      for (const share of [0.01, 0.06, 0.2]) {
        const tolerance = (share * chain.length) / 2;
        expect(fewCorners(chain, chain.length / 2, tolerance)).toEqual(cv.approxPolyDP(chain, tolerance, true));
      }
  },
);
