import sharp, { type Sharp } from 'sharp';
import { expect, test } from 'vitest';
import { createFileSet, MOST_SECONDS } from '../src/measure/file-set.ts';
import { lookAtFile } from '../src/measure/look-at-file.ts';
import { decodePicture } from '../src/cli/decode.ts';
import { messageOf } from '../src/text/notes.ts';
import type { PhotoResult } from '../src/formats/result.ts';
import { added, cv, measured, sampleFile, sampleJob, samplePixels } from './support/measuring.ts';
import { bytesOf, covered, from, pixelsOf, plain, type Pixels } from './support/photo-edits.ts';

/** One photo of a d6, 1 up and 2 in front; the die lies within DIE, the stage is nearly white. */
const job = sampleJob('d6', { shots: [{ photo: '01-1.jpg', up: 1, front: 2 }] });
const original = await samplePixels('d6', '01-1.jpg');
const bytes = sampleFile('d6', '01-1.jpg');
const DIE = { left: 932, top: 670, right: 1202, bottom: 942 };
const SHADOW = { left: 860, top: 480, right: 1330, bottom: 1010 };
const stage = plain(205, 205, 205);
const table = plain(120, 100, 80);
const empty = covered(original, SHADOW, stage);

const judged = (picture: Pixels): PhotoResult => {
  const measurement = added(job, []);
  const result = measurement.addPhoto({ name: '01-1.jpg', picture, focal: null });
  expect(cv.live(), 'OpenCV objects left').toBe(0);
  return result;
};
const moved = (du: number, dv: number, onto = empty): Pixels =>
  covered(
    onto,
    { left: DIE.left + du, top: DIE.top + dv, right: DIE.right + du, bottom: DIE.bottom + dv },
    from(original, du, dv),
  );
const edited = (image: (from: Sharp) => Sharp): Promise<Pixels> => pixelsOf(image(sharp(bytes)));

/** Each remark tells what was seen and what to do. */
function expectWords({ notes }: PhotoResult): void {
  expect(notes.length).toBeGreaterThan(0);
  for (const note of notes) {
    const { text, advice } = messageOf(note);
    expect(text).not.toMatch(/undefined|NaN|Infinity/);
    expect(advice.length).toBeGreaterThan(20);
  }
}

const refused: readonly [string, string, () => Pixels | Promise<Pixels>][] = [
  ['the table alone', 'no-card', () => covered(original, { left: 0, top: 0, right: 2016, bottom: 1512 }, table)],
  ['the stage alone', 'no-card', () => edited((s) => s.extract({ left: 560, top: 430, width: 1000, height: 660 }))],
  [
    'three markers',
    'few-markers',
    () =>
      covered(
        covered(original, { left: 0, top: 0, right: 2016, bottom: 1180 }, table),
        { left: 1000, top: 0, right: 2016, bottom: 1512 },
        table,
      ),
  ],
  [
    'six markers in a row',
    'card-points',
    () => covered(original, { left: 0, top: 0, right: 2016, bottom: 1180 }, table),
  ],
  ['mirrored', 'mirrored', () => edited((s) => s.flop())],
  ['mirrored, upside down', 'mirrored', () => edited((s) => s.flip())],
  ['so blurred that no marker is seen', 'no-card', () => edited((s) => s.blur(10))],
  [
    'shaken',
    'few-markers',
    () =>
      edited((s) =>
        s.convolve({
          width: 21,
          height: 3,
          kernel: [...Array<number>(21).fill(0), ...Array<number>(21).fill(1), ...Array<number>(21).fill(0)],
        }),
      ),
  ],
  ['blurred by 5 px', 'blur', () => edited((s) => s.blur(5))],
  ['cut through the die', 'die-cut', () => edited((s) => s.extract({ left: 0, top: 0, width: 1050, height: 1512 }))],
  ['no die', 'no-die', () => empty],
  ['a die beside the card', 'no-die', () => moved(0, 520)],
  ['a die over the ring', 'die-over-ring', () => moved(0, 270)],
  ['a die at the edge of the stage', 'die-over-ring', () => moved(400, 0)],
  ['two dice', 'several-dice', () => moved(300, 0, original)],
  [
    'a stage strewn with specks',
    'crowded-stage',
    () =>
      covered(original, { left: 600, top: 460, right: 1500, bottom: 1040 }, (u, v) =>
        u % 46 < 22 && v % 46 < 22 ? 60 : 205,
      ),
  ],
];

test.each(refused)('%s: %s', async (_what, code, picture) => {
  const result = judged(await picture());
  expect(result).toMatchObject({ status: 'left-out', code, photo: '01-1.jpg', up: '1', front: '2' });
  expectWords(result);
});

test('another card: other-card', () => {
  // Squares of 6 x 6 modules whose inner bits are none of the card's, turned or mirrored.
  const module = 12;
  const white = plain(230, 230, 230);
  const blank = covered(original, { left: 0, top: 0, right: 2016, bottom: 1512 }, white);
  const paint = (p: Pixels, u: number, v: number, bits: number): Pixels => {
    const inside = (x: number, size: number): number => Math.floor((x * 6) / size) - 1;
    return covered(p, { left: u, top: v, right: u + 6 * module, bottom: v + 6 * module }, (x, y) => {
      const [c, r] = [inside(x - u, 6 * module), inside(y - v, 6 * module)];
      return c >= 0 && r >= 0 && c < 4 && r < 4 && (bits >> (15 - 4 * r - c)) & 1 ? 230 : 20;
    });
  };
  const places = Array.from({ length: 20 }, (_, i) => [300 + 280 * (i % 5), 200 + 280 * Math.floor(i / 5)] as const);
  const other = places.reduce((p, [u, v]) => paint(p, u, v, 0b1110_1000_1000_0001), blank);
  const result = judged(other);
  expect(result).toMatchObject({ status: 'left-out', code: 'other-card', notes: [{ seen: 20 }] });
  expectWords(result);
});

