import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { edgeMemory, F, GRID, KERNEL_MIDDLE, PIXEL, SEEN } from '../src/vision/edge-memory.ts';
import { PROFILE_CELLS } from '../src/vision/depth-cells.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.edges);
  expect(await readFile(path, 'utf8')).toBe(text);
});

test('parts of its memory lie apart, and hold what is counted on', () => {
  const memory = edgeMemory();
  const parts = Object.values(memory).filter((part) => part instanceof Float64Array);
  parts.sort((a, b) => a.byteOffset - b.byteOffset);
  parts.forEach((part, k) => {
    if (k > 0) expect(part.byteOffset).toBeGreaterThanOrEqual(parts[k - 1]!.byteOffset + parts[k - 1]!.byteLength);
  });
  expect(memory.VALUE.length).toBe(PROFILE_CELLS);
  expect(memory.KERNEL.length).toBe(2 * KERNEL_MIDDLE);
  expect(memory.PIXELS.length / PIXEL).toBe(memory.SEEN_PIXELS.length / SEEN);
  expect(memory.run.GRID.value).toBe(8 * GRID);
  expect(edgeMemory()).toBe(memory);
});

test('one pixel on flat light: its residual is what it differs by, its weight the variance of its side', () => {
  const { VALUE, STEP, LOCAL, PARAMETERS, PIXELS, SEEN_PIXELS, MATRIX, GRADIENT, run } = edgeMemory();
  VALUE.fill(100);
  STEP.fill(1);
  LOCAL.fill(0);
  PARAMETERS.set([4, 9], 19);
  PIXELS.set([2.5, 106, 0]);
  run.takeCurves();
  expect(run.accumulate(1, false, true)).toBeCloseTo(36 / 9, 12);
  expect(SEEN_PIXELS[F]).toBe(1);
  // Unknowns: offset, level and slope inside, level and slope outside, row-major in 11 columns.
  expect(MATRIX[3 * 11 + 3]).toBeCloseTo(1 / 9, 12);
  expect(MATRIX[4 * 11 + 4]).toBeCloseTo(2.5 ** 2 / 9, 12);
  expect([...GRADIENT.subarray(0, 5)]).toEqual([0, 0, 0, 6 / 9, 15 / 9].map((v) => expect.closeTo(v, 12) as number));
});
