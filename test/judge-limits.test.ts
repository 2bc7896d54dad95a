/** What a fitted set says of its photos, at each limit from both sides, on sets that were never photographed. */
import { describe, expect, test } from 'vitest';
import { AGREEMENT, misfitAt, verdicts, type Verdict } from '../src/measure/judge.ts';
import type { Measured } from '../src/measure/measured.ts';
import { madeMeasured, withPhoto, type MadeOptions } from './support/made-measured.ts';

const told = (of: Measured): (string | null)[] =>
  verdicts(of).map((v) => v && `${v.note.code}${v.leave ? ', leave' : ''}`);
const nothing = (count: number): null[] => new Array<null>(count).fill(null);
/** A d20, of which many photos are taken, each with noise of 0.05 px; some further out. */
const set = (options: MadeOptions = {}): Measured => madeMeasured({ kind: 'd20', count: 5, ...options });

/** The set with a photo whose numbers are other than its die stood. */
function wrongly(of: Measured, i: number, up: string, front: string): Measured {
  const photos = of.photos.map((p, k) => (k === i ? { ...p, shot: { ...p.shot, up, front } } : p));
  return { ...of, photos };
}

test('limits as sets of known truth and wrong ones showed them (src/measure/README.md)', () => {
  expect(AGREEMENT).toEqual({
    ...{ px: 0.7, share: 0.003, least: 0.5, usual: 0.6, radius: 0.6, gain: 10, lead: 2, cost: 3.5 },
    alternative: { noise: 2.5, better: 1.3, gain: 26 },
    voters: { turn: 3, cost: 4 },
  });
});

test('a set that fits is said nothing of', () => {
  expect(told(set())).toEqual(nothing(5));
  expect(told(madeMeasured())).toEqual(nothing(3));
});

describe('share of the outline that lies on the die', () => {
  /** The set with so much of its first outline `off` px out, and so many points looked at for each that was found. */
  const partly = (share: number, off: number, looked = 1, area = 300 ** 2): Measured => {
    const m = set();
    const { outline, edges } = m.rounds[0]!;
    const count = outline.sigma.length;
    const xy = outline.xy.map((v, k) => v + (k >> 1 < share * count ? off * outline.normal[k]! : 0));
    const contrast = new Float64Array(Math.round(count * looked) + 50).fill(60);
    // Fifty places that showed nothing at all do not count.
    contrast.fill(0, 0, 50);
    const rounds = m.rounds.map((r, i) =>
      i === 0 ? { ...r, edges: { ...edges, contrast }, outline: { ...outline, xy } } : r,
    );
    const used = m.used.map((a) => ({ ...a, survey: { ...a.survey, regions: [{ ...a.survey.regions[0]!, area }] } }));
    return { ...m, rounds, used };
  };
  const first = (m: Measured): Verdict | null => verdicts(m)[0]!;

  test.each([
    [1 / 0.61, null, false],
    [1 / 0.59, 41, false],
    [1 / 0.51, 49, false],
    [1 / 0.49, 51, true],
  ])('%f places looked at for each where an edge was found: %j per cent off, left out: %j', (looked, seen, leave) => {
    const verdict = first(partly(0, 0, looked));
    expect(verdict?.note ?? null).toEqual(seen === null ? null : { code: 'misfit', as: 'of-length', seen, needed: 40 });
    expect(verdict?.leave ?? false).toBe(leave);
  });

  test('points far off count as none', () => {
    expect(first(partly(0.53, 30))).toMatchObject({ leave: true, note: { code: 'misfit', seen: 53 } });
  });

  test('near is within 0.7 px, or within 0.3 % of a large die', () => {
    const code = (m: Measured): string | undefined => first(m)?.note.code;
    expect(code(partly(0.7, 1.2))).toBe('misfit');
    expect(code(partly(0.7, 0.4))).not.toBe('misfit');
    // A die 500 px across: 1.5 px.
    expect(code(partly(0.7, 1.2, 1, 500 ** 2))).not.toBe('misfit');
    expect(code(partly(0.7, 1.9, 1, 500 ** 2))).toBe('misfit');
  });

  test('at the limits themselves', () => {
    expect(misfitAt(AGREEMENT.usual)).toBeNull();
    expect(misfitAt(AGREEMENT.least)).toMatchObject({ leave: false });
  });
});

test.each([
  [0.59, null],
  [0.61, 'misfit, leave'],
])('corners rounded to %f of the mean distance of faces: %s', (share, expected) => {
  const m = set();
  const distance = m.state.distances.reduce((s, d) => s + d, 0) / m.state.distances.length;
  const radii = m.state.radii.map((r, c) => (c === 2 ? share * distance : r));
  // Outlines are taken from the rounder die as well, so that nothing but the ball is to be said.
  const verdict = told({ ...m, state: { ...m.state, radii } });
  if (expected === null) expect(verdict).not.toContain('misfit, leave');
  else expect(verdict).toEqual(m.photos.map(() => expected));
});