const remarked: readonly [string, string, () => Pixels | Promise<Pixels>][] = [
  ['overexposed', 'burnt', () => edited((s) => s.linear(1.5, 0))],
  ['blurred by 3 px', 'blur', () => edited((s) => s.blur(3))],
];

test.each(remarked)('%s: used, with the remark %s', async (_what, code, picture) => {
  const result = judged(await picture());
  expect(result).toMatchObject({ status: 'used-with-remark', code });
  expectWords(result);
});

const misfits: readonly [string, () => Pixels | Promise<Pixels>][] = [
  ['two dice that touch', () => moved(240, 0, original)],
  ['a disc', () => covered(empty, DIE, plain(120, 110, 100), true)],
  ['an egg', () => covered(empty, { left: 832, top: 700, right: 1302, bottom: 920 }, plain(120, 110, 100), true)],
  ['half a die', () => covered(moved(0, 0), { left: 1050, top: 480, right: 1330, bottom: 1010 }, stage)],
];

test.each(misfits)('%s: no die of this kind', async (_what, picture) => {
  const outcome = measured(job, [{ name: '01-1.jpg', picture: await picture() }]);
  expect(outcome).toMatchObject({
    ok: false,
    error: { code: 'wrong-kind', photos: [{ status: 'left-out', code: 'misfit' }] },
  });
  if (!outcome.ok) {
    expect(messageOf(outcome.error).text).not.toMatch(/undefined|NaN|Infinity/);
    expectWords(outcome.error.photos[0]!);
  }
});

test('half the card will do where the die is whole', () => {
  const half = covered(
    covered(original, { left: 0, top: 0, right: 2016, bottom: 405 }, stage),
    { left: 0, top: 0, right: 530, bottom: 1512 },
    stage,
  );
  const result = judged(half);
  expect(result).toMatchObject({ status: 'used', code: null });
  expect(result.cardPoints).toBeLessThan(30);
});

test.each([
  ['grey JPEG', (s: Sharp) => s.grayscale().jpeg({ quality: 95 })],
  ['CMYK JPEG', (s: Sharp) => s.toColourspace('cmyk').jpeg({ quality: 95 })],
  ['progressive JPEG', (s: Sharp) => s.jpeg({ quality: 95, progressive: true })],
  ['16-bit PNG', (s: Sharp) => s.toColourspace('rgb16').png({ compressionLevel: 1 })],
  ['WebP', (s: Sharp) => s.webp({ quality: 92 })],
  ['TIFF', (s: Sharp) => s.tiff({ compression: 'lzw' })],
  ['AVIF', (s: Sharp) => s.avif({ quality: 85, effort: 0 })],
  ['PNG with transparency', (s: Sharp) => s.ensureAlpha().png({ compressionLevel: 1 })],
])('%s: works', async (_what, image) => {
  const set = createFileSet(job, () => 0);
  const looked = await lookAtFile('01-1.jpg', await bytesOf(image(sharp(bytes))), decodePicture, () => 0);
  expect(set.take(looked)).toMatchObject({
    status: 'used',
  });
});

test('files that are no photos: refused with their reason, before anything is decoded', async () => {
  const set = createFileSet(job, () => 0);
  const never = (): never => {
    throw new Error('decoded');
  };
  const text = new TextEncoder();
  for (const [code, file] of [
    ['no-file', new Uint8Array(0)],
    ['not-an-image', text.encode('{ "die": "d6" }')],
    ['format-unread', text.encode('GIF89a..............................')],
    ['truncated', bytes.subarray(0, bytes.length / 2)],
  ] as const)
    expect(set.take(await lookAtFile('01-1.jpg', file, never, () => 0))).toMatchObject({
      status: 'left-out',
      code,
    });
  expect(await set.finish()).toMatchObject({ ok: false, error: { code: 'no-photo', photos: [{ code: 'truncated' }] } });
});

test('a set that takes longer than its share: stopped, and told in both languages', async () => {
  let clock = 0;
  const late = createFileSet(job, () => (clock += MOST_SECONDS.set));
  late.take(await lookAtFile('01-1.jpg', bytes, decodePicture, () => 0));
  const outcome = await late.finish();
  const most = MOST_SECONDS.set + MOST_SECONDS.photo;
  expect(outcome).toMatchObject({ ok: false, error: { code: 'too-long', seen: most, needed: most } });
  for (const language of ['en', 'de'] as const)
    expect(messageOf({ code: 'too-long', seen: most, needed: most }, language).text).toContain(`${most} s`);
  expect(cv.live(), 'OpenCV objects left').toBe(0);
});

test('a decoder that gives up: unreadable', async () => {
  const set = createFileSet(job, () => 0);
  const gaveUp = () => Promise.reject(new Error('out of memory'));
  const result = set.take(await lookAtFile('01-1.jpg', bytes, gaveUp, () => 0));
  expect(result).toMatchObject({ status: 'left-out', code: 'unreadable' });
});

test('a better file of the same name takes the place of a bad one, and the other way about', async () => {
  const measurement = added(job, []);
  const add = (picture: Pixels): PhotoResult => measurement.addPhoto({ name: '01-1.jpg', picture, focal: null });
  expect(add(empty)).toMatchObject({ code: 'no-die' });
  expect(add(original)).toMatchObject({ status: 'used' });
  expect(add(original), 'no duplicate of itself').toMatchObject({ status: 'used' });
  expect(add(empty)).toMatchObject({ code: 'no-die' });
  expect(measurement.finish()).toMatchObject({ ok: false, error: { code: 'no-photo' } });
});
