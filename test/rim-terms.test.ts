import { expect, test } from 'vitest';
import { RIM_DEPTHS } from '../src/geometry/inward-rays.ts';
import { seededRandom } from '../src/maths/random.ts';
import { INNER, placed } from '../src/vision/depth-cells.ts';
import { edgeMemory, GRID } from '../src/vision/edge-memory.ts';
import { limbTerm, mirrorShare, roughShare } from '../src/vision/reflectance.ts';
import { beyondTerms, rimTerms } from '../src/vision/rim-terms.ts';

/** A table over the cells, as it is averaged plainly; a depth's share is a function of its place in the list. */
function cellsOf(share: (k: number) => number, depths: Float64Array | null, count: number): number[] {
  const out = new Float64Array(INNER);
  placed(
    Float64Array.from({ length: count }, (_, k) => share(k)),
    depths,
    out,
  );
  return [...out];
}

// Depths of any rim are averaged within the module, others outside of it.
test.each([null, Float64Array.from([0.02, 0.3, 0.9, 1.6, 2.9, 4.5, 8])])(
  'rim terms of depths %j are the reflectances against the deepest place, averaged over cells',
  (depths) => {
    const memory = edgeMemory();
    const random = seededRandom(7);
    const count = (depths ?? RIM_DEPTHS).length;
    const cosines = Float64Array.from({ length: count }, () => random());
    const mirrored = Float64Array.from({ length: count }, () => 2 * random());
    const last = count - 1;
    rimTerms(memory, { depths, cosines, mirrored });
    beyondTerms(memory, { depths, cosines, mirrored }, mirrored);
    const grid = (part: Float64Array, k: number): number[] => [...part.subarray(GRID * k, GRID * k + INNER)];
    [mirrorShare, roughShare].forEach((share, t) => {
      const deep = share(cosines[last]!);
      const at = (k: number): number => share(cosines[k]!);
      const rim = cellsOf((k) => (at(k) - deep) / (1 - deep), depths, count);
      expect(grid(memory.RAW, t)).toEqual(rim);
      const more = mirrored[last]! - 1;
      const beyond = (k: number): number => at(k) * (mirrored[k]! - 1) - (deep * more * (1 - at(k))) / (1 - deep);
      expect(grid(memory.BEYOND_RAW, t)).toEqual(cellsOf(beyond, depths, count));
    });
    const limb = cellsOf((k) => limbTerm(cosines[k]!) - limbTerm(cosines[last]!), depths, count);
    expect(grid(memory.RAW, 2)).toEqual(limb);
  },
);
