import { beforeAll, describe, expect, test } from 'vitest';
import { bestFaces } from '../src/faces/best-faces.ts';
import type { FacePhoto } from '../src/faces/face-sight.ts';
import { numbersOf, type SetNumbers } from '../src/faces/numbers.ts';
import { readFace } from '../src/faces/reader/reader.ts';
import type { ReadFace } from '../src/faces/readings.ts';
import { bareAsked, parseAsked } from '../src/measure/asked.ts';
import { calibration } from '../src/vision/calibration.ts';
import { lookOf, measured, SAMPLE_FOCAL, sampleJob, samplePhotos } from './support/measuring.ts';

/** Each sample's dice as found in its photos, with the numbers that its job states: the photos are rendered, the numbers known. */
async function found(set: string): Promise<{ photos: FacePhoto[]; truth: { up: string; front: string }[] }> {
  const job = sampleJob(set);
  const pictures = await samplePhotos(set, job);
  const added = pictures.map((photo) => {
    const one = lookOf(photo);
    if (!one.ok) throw new Error(one.error[0]!.code);
    return one.value;
  });
  const { width, height } = added[0]!.survey;
  const cal = calibration(
    added.map((a) => a.survey.sight),
    { width, height },
    SAMPLE_FOCAL,
    [1, 1],
  );
  if (!cal.ok) throw new Error(cal.error.code);
  const photos = added.map((a, i) => ({
    photo: `photo ${i}`,
    view: { camera: cal.value.cameras[i]!, cameraFromCard: cal.value.cameraFromCard[i]! },
    region: a.survey.regions[0]!,
    crop: a.survey.crop,
    given: null,
  }));
  return { photos, truth: job.shots.map(({ up, front }) => ({ up, front })) };
}

const NOTHING = { kind: null, numbering: null } as const;

function told(photos: readonly FacePhoto[], read: ReadFace = readFace): SetNumbers {
  const numbers = numbersOf(NOTHING, photos, read);
  if (!numbers.ok) throw new Error(numbers.error.code);
  return numbers.value;
}

describe('a d20 in ten photos, nothing known', () => {
  let set: Awaited<ReturnType<typeof found>>;
  let numbers: SetNumbers;
  beforeAll(async () => {
    set = await found('d20');
    numbers = told(set.photos);
  });

  test('its kind, each number up and each front are read, and stated as sure', () => {
    expect(numbers).toMatchObject({ kind: 'd20', kindFrom: 'told', numberingFrom: 'usual', numbering: null });
    expect(numbers.photos.map(({ up, front }) => ({ up, front }))).toEqual(set.truth);
    for (const p of numbers.photos) expect([p.from, p.chance! < 1e-3, p.contradicted]).toEqual(['read', true, null]);
  });

  test('numbers given rightly are confirmed; two exchanged are contradicted, the right ones told, no other photo accused', () => {
    const given = set.truth.map((_, i) => set.truth[i === 0 ? 9 : i === 9 ? 0 : i]!);
    const photos = set.photos.map((p, i) => ({ ...p, given: given[i]! }));
    const checked = told(photos).photos;
    expect(checked.map(({ up, front }) => ({ up, front }))).toEqual(set.truth);
    expect(checked.map((p) => p.from)).toEqual(set.truth.map((_, i) => (i === 0 || i === 9 ? 'read' : 'confirmed')));
    expect(checked.map((p) => p.contradicted)).toEqual(given.map((g, i) => (i === 0 || i === 9 ? g : null)));
  });

  test('all shifted by one photo: all are contradicted', () => {
    const photos = set.photos.map((p, i) => ({ ...p, given: set.truth[(i + 1) % 10]! }));
    const checked = told(photos).photos;
    expect(checked.every((p) => p.contradicted !== null)).toBe(true);
    expect(checked.map(({ up, front }) => ({ up, front }))).toEqual(set.truth);
  });

  test('one that cannot read at all knows no number, and says so; given ones stay given, two exchanged are found by looks alone', () => {
    const blind: ReadFace = () => null;
    for (const p of told(set.photos, blind).photos) expect([p.up, p.front, p.from]).toEqual([null, null, null]);
    const planned = set.photos.map((p, i) => ({ ...p, planned: set.truth[i]! }));
    for (const p of told(planned, blind).photos) expect([p.up, p.from]).toEqual([null, null]);
    const right = set.photos.map((p, i) => ({ ...p, given: set.truth[i]! }));
    for (const p of told(right, blind).photos) expect([p.from, p.contradicted]).toEqual(['given', null]);
    const given = set.truth.map((_, i) => set.truth[i === 2 ? 5 : i === 5 ? 2 : i]!);
    const exchanged = told(
      set.photos.map((p, i) => ({ ...p, given: given[i]! })),
      blind,
    ).photos;
    expect(exchanged.flatMap((p, i) => (p.contradicted ? [i] : []))).toEqual([2, 5]);
  });

  test('a numbering of its own is learnt from the faces, by a reader to whom each number is another', () => {
    const other = (label: string): string => String(1 + ((7 * Number(label)) % 20));
    const strange: ReadFace = (picture, kind) => {
      const reading = readFace(picture, kind);
      return reading && { labels: reading.labels.map(other), labelLogs: reading.labelLogs, other: reading.other };
    };
    const own = told(set.photos, strange);
    expect(own.numberingFrom).toBe('own');
    expect(own.photos.map((p) => p.up)).toEqual(set.truth.map(({ up }) => other(up)));
    expect(own.photos.map((p) => p.front)).toEqual(set.truth.map(({ front }) => other(front)));
  });

  test('a d8 was said: it looks like a d20', () => {
    expect(numbersOf({ kind: 'd8', numbering: null }, set.photos, readFace)).toEqual({
      ok: false,
      error: { code: 'other-kind', seen: 'd20', needed: 'd8' },
    });
  });

  test('each face has a picture, in which the reader sees its number again', () => {
    const best = bestFaces(numbers);
    expect(best.every((b) => b !== null)).toBe(true);
    const right = best.filter((b) => {
      const { labels, labelLogs } = readFace(b!.picture, 'd20')!;
      return labels[labelLogs.indexOf(Math.max(...labelLogs))] === b!.label;
    });
    expect(right.length).toBeGreaterThanOrEqual(16);
  });
});