describe('numbers that the outlines contradict', () => {
  // A d12 that stood with 2 up, said to have stood with 3.
  const m = madeMeasured({ kind: 'd12', count: 5, sigma: 0.1 });
  const wrong = wrongly(m, 1, '3', '1');

  test('are told with the right ones, and the photo is left out where two others stand beside it', () => {
    const [first, second, ...others] = verdicts(wrong);
    expect(second).toMatchObject({
      leave: true,
      note: { code: 'up-doubtful', as: 'up-front', needed: '3/1' },
    });
    expect([first, ...others]).toEqual(nothing(4));
    expect(second!.note.seen).toBe('2/1');
  });

  test.each(['read', 'confirmed'] as const)('but not where the faces say the same (%s)', (numbersFrom) => {
    expect(told(withPhoto(wrong, 'used', 1, { numbersFrom }))[1] ?? '').not.toMatch(/^up-doubtful/);
    expect(told(withPhoto(wrong, 'used', 0, { numbersFrom }))[1]).toBe('up-doubtful, leave');
  });

  test('of two photos: both are told, but none is left out, since nobody can say which', () => {
    const two = madeMeasured({ count: 2 });
    expect(told(wrongly(two, 1, '3', '2'))).toEqual(['up-doubtful', 'up-doubtful']);
  });

  test('nobody is accused where no numbers would make the set fit', () => {
    const noisy = {
      ...wrong,
      rounds: wrong.rounds.map((r) => ({ ...r, outline: { ...r.outline, sigma: r.outline.sigma.map((s) => s / 20) } })),
    };
    expect(told(noisy).filter((code) => code?.startsWith('up-doubtful'))).toEqual([]);
  });
});

describe('a photo that costs more than the others', () => {
  /** A set whose second photo scatters `times` as much as it says. */
  const rough = (times: number, count = 5): Measured => {
    const m = set({ count });
    const { outline } = m.rounds[1]!;
    return withPhoto(m, 'rounds', 1, { outline: { ...outline, sigma: outline.sigma.map((s) => s / times) } });
  };

  test('is said to disagree from 3.5 times on, and left out where three others stand against it', () => {
    const [v] = verdicts(rough(5)).slice(1);
    expect(v).toMatchObject({ leave: true, note: { code: 'disagrees', needed: 3.5 } });
    expect(Number(v!.note.seen)).toBeGreaterThan(3.5);
    expect(String(v!.note.seen)).toMatch(/^\d+\.\d$/);
    expect(told(rough(1.3))).toEqual(nothing(5));
    expect(told(rough(5, 3))[1]).toBe('disagrees');
    expect(told(rough(5, 4))[1]).toBe('disagrees, leave');
  });

  test('where others were poor from the start those go first; what says only how a picture was turned is not poor', () => {
    const poor = { code: 'blur', seen: '2.4', needed: 2.2 } as const;
    const left = verdicts(withPhoto(rough(5), 'used', 3, { notes: [{ code: 'turned-pixels' }, poor] }));
    expect(left.map((v) => v?.note ?? null)).toEqual([null, null, null, poor, null]);
    expect(left[3]!.leave).toBe(true);
    expect(told(withPhoto(rough(5), 'used', 3, { notes: [{ code: 'turned-pixels' }] }))[1]).toBe('disagrees, leave');
    // Where all were poor, or nobody is to be left out, it stays as found.
    const all = rough(5);
    expect(told({ ...all, used: all.used.map((a) => ({ ...a, notes: [poor] })) })[1]).toBe('disagrees, leave');
    // What most of them share draws none off the rest.
    const most = rough(5);
    const notes = (i: number): readonly [typeof poor] | readonly [] => (i > 1 ? [poor] : []);
    expect(told({ ...most, used: most.used.map((a, i) => ({ ...a, notes: notes(i) })) })).toEqual([
      null,
      'disagrees, leave',
      null,
      null,
      null,
    ]);
    expect(told(withPhoto(rough(1.3), 'used', 3, { notes: [poor] }))).toEqual(nothing(5));
    expect(told(withPhoto(rough(5, 3), 'used', 0, { notes: [poor] }))).toEqual([null, 'disagrees', null]);
    // A blur found while fitting counts as one seen beforehand.
    expect(told(withPhoto(rough(5), 'looks', 3, { blur: { low: 0.4, high: 2.3, top: 2.3 } }))).toEqual([
      null,
      null,
      null,
      'blur, leave',
      null,
    ]);
  });
});
