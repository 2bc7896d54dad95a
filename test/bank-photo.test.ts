import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { decodePicture } from '../src/cli/decode.ts';
import { bankCardBars, type BankCardBars } from '../src/bank-card/bars.ts';
import { bankMessage, type BankFault } from '../src/bank-card/messages.ts';
import type { Result } from '../src/result.ts';
import type { Picture } from '../src/vision/picture.ts';
import { plate, type Place } from './support/bank-plate.ts';
import { poseOver, rendered, scene, type Scene } from './support/render-card.ts';

const SIZE = { width: 1000, height: 760 };
const FOCAL = 1320;
const FLAT = { camera: { f: FOCAL, cx: 501, cy: 378, k1: 0, k2: 0 }, cameraFromCard: poseOver(0, 0, 0, 155) };

function photo(place: Place, changes: Partial<Scene> & { readonly lean?: number } = {}): Picture {
  const { lean = 3, ...rest } = changes;
  const cameraFromCard = rest.cameraFromCard ?? poseOver(lean, 2, 0, 155);
  const camera = { f: FOCAL, cx: 502, cy: 377, k1: 0.03, k2: -0.05 };
  const die = plate(cameraFromCard, place);
  return rendered(scene({ ...SIZE, camera, cameraFromCard, samples: 4, die, ...rest }));
}

const bars = (picture: Picture): Result<BankCardBars, BankFault> =>
  bankCardBars({ name: 'bank.jpg', picture, focal: 1.05 * FOCAL });
const said = (outcome: Result<BankCardBars, BankFault>): string => (outcome.ok ? 'found' : outcome.error.code);

/** Holds what is found in a picture against the print's size. */
function expectSize(picture: Picture, scale: readonly [number, number]): void {
  const found = bars(picture);
  expect(said(found)).toBe('found');
  if (!found.ok) return;
  const { x, y, u } = found.value;
  // The renderer's card is exact: what is left of the doubt are edges and camera, some hundredths of a millimetre. Were the bank
  // card taken for flat print, 100 mm would be off by 100 x 0.76 / 154 = 0.49 mm, by similar triangles.
  expect(Math.abs(x - 100 * scale[0])).toBeLessThan(0.08);
  expect(Math.abs(y - 100 * scale[1])).toBeLessThan(0.08);
  expect(u).toBeGreaterThan(0.08);
  expect(u).toBeLessThan(0.25);
}

test.each<[string, readonly [number, number], Place, Partial<Scene> & { lean?: number }]>([
  [
    'leaning, off the middle, noisy and blurred',
    [0.972, 0.985],
    { x: -0.6, y: 0.5, turn: -0.01, light: 0.2 },
    { lean: 9, noise: 3, blur: 1.4 },
  ],
  [
    'light, on a black stage',
    [1.012, 1.004],
    { light: 0.55 },
    { stage: 0.04, cameraFromCard: poseOver(2, 181, 0, 155) },
  ],
])("a print's size is recovered within its U95: %s", (_, scale, place, changes) => {
  expectSize(photo(place, { scale, ...changes }), scale);
});

const PRINT = [0.99, 1.004] as const;
const good = photo({}, { ...FLAT, scale: PRINT });

/** The picture with each pixel's grey replaced. */
function changed(picture: Picture, grey: (value: number, u: number, v: number) => number): Picture {
  const { width, channels } = picture;
  const data = picture.data.map((value, k) => {
    const pixel = Math.floor(k / channels);
    return grey(value, pixel % width, Math.floor(pixel / width));
  });
  return { ...picture, data };
}

function window(picture: Picture, width: number, every: number): Picture {
  const height = Math.floor(picture.height / every);
  const data = new Uint8Array(3 * width * height);
  for (let v = 0; v < height; v++)
    for (let u = 0; u < width; u++)
      for (let c = 0; c < 3; c++)
        data[3 * (v * width + u) + c] = picture.data[3 * (v * every * picture.width + u * every) + c]!;
  return { width, height, channels: 3, data };
}

// px per mm at the rim, and where the upper side stands in the picture.
const RIM = FOCAL / (155 - 0.76);
const TOP = 378 - (RIM * 53.98) / 2;
/** With the pixels that its rim only touches. */
const isCard = (u: number, v: number): boolean =>
  Math.abs(u - 501) < (RIM * 85.6) / 2 + 3 && Math.abs(v - 378) < 378 - TOP + 3;
const WHITE = good.data[3 * (Math.round(TOP - 6) * SIZE.width + 501)]!;
const BLACK = Array.from(good.data).reduce((least, value) => Math.min(least, value), 255);

test('so is that of the picture from above that the others are made from', () => expectSize(good, PRINT));

test.each<[string, string, () => Picture | Promise<Picture>]>([
  [
    'a real photo of a die, whose ring nearly has the proportions',
    'bank-none',
    async () => decodePicture(await readFile(join(import.meta.dirname, '../samples/d6/01-1.jpg'))),
  ],
  ['nothing on a stage', 'bank-none', () => changed(good, (value, u, v) => (isCard(u, v) ? WHITE : value))],
  ['a card as dark as the ring', 'bank-none', () => changed(good, (value, u, v) => (isCard(u, v) ? BLACK : value))],
  [
    'a hard shadow beside it',
    'bank-two',
    () =>
      changed(good, (value, u, v) => (isCard(u, v) || !isCard(u, v + 7) || v > TOP ? value : Math.round(0.45 * value))),
  ],
  ['a leaning camera', 'bank-lean', () => photo({}, { lean: 15 })],
  ['a photo cut off', 'bank-cut', () => window(good, 850, 1)],
  ['a photo from afar', 'bank-small', () => window(good, 500, 2)],
  ['an even grey', 'no-card', () => changed(good, () => 128)],
])('%s is refused and worded', async (_, code, picture) => {
  const outcome = bars(await picture());
  expect(said(outcome)).toBe(code);
  if (outcome.ok) return;
  const { text, advice } = bankMessage(outcome.error);
  expect(`${text} ${advice}`).not.toMatch(/undefined|NaN|null/);
  expect(advice.length).toBeGreaterThan(10);
});
