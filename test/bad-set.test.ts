import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { messageOf } from '../src/text/notes.ts';
import type { Job, MeasureFailure, MeasureResult } from '../src/formats/result.ts';
import type { Result } from '../src/result.ts';
import { turnedPicture } from '../src/photo/orientation.ts';
import {
  fates,
  measured,
  sampleFile,
  sampleJob,
  samplePhotos,
  samplePixels,
  type SetPhoto,
} from './support/measuring.ts';
import { covered, from, pixelsOf, plain, type Pixels } from './support/photo-edits.ts';
import truthOfD6 from './fixtures/samples-truth/d6.json' with { type: 'json' };

const d6 = sampleJob('d6');
const photos = await samplePhotos('d6', d6);

/** The d6 sample with one photo's picture changed. */
const changed = (i: number, picture: Pixels, more: Partial<SetPhoto> = {}): SetPhoto[] =>
  photos.map((p, k) => (k === i ? { ...p, ...more, picture } : p));

const said = (i: number, up: number, front: number, count = 4): Job =>
  sampleJob('d6', {
    shots: d6.shots.slice(0, count).map((s, k) => (k === i ? { ...s, up, front } : s)),
  });

/** The other photos' axes are right to this, mm: a set of three knows them a little worse than the whole. */
const RIGHT = 0.03;

function expectGood(outcome: Result<MeasureResult, MeasureFailure>): void {
  if (!outcome.ok) throw new Error(outcome.error.code);
  for (const { name, length } of outcome.value.axes)
    expect(Math.abs(length - (truthOfD6.axes_mm as Record<string, number>)[name]!), name).toBeLessThan(RIGHT);
}

function expectWords(outcome: Result<MeasureResult, MeasureFailure>): void {
  const list = outcome.ok ? outcome.value.photos : outcome.error.photos;
  for (const note of list.flatMap((p) => p.notes)) {
    const { text, advice } = messageOf(note);
    expect(`${text} ${advice}`).not.toMatch(/undefined|NaN|Infinity/);
  }
}

/** What a lens of `zoom` times the focal length would have taken, on a sensor of the same size. */
function zoomed(zoom: number): Promise<Pixels> {
  const [width, height] = [Math.round(2016 / zoom), Math.round(1512 / zoom)];
  const [left, top] = [(2016 - width) >> 1, (1512 - height) >> 1];
  const middle = sharp(sampleFile('d6', '02-2.jpg')).extract({ left, top, width, height });
  return pixelsOf(middle.resize(2016, 1512, { fit: 'fill', kernel: 'lanczos3' }));
}

describe('one bad photo of four is left out with its reason, and the rest is measured', () => {
  const DIE = { left: 932, top: 670, right: 1202, bottom: 942 };
  const first = photos[0]!.picture as Pixels;

  test.each<[string, string, number, () => Pixels | Promise<Pixels>]>([
    ['of a die of another kind', 'misfit', 2, () => samplePixels('d20', '01-20.jpg')],
    [
      'of two dice that touch',
      'misfit',
      0,
      () => covered(first, { ...DIE, left: 1182, right: 1442 }, from(first, 240, 0)),
    ],
    ['blurred', 'blur', 2, () => pixelsOf(sharp(sampleFile('d6', '03-3.jpg')).blur(5))],
    ['resized', 'other-camera', 0, () => pixelsOf(sharp(sampleFile('d6', '01-1.jpg')).resize(1600))],
    ['of another zoom', 'other-camera', 1, () => zoomed(1.25)],
    [
      'of no die',
      'no-die',
      3,
      () =>
        covered(photos[3]!.picture as Pixels, { left: 760, top: 480, right: 1330, bottom: 1060 }, plain(205, 205, 205)),
    ],
  ])('%s: %s', async (_what, code, i, picture) => {
    const outcome = measured(d6, changed(i, await picture()));
    expect(fates(outcome)).toEqual(photos.map((_, k) => (k === i ? `left-out: ${code}` : 'used')));
    expectGood(outcome);
    expectWords(outcome);
  });

  test('whose stated focal length is another', () => {
    const outcome = measured(d6, changed(1, photos[1]!.picture as Pixels, { focal: 3000 }));
    expect(fates(outcome)).toEqual(['used', 'left-out: other-camera', 'used', 'used']);
    expectWords(outcome);
  });

  test('that is another one again', () => {
    const job = sampleJob('d6', { shots: [...d6.shots, { photo: 'again.jpg', up: 1, front: 2 }] });
    const outcome = measured(job, [{ ...photos[0]!, name: 'again.jpg' }, ...photos]);
    expect(fates(outcome)).toEqual(['used', 'used', 'used', 'used', 'left-out: duplicate']);
    expect(outcome).toMatchObject({ value: { photos: [{}, {}, {}, {}, { notes: [{ seen: '01-1.jpg' }] }] } });
  });

  test('that was never given', () => {
    expect(fates(measured(d6, photos.slice(0, 3)))).toEqual(['used', 'used', 'used', 'left-out: no-file']);
  });
});

test('somewhat blurred or overexposed: used, with a remark, and no axis outside its doubt', async () => {
  const p = await pixelsOf(sharp(sampleFile('d6', '03-3.jpg')).blur(2.4));
  const outcome = measured(d6, changed(2, p));
  expect(fates(outcome)).toEqual(['used', 'used', 'used-with-remark: blur', 'used']);
  expectGood(outcome);
});

