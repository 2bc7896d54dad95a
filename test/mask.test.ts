import { beforeAll, expect, test } from 'vitest';
import { loadCv } from '../src/cli/opencv-node.ts';
import { seededRandom } from '../src/maths/random.ts';
import { withArena, type Cv } from '../src/vision/cv.ts';
import { closed, maskOf, partsIn, type Mask } from '../src/vision/mask.ts';

let cv: Cv;
beforeAll(async () => {
  cv = await loadCv();
});

/** Cells of which a share is set, in clumps and alone. */
function cellsOf(w: number, h: number, share: number, seed: number): Uint8Array {
  const random = seededRandom(seed);
  const cells = new Uint8Array(w * h);
  for (let k = 0; k < cells.length; k++) if (random() < share) cells.fill(255, k, k + Math.floor(3 * random()));
  return cells;
}

const cellsIn = ({ w, h, across, bits }: Mask): number[] =>
  Array.from({ length: w * h }, (_, k) => {
    const [x, y] = [k % w, Math.floor(k / w)];
    return ((bits[y * across + (x >> 5)]! >> (x & 31)) & 1) * 255;
  });

const CASES = [
  [64, 40, 0.01],
  [97, 61, 0.004],
  [97, 61, 0.2],
  [31, 33, 0.5],
  [5, 7, 0.3],
  [200, 150, 0.02],
  [128, 90, 0],
  [33, 20, 1],
] as const;

test.each(CASES)('a mask of %i x %i, %d of it set, closes as OpenCV closes it', (w, h, share) => {
  const cells = cellsOf(w, h, share, 3);
  for (const reach of [1, 4, 6]) {
    const theirs = withArena(cv, (arena) => {
      const out = arena.mat();
      cv.morphologyEx(arena.mat(h, w, 'u8', cells), out, 'close', 'box', 2 * reach + 1);
      return [...out.data];
    });
    expect(cellsIn(closed(maskOf(cells, w, h), reach))).toEqual(theirs);
  }
});

test.each(CASES)(
  'what hangs together in a mask of %i x %i, %d of it set, is what OpenCV says, in its order',
  (w, h, share) => {
    const cells = cellsOf(w, h, share, 4);
    const { runs, of, areas, first } = partsIn(maskOf(cells, w, h));
    const inOrder = areas.map((_, part) => part).sort((a, b) => first[a]! - first[b]!);
    const labels = new Int32Array(w * h);
    for (let k = 0; k < of.length; k++)
      labels.fill(
        inOrder.indexOf(of[k]!) + 1,
        runs[3 * k]! * w + runs[3 * k + 1]!,
        runs[3 * k]! * w + runs[3 * k + 2]!,
      );
    const theirs = withArena(cv, (arena) => {
      const [to, stats, centroids] = [arena.mat(), arena.mat(), arena.mat()];
      const count = cv.connectedComponentsWithStats(arena.mat(h, w, 'u8', cells), to, stats, centroids, 8);
      return {
        labels: to.data32S.slice(),
        areas: Array.from({ length: count - 1 }, (_, k) => stats.data32S[5 * k + 9]),
      };
    });
    expect(labels).toEqual(theirs.labels);
    expect(inOrder.map((part) => areas[part])).toEqual(theirs.areas);
  },
);
