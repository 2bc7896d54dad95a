import { expect, it } from 'vitest';
import { GROUND } from '../src/bin/vision/mask.ts';
import { wideCells } from '../src/bin/vision/opened.ts';
import { boxRound, withoutLines, withoutLinesIn } from '../src/bin/vision/thin.ts';
import { loadCv } from '../src/cli/opencv-node.ts';
import { seededRandom } from '../src/maths/random.ts';
import { withArena } from '../src/vision/cv.ts';

const [W, H] = [120, 90];

/** Overlapping boxes, with holes, nothing at the border. */
function boxes(seed: number): Uint8Array {
  const random = seededRandom(seed);
  const mask = new Uint8Array(W * H);
  for (let n = 0; n < 14; n++) {
    const [x0, y0, w, h] = [random() * W, random() * H, random() ** 2 * 70, random() ** 2 * 70].map(Math.floor) as [
      number,
      number,
      number,
      number,
    ];
    for (let y = Math.max(1, y0); y < Math.min(H - 1, y0 + h); y++)
      mask.fill(n % 4 === 3 ? 0 : 1, y * W + Math.max(1, x0), y * W + Math.max(1, Math.min(W - 1, x0 + w)));
  }
  return mask;
}

it.each([
  [9, 9],
  [3, 1],
  [17, 9],
  [31, 13],
  [37, 15],
])('finds what is wide (%i, %i) cell by cell as OpenCV opens and grows', async (width, around) => {
  const cv = await loadCv();
  let some = 0;
  for (let seed = 1; seed <= 8; seed++) {
    const mask = boxes(seed);
    const reference = withArena(cv, (arena) => {
      const [open, grown] = [arena.mat(), arena.mat()];
      cv.morphologyEx(arena.mat(H, W, 'u8', mask), open, 'open', 'ellipse', width);
      cv.morphologyEx(open, grown, 'dilate', 'ellipse', around);
      return grown.data.map((v, k) => (v && mask[k] ? 1 : 0));
    });
    const wide = wideCells(mask, W, H, width, around);
    expect(wide).toEqual(new Uint8Array(reference));
    some += wide.reduce((s, v) => s + v, 0);
  }
  expect(some).toBeGreaterThan(0);
});

it('a thing parted in its own box falls apart as it does on the whole stage', () => {
  const spans = Int32Array.from({ length: 2 * H }, (_, i) => (i % 2 === 0 ? 1 : W - 2));
  let some = 0;
  for (let seed = 1; seed <= 14; seed++) {
    const [left, top, right, bottom] = [3 * (seed % 9) + 1, 2 * (seed % 7) + 1, 60 + seed, 50 + (seed % 30)];
    const flooded = Int32Array.from(boxes(seed), (v, k) => {
      const [x, y] = [k % W, Math.floor(k / W)];
      return v === 1 && x >= left && x <= right && y >= top && y <= bottom ? 0 : GROUND;
    });
    const hull = [left, top, right, top, right, bottom, left, bottom];
    const line = seed % 2 === 0 ? { width: 9, tips: 4 } : { width: 17, tips: 5 };
    const whole = withoutLines(flooded, { w: W, h: H }, spans, line);
    const window = { x0: 0, y0: 0, w: W, h: H, factor: 1 };
    expect(withoutLinesIn(boxRound(hull, window), flooded, window, spans, line)).toEqual(whole);
    some += whole.parts.length;
  }
  expect(some).toBeGreaterThan(14);
});
