import { expect, test } from 'vitest';
import { dilated, eroded, leave, without } from '../src/marks/masks.ts';
import { seededRandom } from '../src/maths/random.ts';

/** Whether a pixel of the square round a place is `value`, places outside the picture being 0: the definition of both. */
function near(mask: Uint8Array, size: number, x: number, y: number, by: number, value: number): boolean {
  for (let j = y - by; j <= y + by; j++)
    for (let i = x - by; i <= x + by; i++) {
      const inside = i >= 0 && j >= 0 && i < size && j < size;
      if ((inside ? mask[j * size + i] : 0) === value) return true;
    }
  return false;
}

test('masks grow and shrink by a square, whatever lies at their border', () => {
  const random = seededRandom(5);
  for (const share of [0, 0.003, 0.02, 0.5, 0.98, 1])
    for (const size of [3, 17, 40]) {
      const mask = Uint8Array.from({ length: size * size }, () => (random() < share ? 1 : 0));
      for (const by of [1, 2, 5]) {
        const places = [...mask.keys()].map((k) => [k % size, Math.floor(k / size)] as const);
        const wide = places.map(([x, y]) => (near(mask, size, x, y, by, 1) ? 1 : 0));
        const narrow = places.map(([x, y]) => (near(mask, size, x, y, by, 0) ? 0 : 1));
        expect([...dilated(mask, size, by)]).toEqual(wide);
        expect([...eroded(mask, size, by)]).toEqual(narrow);
      }
    }
});

test('what another mask has is left, or taken away, wherever it lies in memory', () => {
  const random = seededRandom(8);
  const some = (length: number): Uint8Array => Uint8Array.from({ length }, () => (random() < 0.5 ? 1 : 0));
  for (const length of [3, 16, 81])
    for (const beside of [0, 1, 4]) {
      const mask = some(length);
      const other = some(length + beside).subarray(beside);
      expect([...without(mask, other)]).toEqual(Array.from(mask, (v, k) => (v === 1 && other[k] === 0 ? 1 : 0)));
      const left = mask.slice();
      leave(left, other);
      expect([...left]).toEqual(Array.from(mask, (v, k) => (v === 1 && other[k] === 1 ? 1 : 0)));
    }
});
