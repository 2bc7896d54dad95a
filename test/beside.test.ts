import { beforeAll, expect, test } from 'vitest';
import { marked, type Mark } from '../src/cli/altered/marks.ts';
import { decodedPixels } from '../src/cli/altered/encode.ts';
import type { Pixels } from '../src/cli/altered/pixels.ts';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { survey, type Survey } from '../src/vision/survey.ts';

let clean: Survey;
let photo: Pixels;
const looked = (p: Pixels): Survey => {
  const found = survey({ ...p, channels: 3 });
  if (!found.ok) throw new Error(found.error.code);
  return found.value;
};
beforeAll(async () => {
  photo = await decodedPixels(await readFile(join(import.meta.dirname, '../samples/d6/02-2.jpg')));
  clean = looked(photo);
});

test('a clean stage: the die alone, whole and solid', () => {
  expect(clean.regions[0]).toMatchObject({ solid: true, cut: false, trimmed: false });
});

test.each<Mark>(['hair', 'thread', 'pencil', 'dust', 'coffee', 'crumb', 'fluff', 'paper', 'shadow', 'shadow-edge'])(
  '%s beside the die: the die is found as without it',
  async (mark) => {
    const was = clean.regions[0]!;
    const die = looked(await marked(photo, was.outline, mark, 1)).regions[0]!;
    expect(die.solid).toBe(true);
    // Where something was taken off a bulge is left, which does not count (covered).
    expect(Math.abs(die.area / was.area - 1)).toBeLessThan(die.trimmed ? 0.12 : 0.1);
  },
);

test.each(['01-1.jpg', '02-2.jpg', '03-3.jpg', '04-6.jpg'])(
  'a coffee ring that touches the die of %s: what counts of the outline is the die',
  async (name) => {
    const bare = await decodedPixels(await readFile(join(import.meta.dirname, '../samples/d6', name)));
    const was = looked(bare).regions[0]!;
    const { outline, covered, grain, solid } = looked(await marked(bare, was.outline, 'coffee', 1)).regions[0]!;
    expect(solid).toBe(true);
    const off = Array.from({ length: outline.length / 2 }, (_, i) => i)
      .filter((i) => covered?.[i] !== 1)
      .map((i) => distanceTo(was.outline, outline[2 * i]!, outline[2 * i + 1]!) / grain);
    expect(off.length).toBeGreaterThan(outline.length / 4);
    expect(Math.max(...off)).toBeLessThan(5);
  },
);

/** Distance of a point to the next point of an outline, px. */
const distanceTo = (xy: Float64Array, u: number, v: number): number =>
  Math.min(...Array.from({ length: xy.length / 2 }, (_, k) => Math.hypot(xy[2 * k]! - u, xy[2 * k + 1]! - v)));

test('a crumb that touches the die is in its outline, and not in its spare one', async () => {
  const bare = await decodedPixels(await readFile(join(import.meta.dirname, '../samples/d6/03-3.jpg')));
  const was = looked(bare).regions[0]!;
  const { outline, spare, grain, trimmed } = looked(await marked(bare, was.outline, 'crumb', 2)).regions[0]!;
  const furthest = (xy: Float64Array): number =>
    Math.max(
      ...Array.from({ length: xy.length / 2 }, (_, i) => distanceTo(was.outline, xy[2 * i]!, xy[2 * i + 1]!) / grain),
    );
  expect(trimmed).toBe(false);
  expect(furthest(outline)).toBeGreaterThan(10);
  expect(furthest(spare!)).toBeLessThan(6);
});
