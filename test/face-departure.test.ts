import { expect, test } from 'vitest';
import { departureOf } from '../src/marks/face-departure.ts';
import { median, solve } from '../src/maths/linear.ts';
import { seededRandom } from '../src/maths/random.ts';

const random = seededRandom(5);
const STRIDE = 7;

/** Departure from an even surface pixel by pixel, as its description says. */
function plainDeparture(light: Float32Array, mask: Uint8Array, size: number): { values: Float32Array; noise: number } {
  const half = (size - 1) / 2;
  const places = [...mask.keys()].filter((k) => mask[k] === 1);
  const luma = new Float32Array(size * size);
  for (const k of places) luma[k] = (light[3 * k]! + light[3 * k + 1]! + light[3 * k + 2]!) / 3;
  const asked = places.filter((_, i) => i % STRIDE === 0);
  const placeOf = (k: number): [number, number] => [((k % size) - half) / half, (Math.floor(k / size) - half) / half];
  let s = [median(asked.map((k) => luma[k]!)), 0, 0, 0, 0, 0] as [number, number, number, number, number, number];
  const height = (k: number): number => {
    const [x, y] = placeOf(k);
    return s[0] + x * (s[1] + s[3] * x + s[4] * y) + y * (s[2] + s[5] * y);
  };
  let keep = asked;
  for (let round = 0; round < 5; round++) {
    const off = (k: number): number => Math.abs(luma[k]! / height(k) - 1);
    const limit = Math.max(0.02, 3 * 1.4826 * median(keep.map(off)));
    const next = asked.filter((k) => off(k) < limit);
    if (next.length < 60) break;
    keep = next;
    const [a, b] = [new Float64Array(36), new Float64Array(6)];
    for (const k of keep) {
      const [x, y] = placeOf(k);
      const t = [1, x, y, x * x, x * y, y * y];
      t.forEach((p, i) => {
        b[i]! += p * luma[k]!;
        for (let j = 0; j <= i; j++) a[6 * i + j]! += p * t[j]!;
      });
    }
    for (let i = 0; i < 6; i++) {
      a[7 * i]! += 1e-9 * keep.length;
      for (let j = 0; j < i; j++) a[6 * j + i] = a[6 * i + j]!;
    }
    s = [...solve(a, b, 6)!] as typeof s;
  }
  for (const k of places) luma[k] = luma[k]! / height(k) - 1;
  const values = new Float32Array(size * size);
  for (const k of places) {
    const near = [-size, 0, size].flatMap((v) => [k + v - 1, k + v, k + v + 1]);
    values[k] = near.reduce((sum, p) => sum + luma[p]!, 0) / near.reduce((n, p) => n + mask[p]!, 0);
  }
  return { values, noise: Math.max(0.002, 1.4826 * median(keep.map((k) => Math.abs(values[k]!)))) };
}

/** A disc with a hole and scattered gaps. */
const discOf = (size: number, radius: number): Uint8Array =>
  Uint8Array.from({ length: size * size }, (_, k) => {
    const far = Math.hypot((k % size) - size / 2, Math.floor(k / size) - size / 2);
    return far < radius && far > 2.5 && random() < 0.97 ? 1 : 0;
  });

/** Light that falls off, with noise and some ink. */
const lightOf = (size: number): Float32Array =>
  Float32Array.from({ length: 3 * size * size }, (_, i) => {
    const [x, y] = [Math.floor(i / 3) % size, Math.floor(i / 3 / size)];
    const ink = (x * 7 + y * 3) % 41 < 9 ? 0.4 : 1;
    return ink * (0.5 + 0.003 * x - 0.00002 * y * y) * (0.97 + 0.06 * random());
  });

test.each([
  [96, 43],
  [61, 26],
  [136, 60],
  [40, 10],
])('departure of a picture of %i px, to the last bit that of its pixels one by one', (size, radius) => {
  const [mask, light] = [discOf(size, radius), lightOf(size)];
  const { values, noise } = departureOf({ light, size }, mask);
  const plain = plainDeparture(light, mask, size);
  expect(noise).toBe(plain.noise);
  expect([...values]).toEqual([...plain.values]);
  expect(values.some((v) => v < -0.2)).toBe(true);
});

test('a face without land departs nowhere', () => {
  const { values, noise } = departureOf({ light: lightOf(30), size: 30 }, new Uint8Array(900));
  expect(values.every((v) => v === 0)).toBe(true);
  expect(noise).toBeNaN();
});
