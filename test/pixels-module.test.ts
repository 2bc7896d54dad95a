import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { seededRandom } from '../src/maths/random.ts';
import { darkerThanAround } from '../src/vision/local-threshold.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.pixels);
  expect(await readFile(path, 'utf8')).toBe(text);
});

/** Grain round a level. */
function grainOf(length: number, seed: number, level = 128, spread = 255): Uint8Array {
  const random = seededRandom(seed);
  return Uint8Array.from({ length }, () => level + spread * (random() - 0.5));
}

const clamped = (k: number, count: number): number => Math.min(count - 1, Math.max(0, k));

/** Equal to the last bit; of long lists quicker than telling how they differ. */
function expectSame(own: ArrayBufferView, plain: ArrayBufferView): void {
  const [a, b] = [own, plain].map((list) => Buffer.from(list.buffer, list.byteOffset, list.byteLength));
  expect(Buffer.compare(a!, b!)).toBe(0);
}

/** What `darkerThanAround` promises, box by box. */
function darkPlainly(data: Uint8Array, w: number, h: number, block: number, offset: number): Int8Array {
  const out = new Int8Array((w + 2) * (h + 2));
  const reach = block >> 1;
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      let sum = 0;
      for (let j = y - reach; j <= y + reach; j++)
        for (let i = x - reach; i <= x + reach; i++) sum += data[w * clamped(j, h) + clamped(i, w)]!;
      if (Math.round(sum / block ** 2) - data[y * w + x]! >= offset) out[(y + 1) * (w + 2) + x + 1] = 1;
    }
  return out;
}

// Rows are marked 128 at a time, and 16 pixels of a row; the wide one makes the memory grow.
test.each([
  [1, 1, 25, 6],
  [7, 300, 25, 6],
  [16, 40, 3, 0],
  [33, 128, 25, 14],
  [45, 129, 71, 6],
  [3000, 5, 5, 6],
  [64, 257, 9, 1],
] as const)('dark pixels of %i x %i by boxes of %i', (w, h, block, offset) => {
  for (const spread of [8, 40, 255]) {
    const data = grainOf(w * h, w + spread, 128, spread);
    const own = darkerThanAround(data, w, h, block, offset);
    expectSame(own, darkPlainly(data, w, h, block, offset));
  }
});
