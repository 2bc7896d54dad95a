import sharp from 'sharp';
import { expect, test } from 'vitest';
import type { MeasureFailure, MeasureResult } from '../src/formats/result.ts';
import { turnedPicture } from '../src/photo/orientation.ts';
import type { Result } from '../src/result.ts';
import {
  fates as fatesOf,
  measured,
  sampleJob,
  samplePhotos,
  samplePixels,
  type SetPhoto,
} from './support/measuring.ts';
import { imageOf, pixelsOf, type Pixels } from './support/photo-edits.ts';
import truth from './fixtures/samples-truth/d6.json' with { type: 'json' };

// Photos of the sample as life alters them: what can be undone is undone and told, what cannot widens the doubt or ends in a refusal.

const BARS = { checkBar: 100, checkBarY: 100 };
const d6 = sampleJob('d6', BARS);
const photos = await samplePhotos('d6', d6);

function value(outcome: Result<MeasureResult, MeasureFailure>): MeasureResult {
  if (!outcome.ok) throw new Error(outcome.error.code);
  return outcome.value;
}

/** Largest error of an axis or of a difference of axes, in standard uncertainties; largest error, mm. */
function errorsOf({ axes, axesCovariance: c }: MeasureResult): { readonly z: number; readonly mm: number } {
  const off = axes.map((a) => a.length - (truth.axes_mm as Record<string, number>)[a.name]!);
  const z = off.flatMap((e, i) => [
    Math.abs(e) / axes[i]!.u,
    ...off.slice(0, i).map((f, j) => Math.abs(e - f) / Math.sqrt(c[i]![i]! + c[j]![j]! - 2 * c[i]![j]!)),
  ]);
  return { z: Math.max(...z), mm: Math.max(...off.map(Math.abs)) };
}

const changed = (edit: (p: Pixels, i: number) => Pixels | Promise<Pixels>): Promise<SetPhoto[]> =>
  Promise.all(photos.map(async (p, i) => ({ ...p, picture: await edit(p.picture as Pixels, i) })));

const fates = (r: MeasureResult): string[] => fatesOf({ ok: true, value: r });
const turned = (p: Pixels, quarters: number): Pixels => turnedPicture(p, quarters) as Pixels;

test.each([
  ['every second photo upside down', 2, (i: number) => i % 2 === 1],
  ['one photo upside down', 2, (i: number) => i === 0],
  ['one photo a quarter to the right', 1, (i: number) => i === 3],
  ['one photo a quarter to the left', 3, (i: number) => i === 2],
])('%s, and no flag says so: turned back, told, and nothing lost', async (_what, quarters, which) => {
  const result = value(measured(d6, await changed((p, i) => (which(i) ? turned(p, quarters) : p))));
  const told = result.photos.map((p) => p.notes.some((n) => n.code === 'turned-pixels'));
  // Of halves that were turned against each other either may be the one that is told.
  const wanted = photos.map((_, i) => which(i));
  expect([wanted, wanted.map((w) => !w && quarters === 2)]).toContainEqual(told);
  expect(errorsOf(result).mm).toBeLessThan(0.02);
  expect(Math.abs(result.meanAxis.value - value(measured(d6, photos)).meanAxis.value)).toBeLessThan(5e-3);
});

/** What a shutter does that reads row by row while the camera moves. */
async function sheared(p: Pixels, s: number): Promise<Pixels> {
  const wide = imageOf(p).affine(
    [
      [1, s],
      [0, 1],
    ],
    { interpolator: sharp.interpolators.bicubic, background: '#ccc' },
  );
  const { data, info } = await wide.raw().toBuffer({ resolveWithObject: true });
  const left = s < 0 ? info.width - p.width : 0;
  return pixelsOf(
    sharp(data, { raw: { ...info, channels: 3 } }).extract({ left, top: 0, width: p.width, height: p.height }),
  );
}

test.each([5e-4, 2e-3])(
  'a moving shutter that shears photos by %s either way is measured, told and doubted',
  async (s) => {
    const result = value(measured(d6, await changed((p, i) => sheared(p, i % 2 === 0 ? s : -s))));
    expect(result.notes.map((n) => n.code)).toContain('moved-camera');
    expect(fates(result)).toEqual(photos.map(() => 'used'));
    expect(errorsOf(result).z).toBeLessThan(3);
  },
);

test('bars that contradict the card are told, and the size is theirs on average with both in its doubt', () => {
  const wrong = value(measured(sampleJob('d6', { checkBar: 100.15, checkBarY: 99.85 }), photos));
  expect(wrong.notes.map((n) => n.code)).toEqual(['bars-differ']);
  expect(wrong.card.scaleX.u).toBeGreaterThan(1.4e-3);
  expect(errorsOf(wrong).z).toBeLessThan(3);
  const near = value(measured(sampleJob('d6', { checkBar: 100.05, checkBarY: 99.95 }), photos));
  expect(near.notes).toEqual([]);
  expect(errorsOf(near).z).toBeLessThan(3);
});

test('one bar is as good as two for what tells axes apart', () => {
  const [one, two] = [sampleJob('d6', { checkBarY: 100 }), d6].map((job) => value(measured(job, photos)));
  one!.axes.forEach((a, i) => {
    expect(a.uDifference / two!.axes[i]!.uDifference).toBeLessThan(1.1);
    expect(Math.abs(a.length - two!.axes[i]!.length)).toBeLessThan(2e-3);
  });
});

/** A picture warped as by a card that curls along one side: along v by the cube of u. */
function curled(p: Pixels, most: number): Pixels {
  const data = Buffer.from(p.data);
  for (let u = 0; u < p.width; u++) {
    const d = most * ((2 * u) / p.width - 1) ** 3;
    for (let v = 0; v < p.height; v++) {
      const at = Math.min(p.height - 2, Math.max(0, v + d));
      const [low, share] = [Math.floor(at), at - Math.floor(at)];
      for (let c = 0; c < 3; c++) {
        const [a, b] = [0, 1].map((k) => p.data[3 * ((low + k) * p.width + u) + c]!) as [number, number];
        data[3 * (v * p.width + u) + c] = Math.round(a + share * (b - a));
      }
    }
  }
  return { ...p, data };
}

test('a card that curls is named, no number is accused, and the doubt covers it', async () => {
  const result = value(measured(d6, await changed((p) => curled(p, 4))));
  expect(result.notes[0]?.code).toBe('card-scatter');
  expect(result.photos.flatMap((p) => p.notes.map((n) => n.code))).not.toContain('up-doubtful');
  expect(errorsOf(result).z).toBeLessThan(3);
});

test('a photo encoded anew as the next shot is the same photo', async () => {
  const again = await pixelsOf(
    await imageOf(photos[0]!.picture as Pixels)
      .jpeg({ quality: 70 })
      .toBuffer(),
  );
  const outcome = measured(
    d6,
    photos.map((p, i) => (i === 1 ? { ...p, picture: again } : p)),
  );
  expect(fatesOf(outcome)).toEqual(['used', 'left-out: duplicate', 'used', 'used']);
});

test('where most photos do not fit, the one that does is not reported', async () => {
  const other = await samplePixels('d20', '01-20.jpg');
  const outcome = measured(
    d6,
    photos.map((p, i) => (i > 0 ? { ...p, picture: turned(other, 2 * (i % 2)) } : p)),
  );
  expect(outcome).toMatchObject({ ok: false });
});