describe('numbers that are wrong', () => {
  test.each([
    ['up, by its face: the numbers read are taken', 1, 5, 6, 'used-with-remark', 'numbers-contradicted', '2/6'],
    ['front, by its faces: the numbers read are taken', 1, 2, 1, 'used-with-remark', 'numbers-contradicted', '2/6'],
  ])('%s, the right numbers are told', (_what, i, up, front, fate, code, seen) => {
    const outcome = measured(said(i, up, front), photos);
    expect(fates(outcome)).toEqual(['used', `${fate}: ${code}`, 'used', 'used']);
    expect(outcome.ok && outcome.value.photos[i]!.notes).toMatchObject([{ code, seen, needed: `${up}/${front}` }]);
    expect(outcome.ok && outcome.value.photos[i]).toMatchObject({ up: '2', front: '6' });
    expectGood(outcome);
  });

  test('one of two photos: outlines alone could not say which (test/judge-limits.test.ts), its faces do', () => {
    const outcome = measured(said(1, 2, 3, 2), photos.slice(0, 2));
    expect(fates(outcome)).toEqual(['used', 'used-with-remark: numbers-contradicted']);
    expect(outcome.ok && outcome.value.photos[1]).toMatchObject({ up: '2', front: '6' });
  });
});

describe('the wrong kind of die', () => {
  test.each<[string, string, [number, number][]]>([
    [
      'd6',
      'd8',
      [
        [1, 2],
        [2, 5],
        [3, 2],
        [4, 3],
      ],
    ],
    [
      'd6',
      'd20',
      [
        [1, 13],
        [2, 18],
        [3, 19],
        [4, 11],
      ],
    ],
    [
      'd20',
      'd6',
      [
        [1, 2],
        [2, 3],
        [3, 1],
      ],
    ],
    [
      'd20',
      'd12',
      [
        [1, 2],
        [2, 4],
        [3, 1],
      ],
    ],
  ])('a %s said to be a %s', async (set, die, numbers) => {
    const own = sampleJob(set).shots;
    const shots = numbers.map(([up, front], i) => ({ photo: own[i]!.photo, up, front }));
    const job = sampleJob(set, { die, shots });
    const outcome = measured(job, await samplePhotos(set, job));
    expect(outcome).toMatchObject({ ok: false, error: { code: 'other-kind', seen: set, needed: die } });
    expect(fates(outcome).every((f) => f.startsWith('left-out'))).toBe(true);
    expectWords(outcome);
  });
});

describe('a camera that is held another way', () => {
  const outcome = measured(d6, photos);
  const axes = (o: Result<MeasureResult, MeasureFailure>): number[] => (o.ok ? o.value.axes.map((a) => a.length) : []);

  test.each([
    [6, 1],
    [3, 2],
    [8, 3],
  ])('stored alike, orientation %i: measured as stored, told upright', (orientation, quarters) => {
    const turned = changed(0, turnedPicture(photos[0]!.picture, quarters) as Pixels, { orientation });
    const again = measured(d6, turned);
    expect(axes(again)).toEqual(axes(outcome));
    expect(fates(again)).toEqual(fates(outcome));
    if (!again.ok || !outcome.ok) return;
    const [p, q] = [again.value.photos[0]!.outline!, outcome.value.photos[0]!.outline!];
    expect(p.residuals).toEqual(q.residuals);
    const turn = ([u, v]: readonly number[], w: number, h: number): number[] =>
      [
        [u!, v!],
        [h - v!, u!],
        [w - u!, h - v!],
        [v!, w - u!],
      ][quarters]!;
    expect(p.points.slice(0, 2)).toEqual(turn(q.points.slice(0, 2), 2015, 1511));
    expect(p.normals.slice(0, 2).map((v) => v + 0)).toEqual(turn(q.normals.slice(0, 2), 0, 0).map((v) => v + 0));
  });

  test('stored turned, upright like the others: measured upright', () => {
    const turned = changed(0, photos[0]!.picture as Pixels, { orientation: 6 });
    const again = measured(d6, turned);
    expect(fates(again)).toEqual(fates(outcome));
    axes(again).forEach((v, i) => expect(Math.abs(v - axes(outcome)[i]!)).toBeLessThan(0.02));
  });
});

test('one photo alone: measured, with a remark and a doubt that says how little it shows', () => {
  const job = sampleJob('d6', { shots: d6.shots.slice(1, 2) });
  const outcome = measured(job, photos.slice(1, 2));
  if (!outcome.ok) throw new Error(outcome.error.code);
  expect(outcome.value.notes.map((n) => n.code)).toContain('one-photo');
  for (const { name, length, u } of outcome.value.axes)
    expect(Math.abs(length - (truthOfD6.axes_mm as Record<string, number>)[name]!), name).toBeLessThan(2 * u);
});

test('nothing usable: no-photo, each photo with its reason', () => {
  const blank = covered(
    photos[0]!.picture as Pixels,
    { left: 0, top: 0, right: 2016, bottom: 1512 },
    plain(90, 90, 90),
  );
  const outcome = measured(
    d6,
    photos.map((p) => ({ ...p, picture: blank })),
  );
  expect(outcome).toMatchObject({ ok: false, error: { code: 'no-photo', seen: 0, needed: 1 } });
  expect(fates(outcome)).toEqual(photos.map(() => 'left-out: no-card'));
});
