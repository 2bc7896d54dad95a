import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { ALTERATIONS } from '../src/cli/altered/alterations.ts';
import { decodedPixels } from '../src/cli/altered/encode.ts';
import { pixelsOf, sharpOf, type Pixels } from '../src/cli/altered/pixels.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { lookAt, type Added } from '../src/measure/look.ts';
import { displayBlurDoubt, processingOf, smoothStage } from '../src/measure/processing.ts';
import { survey } from '../src/vision/survey.ts';
import { grainBlur, stageGrain } from '../src/vision/stage-grain.ts';

// What programs do to photos after the camera: it shows where grain and the card's printed edges are held against the die's edges.

const photos = new Map<string, { readonly pixels: Pixels; readonly outline: Float64Array }>();
beforeAll(async () => {
  for (const name of ['d6/02-2.jpg', 'd20/01-20.jpg']) {
    const pixels = await decodedPixels(await readFile(join(import.meta.dirname, '../samples', name)));
    const seen = survey({ ...pixels, channels: 3 });
    if (!seen.ok) throw new Error(seen.error.code);
    photos.set(name, { pixels, outline: seen.value.regions[0]!.outline });
  }
});

function looked(pixels: Pixels): Added {
  const photo = { name: 'photo', picture: { ...pixels, channels: 3 as const }, focal: null };
  const found = lookAt(photo, { photo: 'photo', up: '1', front: '2' });
  if (!found.ok) throw new Error(found.error.map((n) => n.code).join(' '));
  return found.value;
}

test.each(['d6/02-2.jpg', 'd20/01-20.jpg'])('a photo as the camera wrote it is not taken for processed: %s', (name) => {
  expect(processingOf([looked(photos.get(name)!.pixels)])).toEqual({ note: null, edge: 0, shape: 1 });
});

test.each([
  ['median 3', 'smoothed'],
  ['median 5', 'smoothed'],
  ['portrait, tight', 'background-blur'],
  ['sharpened', 'sharpened'],
  ['local contrast', 'contrast-raised'],
  ['local contrast, wide', 'contrast-raised'],
  // What a lens does blurs grain and edges alike, and is no processing.
  ['defocus 1 px', undefined],
  ['defocus 2 px', undefined],
  ['motion 2 px', undefined],
  ['noise 6', undefined],
  ['over-exposed by 0.7 EV', undefined],
])('%s is told for what it is', async (name, code) => {
  const { picture } = ALTERATIONS.find((a) => a.name === name)!;
  const { pixels, outline } = photos.get('d20/01-20.jpg')!;
  const found = processingOf([looked(await picture!(pixels, { k: 1, outline }))]);
  expect(found.note?.code).toBe(code);
  expect(found.edge > 0 && found.shape > 1).toBe(code !== undefined);
});

test.each([0, 0.7, 1, 1.5])(
  'grain smoothed by a Gaussian of %s px tells its sigma, on a sloping stage too',
  async (sigma) => {
    const normal = seededNormal(seededRandom(3));
    const [width, height] = [400, 300];
    const data = new Uint8Array(3 * width * height);
    for (let k = 0; k < width * height; k++)
      data.fill(Math.round(128 + (k % width) / 20 + 20 * normal()), 3 * k, 3 * k + 3);
    const noise: Pixels = { width, height, data };
    const { data: smooth } = sigma === 0 ? noise : await pixelsOf(sharpOf(noise).blur(sigma));
    const crop = { width, height, channels: 3 as const, data: smooth, left: 0, top: 0 };
    const grain = stageGrain(crop, Float64Array.of(190, 140, 210, 140, 210, 160, 190, 160))!;
    expect(Math.abs(grainBlur(grain) - sigma)).toBeLessThan(sigma === 0 ? 0.3 : 0.18 * sigma);
    if (sigma === 0) expect(Math.abs(grain.fine / 20 - 1)).toBeLessThan(0.05);
  },
);

test('a stage of which hardly anything is seen tells no grain', () => {
  const crop = { width: 20, height: 20, channels: 3 as const, data: new Uint8Array(1200), left: 0, top: 0 };
  expect(stageGrain(crop, Float64Array.of(0, 0, 20, 0, 20, 20, 0, 20))).toBeNull();
});

// Half-way up in display values is not half-way up in light (sRGB, IEC 61966-2-1): edges that a program smoothed as shown seem shifted, edges that a lens blurred do not.
test("grain that was smoothed as shown makes edges doubtful, and only a smooth stage may be a portrait mode's", async () => {
  const { pixels } = photos.get('d20/01-20.jpg')!;
  const plain = [looked(pixels)];
  expect([displayBlurDoubt(plain), smoothStage(plain)]).toEqual([0, false]);
  const of = async (sigma: number): Promise<Added[]> => [looked(await pixelsOf(sharpOf(pixels).blur(sigma)))];
  const [soft, softer] = [await of(0.7), await of(1)];
  expect(displayBlurDoubt(soft)).toBeGreaterThan(0.1);
  expect(displayBlurDoubt(softer)).toBeGreaterThan(displayBlurDoubt(soft));
  // Never more than three tenths of the blur itself.
  expect(displayBlurDoubt(softer)).toBeLessThan(0.35);
  expect(smoothStage(softer)).toBe(true);
});
