import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { fitMemory, WIDTH } from '../src/fit/fit-memory.ts';
import { seededRandom } from '../src/maths/random.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.fits);
  expect(await readFile(path, 'utf8')).toBe(text);
});

const random = seededRandom(17);

/** Rows of which some side by side hang on the same parameters, some of these twice, and some on one alone. */
function someRows(count: number, parameters: number): { index: Int32Array; value: Float64Array } {
  const index = new Int32Array(WIDTH * count).fill(-1);
  const value = new Float64Array(WIDTH * count);
  for (let k = 0, o = 0; k < count; k++, o += WIDTH) {
    const used = k % 11 === 0 ? 1 : 5 + Math.floor(10 * random());
    if (k % 5 > 1) index.copyWithin(o, o - WIDTH, o);
    else for (let p = 0; p < used; p++) index[o + p] = Math.floor(parameters * random());
    for (let p = 0; p < WIDTH; p++) value[o + p] = random() - 0.5;
  }
  return { index, value };
}

test('sums over rows: to the last bit what they are pair by pair', () => {
  const [n, count, cut] = [70, 600, 2.5];
  const { index, value } = someRows(count, n);
  const residual = Float64Array.from({ length: count }, () => random() - 0.5);
  const sigma = Float64Array.from({ length: count }, () => 0.05 + random() / 10);
  const a = new Float64Array(n * n);
  const g = new Float64Array(n);
  const terms = residual.map((r, k) => 1 + ((r * (1 / sigma[k]!)) / cut) ** 2);
  let twice = 0;
  for (let k = 0; k < count; k++) {
    const is = 1 / sigma[k]!;
    for (let p = k * WIDTH; p < (k + 1) * WIDTH && index[p]! >= 0; p++) {
      const v = value[p]! * ((is * is) / terms[k]!);
      g[index[p]!]! += v * residual[k]!;
      for (let q = k * WIDTH; q <= p; q++) {
        const [i, j] = [Math.max(index[p]!, index[q]!), Math.min(index[p]!, index[q]!)];
        if (i === j && p !== q) twice++;
        a[i * n + j]! += (i === j && p !== q ? 2 : 1) * v * value[q]!;
      }
    }
  }
  expect(twice).toBeGreaterThan(count / 10);
  const memory = fitMemory();
  memory.holdSums(count, n);
  memory.index.set(index);
  memory.value.set(value);
  memory.residual.set(residual);
  memory.sigma.set(sigma);
  memory.addRows(count, cut);
  expect(memory.a).toStrictEqual(a);
  expect(memory.g).toStrictEqual(g);
  expect(Array.from(memory.terms.subarray(0, count))).toStrictEqual(Array.from(terms));
});
