import { expect, test } from 'vitest';
import { seenIn } from '../src/fit/die-state.ts';
import { photoRows } from '../src/fit/photo-rows.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { DIE_KINDS } from '../src/geometry/solid.ts';
import { hypot2, hypot3 } from '../src/maths/hypot.ts';
import { seededRandom } from '../src/maths/random.ts';
import { unevenDie } from './support/synthetic-die.ts';

test.each(DIE_KINDS)(
  'the outline of a %s closes round it without a gap, and every point of it touches the die',
  (kind) => {
    for (const seed of [1, 2, 3]) {
      const { truth, photos } = unevenDie(kind, seed);
      for (const [i, photo] of photos.entries()) {
        const { count, step, xy, normal } = outlineOf(seenIn(truth, photo, i), photo.camera, 1);
        const points = { xy, normal, sigma: new Float64Array(count).fill(1), byTerm: new Float64Array(0), terms: 0 };
        const { residual } = photoRows(truth, photo, i, points, false);
        expect(Math.max(...residual.map(Math.abs)), 'px off the die').toBeLessThan(0.03);
        for (let k = 0; k < count; k++) {
          const n = (k + 1) % count;
          const apart = Math.hypot(xy[2 * n]! - xy[2 * k]!, xy[2 * n + 1]! - xy[2 * k + 1]!);
          expect(apart, 'px to the next').toBeLessThan(1.2 * step);
        }
      }
    }
  },
);

test('lengths of two and three numbers are what V8 says they are, to the last bit', () => {
  const random = seededRandom(4);
  const any = (): number => (random() - 0.5) * 10 ** (12 * random() - 6);
  for (let k = 0; k < 20_000; k++) {
    const [x, y, z] = [any(), any(), any()];
    if (hypot2(x, y) !== Math.hypot(x, y)) throw new Error(`hypot2(${x}, ${y})`);
    if (hypot3(x, y, z) !== Math.hypot(x, y, z)) throw new Error(`hypot3(${x}, ${y}, ${z})`);
  }
  for (const v of [0, -0, 5e-324, 1e308, -Infinity, NaN]) {
    expect(hypot2(v, 0)).toBe(Math.hypot(v, 0));
    expect(hypot3(v, v, 0)).toBe(Math.hypot(v, v, 0));
  }
});
