import { describe, expect, test } from 'vitest';
import { binCsv, cropOf } from '../src/bin/csv.ts';
import { parseBinJob, readReference } from '../src/formats/bin.ts';
import { fileFaultText } from '../src/text/format-faults.ts';
import { matching } from '../src/bin/match.ts';
import { reasonText } from '../src/text/bin-reasons.ts';
import { meanAxisOf } from '../src/bin/reference.ts';
import type { BinDie, BinPhoto } from '../src/bin/types.ts';
import { REASON_CODES } from '../src/formats/bin.ts';
import { LEARN_NEEDED, suggestLimits, type SortedDie } from '../src/bin/learn-limits.ts';
import { dieSolid } from '../src/geometry/solid.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

const die = (x: number, changes: Partial<BinDie> = {}): BinDie => ({
  x,
  y: 0,
  size: { value: 16, u: 0.02 },
  radius: { value: 0.8, u: 0.05 },
  departure: { value: 0.01, u: 0.005 },
  verdict: 'keep',
  sure: 0.99,
  reason: 'within all limits in this view',
  reasons: [{ code: 'within' }],
  rounding: 'alike',
  seen: 1,
  outline: [10, 10, 110, 10, 110, 90, 10, 90],
  ...changes,
});
const photo = (name: string, dice: readonly BinDie[]): BinPhoto => ({
  photo: name,
  status: 'judged',
  code: null,
  remark: null,
  notes: [],
  width: 200,
  height: 100,
  dice,
});

describe('limits learnt from dice sorted by hand', () => {
  const normal = seededNormal(seededRandom(11));
  /** Keepers of small radius and rejects of large, apart by `gap`. */
  const sorted = (gap: number, count: number): SortedDie[] =>
    Array.from({ length: 2 * count }, (_, i) => ({
      size: 0.02 * normal(),
      radius: 0.5 + (i % 2) * gap + 0.05 * normal(),
      departure: 0.01 + 0.002 * Math.abs(normal()),
      keep: i % 2 === 0,
    }));

  test('parts what one number parts, and says so without error', () => {
    const found = suggestLimits(sorted(0.8, 20));
    if ('code' in found) throw new Error(found.code);
    const radius = found.limits.find((l) => l.name === 'radius')!.limit!;
    expect(radius).toBeGreaterThan(0.65);
    expect(radius).toBeLessThan(1.2);
    expect(found.limits.filter((l) => l.name !== 'radius').every((l) => l.limit === null)).toBe(true);
    expect(found.leaveOneOut).toEqual({ rejectsKept: 0, rejects: 20, keepersRejected: 0, keepers: 20 });
  });

  test('leave-one-out is no better than what it was learnt from, and near a half where nothing is to be learnt', () => {
    const found = suggestLimits(sorted(0, 40));
    if ('code' in found) throw new Error(found.code);
    const wrong = (r: { rejectsKept: number; keepersRejected: number }): number => r.rejectsKept + r.keepersRejected;
    expect(wrong(found.leaveOneOut)).toBeGreaterThanOrEqual(wrong(found.seen));
    expect(wrong(found.leaveOneOut) / 80).toBeGreaterThan(0.3);
  });

  test('too few of a sort give none', () => {
    expect(suggestLimits(sorted(1, LEARN_NEEDED - 1))).toEqual({
      code: 'too-few',
      keepers: LEARN_NEEDED - 1,
      rejects: LEARN_NEEDED - 1,
      needed: LEARN_NEEDED,
    });
  });
});

describe('photos of the same dice', () => {
  test('any view that breaks a limit counts', () => {
    const bad = die(30.5, { verdict: 'reject', reason: 'out of round' });
    const found = matching([photo('1', [die(0), die(30)]), photo('2', [bad, die(1)])]);
    expect(found.possible).toBe(true);
    expect(found.places.map((p) => p.verdict)).toEqual(['keep', 'reject']);
    expect(found.places[1]!.reason).toBe('out of round');
  });

  test('not where the number, the places or the sizes differ; each said', () => {
    expect(matching([photo('1', [die(0)])]).remark).toMatch(/one photo alone/);
    expect(matching([photo('1', [die(0)]), photo('2', [die(0), die(30)])]).remark).toMatch(/2 dice, 1 shows 1/);
    expect(matching([photo('1', [die(0)]), photo('2', [die(12)])]).remark).toMatch(/do not lie/);
    const other = die(0, { size: { value: 15.5, u: 0.02 } });
    expect(matching([photo('1', [die(0)]), photo('2', [other])]).remark).toMatch(/another size/);
  });
});