test('a d6 from above: all numbers up are read, a lone stroke for 1 too; which side is in front stays open among those beside', async () => {
  const set = await found('d6');
  const numbers = told(set.photos);
  expect(numbers.kind).toBe('d6');
  expect(numbers.photos.map(({ up }) => up)).toEqual(set.truth.map(({ up }) => up));
  numbers.photos.forEach(({ front, fronts }, i) => {
    const may = front === null ? fronts!.map((f) => f.front) : [front];
    expect(may).toContain(set.truth[i]!.front);
  });
});

test('measured without a job: the same axes as with its numbers given', async () => {
  const job = sampleJob('d20');
  const pictures = (await samplePhotos('d20', job)).slice(0, 5);
  const axes = (asked: ReturnType<typeof bareAsked>): readonly object[] => {
    const outcome = measured(asked, pictures);
    if (!outcome.ok) throw new Error(outcome.error.code);
    return outcome.value.axes.map(({ name, length, u }) => ({ name, length: length.toFixed(4), u: u.toFixed(4) }));
  };
  const bare = axes(
    bareAsked(
      null,
      pictures.map((p) => p.name),
    ),
  );
  expect(bare).toEqual(axes({ ...job, shots: job.shots.slice(0, 5) }));
});

describe('a job with gaps', () => {
  test('photos without numbers, a die without its kind', () => {
    expect(parseAsked({ die: 'd10', numbering: 'tens', shots: [{ photo: 'a.jpg' }] }, null)).toMatchObject({
      ok: true,
      value: { die: 'd10', shots: [{ photo: 'a.jpg', up: null, front: null }] },
    });
    expect(parseAsked({ shots: [{ photo: 'a.jpg' }], checkBar: 99 }, null)).toMatchObject({
      ok: true,
      value: { die: null, checkBar: 99 },
    });
    expect(parseAsked({ shots: [{ photo: 'a.jpg' }] }, 'd4')).toMatchObject({ ok: true, value: { die: 'd4' } });
  });

  test('numbers of no die, or half of them, are faults', () => {
    expect(parseAsked({ shots: [{ photo: 'a.jpg', up: 1, front: 2 }] }, null)).toMatchObject({ ok: false });
    expect(parseAsked({ die: 'd6', shots: [{ photo: 'a.jpg', up: 1 }] }, null)).toMatchObject({ ok: false });
    expect(parseAsked({ die: 'd7', shots: [{ photo: 'a.jpg' }] }, null)).toMatchObject({ ok: false });
    expect(parseAsked('d6', null)).toMatchObject({ ok: false });
  });
});
