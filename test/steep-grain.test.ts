import { expect, test } from 'vitest';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { clearOfGrain, withoutGrain } from '../src/vision/steep-grain.ts';

const [W, H] = [200, 150];
const HULL = [60, 40, 110, 40, 110, 90, 60, 90];
/** Squared Sobel sums over sums of four pixels: a gradient in display values per px. */
const squaredOf = (gradient: number): number => (32 * gradient) ** 2;
const LEVEL = squaredOf(6);

/** A square thing with a steep outline, and grain beside it that stands out of the quiet stage in single places. */
function field(grain: number, specks: boolean) {
  const random = seededRandom(7);
  const normal = seededNormal(seededRandom(8));
  const squared = new Int32Array(W * H).fill(1);
  const green = Int16Array.from({ length: W * H }, () => Math.round(600 + grain * normal()));
  const onRing = (x: number, y: number): boolean =>
    x >= 58 && x <= 112 && y >= 38 && y <= 92 && !(x > 62 && x < 108 && y > 42 && y < 88);
  const near = (x: number, y: number): boolean => [-2, 0, 2].some((i) => [-2, 0, 2].some((j) => onRing(x + i, y + j)));
  for (let y = 0; y < H; y++)
    for (let x = 0; x < W; x++) {
      if (onRing(x, y)) squared[y * W + x] = squaredOf(40);
      else if (specks && random() < 0.03 && !near(x, y)) squared[y * W + x] = squaredOf(8);
    }
  const mask = Uint8Array.from(squared, (v) => (v > LEVEL ? 255 : 0));
  const ring = mask.map((m, k) => (m > 0 && onRing(k % W, Math.floor(k / W)) ? 255 : 0));
  return { steep: { mask, squared, level: LEVEL, green, passes: 0, medians: 7 }, ring };
}

test('grain beside a thing is taken off, its outline stays', () => {
  const { steep, ring } = field(10, true);
  expect(clearOfGrain(HULL, steep, W, H)).toEqual(ring);
});

test('specks alone are taken off where no grain shows', () => {
  const { steep, ring } = field(0, true);
  expect(clearOfGrain(HULL, steep, W, H)).toEqual(ring);
});

test('a stage without grain is left as it is', () => {
  expect(clearOfGrain(HULL, field(0, false).steep, W, H)).toBeNull();
});

test('an outline that would fall apart without the grain is kept as it was, with what is left as its spare one', () => {
  const inner = [65, 45, 105, 45, 105, 85, 65, 85];
  const thing = (area: number, solid: boolean, trimmed = false) => ({
    ...{ hull: area < 100 ? inner : HULL, area, solid, trimmed },
    spare: null as readonly number[] | null,
  });
  const first = [thing(100, true)];
  const mask = (): Uint8Array => new Uint8Array(0);
  const kept = { found: first, clear: false };
  const better = [thing(92, true)];
  expect(withoutGrain(first, () => better, mask)).toEqual({ found: better, clear: true });
  expect(withoutGrain(first, () => [], mask)).toEqual(kept);
  expect(withoutGrain(first, () => [thing(60, true)], mask)).toEqual(kept);
  expect(withoutGrain(first, () => [thing(60, false)], mask)).toEqual(kept);
  const spared = { found: [{ ...first[0]!, spare: inner }], clear: false };
  expect(withoutGrain(first, () => [thing(95, false)], mask)).toEqual(spared);
  // Where something lies beside a thing what is left of both has no hull of its own.
  const trimmed = [thing(100, true, true)];
  expect(withoutGrain(trimmed, () => [thing(95, false)], mask)).toEqual({ found: trimmed, clear: false });
  expect(withoutGrain([thing(100, false)], () => better, mask).found[0]!.area).toBe(100);
});
