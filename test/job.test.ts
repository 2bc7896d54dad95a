import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { NUMBERINGS } from '../src/geometry/numbering.ts';
import { jobMessage } from '../src/text/job-faults.ts';
import { CHECK_BAR_U, defaultJob, MOST_SHOTS, parseJob, usualShots } from '../src/formats/job.ts';

const shots = [{ photo: '01.jpg', up: 1, front: 2 }];
const message = (json: unknown): string => {
  const job = parseJob(json);
  return job.ok ? 'fine' : jobMessage(job.error);
};

describe('a job that can be read', () => {
  test('the shortest', () => {
    expect(parseJob({ die: 'd6', shots })).toEqual({
      ok: true,
      value: {
        die: 'd6',
        shots: [{ photo: '01.jpg', up: '1', front: '2' }],
        checkBar: null,
        checkBarY: null,
        checkBarU: CHECK_BAR_U,
        numbering: null,
      },
    });
  });

  test('check bars, and what is not known is passed over', () => {
    const job = {
      die: 'd6',
      shots: [{ ...shots[0], note: 'x' }],
      checkBar: 99.6,
      checkBarY: 100.2,
      checkBarU: 0.1,
      owner: 'x',
    };
    expect(parseJob(job)).toMatchObject({ ok: true, value: { checkBar: 99.6, checkBarY: 100.2, checkBarU: 0.1 } });
  });

  test('numbers as text', () => {
    expect(parseJob({ die: 'd10', shots: [{ photo: 'a.jpg', up: '0', front: '6' }] })).toMatchObject({ ok: true });
  });

  test('a numbering of its own, which then holds for the shots', () => {
    // The usual d6 turned over: 2 and 5 change places.
    const swapped = Object.fromEntries(Object.entries(NUMBERINGS.d6).map(([k, list]) => [swap(k), list.map(swap)]));
    const mirrored = Object.fromEntries(Object.entries(swapped).map(([k, list]) => [k, [...list].reverse()]));
    expect(parseJob({ die: 'd6', shots, numbering: mirrored })).toMatchObject({
      ok: true,
      value: { numbering: mirrored },
    });
    const letters = Object.fromEntries(
      Object.entries(NUMBERINGS.d6).map(([k, list]) => [`n${k}`, list.map((l) => `n${l}`)]),
    );
    expect(message({ die: 'd6', shots, numbering: letters })).toContain('"up" is 1, no number of a d6');
    expect(message({ die: 'd6', shots: [{ photo: 'a.jpg', up: 'n1', front: 'n2' }], numbering: letters })).toBe('fine');
  });
});

const swap = (n: string): string => (n === '2' ? '5' : n === '5' ? '2' : n);

describe('a job that cannot be read says what was seen and needed', () => {
  test.each<[string, unknown, RegExp]>([
    ['nothing', null, /an object is needed/],
    ['a list', [], /an object is needed/],
    ['no die', { shots }, /"die" is missing; one of d4, d6, d8, d10, d12, d20/],
    ['an unknown die', { die: 'd7', shots }, /"die" is "d7"/],
    ['no shots', { die: 'd6' }, /"shots" must list/],
    ['an empty list', { die: 'd6', shots: [] }, /"shots" must list/],
    ['too many', { die: 'd6', shots: Array(MOST_SHOTS + 1).fill(shots[0]) }, /61 shots seen, at most 60/],
    ['a shot that is none', { die: 'd6', shots: [...shots, 3] }, /shot 2 names no photo/],
    ['a photo without a name', { die: 'd6', shots: [{ photo: '', up: 1, front: 2 }] }, /shot 1 names no photo/],
    ['a number too high', { die: 'd6', shots: [{ ...shots[0], up: 7 }] }, /shot 1: "up" is 7, no number of a d6/],
    ['a broken number', { die: 'd6', shots: [{ ...shots[0], up: 1.5 }] }, /"up" is 1.5/],
    ['no front', { die: 'd6', shots: [{ photo: '01.jpg', up: 1 }] }, /"front" is missing/],
    ['front below', { die: 'd6', shots: [{ ...shots[0], front: 6 }] }, /6 cannot look to the front while 1 is up/],
    ['front on top', { die: 'd6', shots: [{ ...shots[0], front: 1 }] }, /1 cannot look to the front while 1 is up/],
    ['a check bar in cm', { die: 'd6', shots, checkBar: 10 }, /80 to 125 mm/],
    ['a check bar in words', { die: 'd6', shots, checkBar: '100' }, /80 to 125 mm/],
    ['a doubt of nothing', { die: 'd6', shots, checkBarU: 0 }, /"checkBarU"/],
    ['numbers that are no lists', { die: 'd6', shots, numbering: { 1: 2 } }, /"numbering" must give/],
    [
      'a numbering of another die',
      { die: 'd6', shots, numbering: NUMBERINGS.d8 },
      /numbering: 8 numbers seen, 6 needed/,
    ],
  ])('%s', (_what, json, expected) => {
    expect(message(json)).toMatch(expected);
    expect(message(json)).toMatch(/^job\.json: /);
  });

  test('nothing makes it throw', () => {
    const part = fc.oneof(fc.constant(shots), fc.jsonValue());
    const job = fc.record(
      { die: fc.constantFrom(...DIE_KINDS, 'x'), shots: part, numbering: part, checkBar: part, apex: part },
      { requiredKeys: [] },
    );
    fc.assert(
      fc.property(fc.oneof(job, fc.jsonValue()), (json) => void parseJob(json)),
      { numRuns: 500, seed: 1 },
    );
  });
});

test.each(DIE_KINDS)('the shot list of a %s: every axis upright once, and a face beside it in front', (kind) => {
  const solid = dieSolid(kind);
  const list = usualShots(kind);
  expect(list).toHaveLength(kind === 'd4' ? 4 : solid.labels.length / 2);
  const axes = list.map(({ up }) => {
    const f = solid.labels.indexOf(up);
    return kind === 'd4' ? f : Math.min(f, solid.opposite[f]!);
  });
  expect(new Set(axes).size).toBe(list.length);
  const photos = list.map((_, i) => ({ photo: `${i}.jpg`, ...list[i]! }));
  expect(message({ die: kind, shots: photos })).toBe('fine');
});

describe('without a job file', () => {
  test('numbers come from names like "03-18.jpg"', () => {
    const job = defaultJob('d20', ['03-18.jpg', 'photo_07.jpg', '01-20.png']);
    expect(job.shots.map((s) => s.up)).toEqual(['18', '19', '20']);
  });

  test('else from the order of the shot list, which is begun again where photos are many', () => {
    const job = defaultJob('d6', ['a.jpg', 'b.jpg', 'c.jpg', 'd.jpg']);
    expect(job.shots).toEqual([
      { photo: 'a.jpg', up: '1', front: '2' },
      { photo: 'b.jpg', up: '2', front: '3' },
      { photo: 'c.jpg', up: '3', front: '1' },
      { photo: 'd.jpg', up: '1', front: '2' },
    ]);
  });

  test('a number that the die has not is no number', () => {
    expect(defaultJob('d6', ['01-18.jpg']).shots[0]!.up).toBe('1');
  });

  test.each(DIE_KINDS)('any shots of a %s can be read back', (kind) => {
    const job = defaultJob(
      kind,
      Array.from({ length: 30 }, (_, i) => `${i}-${i % 21}.jpg`),
    );
    expect(message({ die: kind, shots: job.shots })).toBe('fine');
  });
});
