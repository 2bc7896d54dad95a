/** What is remarked on a set, at each limit from both sides, on one that was never photographed. */
import { describe, expect, test } from 'vitest';
import { TYPE_B } from '../src/measure/budget.ts';
import type { Measured } from '../src/measure/measured.ts';
import { setNotes } from '../src/measure/set-notes.ts';
import { madeMeasured } from './support/made-measured.ts';

const m = madeMeasured();

describe('what is remarked on a set', () => {
  const codes = (of: Measured): string[] => setNotes(of).map(({ code }) => code);
  const looks = (inside: number, outside: number): Measured => ({
    ...m,
    looks: m.looks.map((l) => ({ ...l, noise: { inside, outside } })),
  });

  test('nothing where nothing is', () => expect(setNotes(m)).toEqual([]));

  test('check bars that nobody measured, with the doubt of a print at two standard uncertainties, per cent', () => {
    const job = { ...m.job, checkBar: null, checkBarY: null };
    expect(setNotes({ ...m, job })).toEqual([
      { code: 'scale-unchecked', seen: (200 * TYPE_B.uncheckedScale).toFixed(1), needed: 0 },
    ]);
    for (const bar of ['checkBar', 'checkBarY'] as const)
      expect(codes({ ...m, job: { ...m.job, [bar]: null } })).toEqual([]);
  });

  test('bars against the card from three standard uncertainties on', () => {
    const differ = (times: number): string[] =>
      codes({
        ...m,
        calibration: {
          ...m.calibration,
          print: { ...m.calibration.print, contradiction: { bars: -0.001 * times, card: 0, u: 0.001 } },
        },
      });
    expect([differ(2.95), differ(3.05)]).toEqual([[], ['bars-differ']]);
  });

  test('one photo, a surface that too few faces show, and one like metal', () => {
    expect(codes(madeMeasured({ count: 1 }))).toContain('one-photo');
    expect(codes(madeMeasured({ count: 2 }))).not.toContain('one-photo');
    const faces = (count: number): string[] => codes({ ...m, sheen: { ...m.sheen, faces: count } });
    expect([faces(3), faces(4)]).toEqual([['sheen-unknown'], []]);
    expect(setNotes({ ...m, sheen: { ...m.sheen, limb: 0.05, light: [0, 0, 0.2] } })).toEqual([
      { code: 'metal', seen: 20 },
    ]);
  });

  test.each([
    [0.45, []],
    [0.55, ['pattern']],
  ])('a skin whose light changes %f times what plain skin does: %j', (skin, expected) => {
    const rounds = m.rounds.map((r) => ({
      ...r,
      outline: { ...r.outline, skin: new Float64Array(r.outline.sigma.length).fill(skin) },
    }));
    expect(codes({ ...m, rounds })).toEqual(expected);
  });

  test.each<[string, number, number, boolean, number, string[]]>([
    ['with less than half of its grain', 4, 1.9, true, 0, ['portrait']],
    ['with more than half of its grain', 4, 2.1, true, 0, []],
    ['with less than half of it, where the die has little', 2.1, 1, true, 0, ['portrait']],
    ['less grained than that, of a die without grain of its own', 1.9, 0.1, true, 0, []],
    ['less grained, but rough', 4, 1.9, false, 0, []],
    ['less grained, round a die whose pattern passes for grain', 4, 1.9, true, 0.35, []],
    ['less grained, round a die with hardly any pattern', 4, 1.9, true, 0.25, ['portrait']],
  ])('a stage %s', (_what, inside, outside, smooth, skin, expected) => {
    const set = looks(inside, outside);
    const grain = smooth ? { coarse: 0, fine: 0 } : { coarse: 5, fine: 50 };
    const used = set.used.map((a) => ({ ...a, survey: { ...a.survey, grain } }));
    const rounds = set.rounds.map((r) => ({
      ...r,
      outline: { ...r.outline, skin: new Float64Array(r.outline.sigma.length).fill(skin) },
    }));
    expect(codes({ ...set, used, rounds }).filter((code) => code === 'portrait')).toEqual(expected);
  });

  test('a shutter that moved, unless the card scatters', () => {
    const skewed = (skew: number, sigma = 0.04): string[] =>
      codes({ ...m, calibration: { ...m.calibration, sigma, motion: [{ skew: -skew, stretch: 0 }] } });
    expect(skewed(0.01)).toEqual(['moved-camera']);
    expect(skewed(1e-5)).toEqual([]);
    expect(skewed(0.01, 0.08)).toEqual(['card-scatter']);
    // Per cent, to two digits.
    const calibration = { ...m.calibration, motion: [{ skew: 0.012345, stretch: 0 }] };
    expect(setNotes({ ...m, calibration })).toMatchObject([{ code: 'moved-camera', seen: '1.23' }]);
  });

  test('faces that no outline touches are named', () => {
    const unseen = setNotes(madeMeasured({ kind: 'd20', count: 1 })).find(({ code }) => code === 'face-unseen');
    expect(unseen).toBeDefined();
    const one = madeMeasured({ kind: 'd20', count: 1 });
    const rowsOf = new Set(String(unseen!.seen).split(', '));
    expect(rowsOf.has(one.photos[0]!.shot.up)).toBe(true);
    expect(rowsOf.size).toBeLessThan(20);
    expect(codes(m)).not.toContain('face-unseen');
  });
});