describe('files', () => {
  test('a reference: a measured die or typed values; anything else is refused with the place', () => {
    const measured = {
      format: 'evencast-result/1',
      die: { kind: 'd6' },
      meanAxis: { value: 16, u: 0.01 },
      meanCornerRadius: { value: 0.7, u: 0.02 },
    };
    expect(readReference(measured)).toMatchObject({
      ok: true,
      value: { kind: 'd6', reference: { source: 'die', size: { value: 16 } } },
    });
    const typed = { format: 'evencast-bin-reference/1', die: { kind: 'd6' }, size: 16, limits: { radius: 0.9 } };
    expect(readReference(typed)).toMatchObject({ ok: true, value: { limits: { radius: 0.9 } } });
    const wrong = (json: unknown): string => {
      const r = readReference(json);
      return r.ok ? 'taken' : fileFaultText(r.error, 'en');
    };
    expect(wrong(null)).toMatch(/object/);
    expect(wrong({ ...typed, size: -1 })).toMatch(/^size: -1 found/);
    expect(wrong({ ...typed, limits: { radius: 'x' } })).toMatch(/limits\.radius/);
    expect(wrong({ ...typed, limits: { colour: 1 } })).toMatch(/limits\.colour: .*this version knows none/);
    expect(wrong({ ...measured, meanAxis: { value: '16', u: 0 } })).toMatch(/meanAxis/);
    expect(wrong({ ...typed, format: 'other' })).toMatch(/format/);
  });

  test('a job: each wrong entry is named', () => {
    const wrong = (json: unknown): string => {
      const r = parseBinJob(json);
      return r.ok ? 'taken' : fileFaultText(r.error, 'en');
    };
    expect(wrong({ die: 'd20', photos: ['a.jpg'] })).toBe('taken');
    expect(wrong({ die: 'd7' })).toMatch(/^die: /);
    expect(wrong({ die: 'd6', photos: [3] })).toMatch(/^photos\[0\]: /);
    expect(wrong({ die: 'd6', checkBar: 10 })).toMatch(/^checkBar: 10 found, 80 or more needed/);
    expect(wrong({ die: 'd6', size: 'large' })).toMatch(/^size: "large" found, a number needed/);
    expect(wrong({ die: 'd6', sameDice: 1 })).toMatch(/^sameDice: /);
    expect(wrong([])).toMatch(/an object needed/);
  });

  test('the list: one line a die, cells that no spreadsheet takes for formulas, the window that shows it', () => {
    const shots = [photo('=evil,1.jpg', [die(0), die(30, { reason: 'size -0.5 mm "off", limit 0.2' })])];
    const lines = binCsv(shots, (_, i) => (i === 1 ? 'reject' : null))
      .trimEnd()
      .split('\r\n');
    expect(lines).toHaveLength(3);
    expect(lines[1]).toBe(
      `"'=evil,1.jpg",1,0,0,16,0.02,0.8,0.05,0.01,0.005,keep,program,0.99,within all limits in this view,0,0,122,100`,
    );
    expect(lines[2]).toContain('reject,person,');
    expect(lines[2]).toContain('"size -0.5 mm ""off"", limit 0.2"');
    expect(cropOf(shots[0]!.dice[0]!, 115, 100)).toEqual({ left: 0, top: 0, width: 115, height: 100 });
  });

  test('every reason has words of its own', () => {
    const texts = REASON_CODES.map((code) => reasonText({ code, seen: 1.3, limit: 0.8 }));
    expect(new Set(texts).size).toBe(REASON_CODES.length);
    expect(texts[2]).toBe('corner radius 1.30, limit 0.80 mm');
  });
});

test('mean axis: twice the face distance; of a d4 from a face to the rounded corner opposite', () => {
  expect(meanAxisOf(dieSolid('d20'), 9.6, 0.4)).toBeCloseTo(19.2, 12);
  // A regular tetrahedron's corner stands three inradii from its middle; a ball of radius r in it reaches 3 (d - r) + r.
  expect(meanAxisOf(dieSolid('d4'), 5, 0.4)).toBeCloseTo(5 + 3 * 4.6 + 0.4, 12);
});
