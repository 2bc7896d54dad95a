import { expect, test } from 'vitest';
import { dieFromResult } from '../src/lots/die-record.ts';
import { finishing } from '../src/lots/finishing.ts';
import { NO_LIMITS as NO_LOT_LIMITS, type Lot } from '../src/lots/lot.ts';
import { quantities } from '../src/lots/quantities.ts';
import { assess } from '../src/report/record/assess.ts';
import { readTolerance } from '../src/report/record/limits-file.ts';
import { NO_LIMITS, toleranceFault } from '../src/judging/tolerance.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import { madeResult } from './support/made-result.ts';

const GUARD = { kind: 'guard' } as const;
const most = (high: number): { low: null; high: number } => ({ low: null, high });
const crowned = (u: number): MeasureResult => {
  const result = madeResult('d6');
  return { ...result, faces: result.faces.map((f, i) => ({ ...f, crown: { value: 0.02 + 0.002 * i, u } })) };
};

test('crowns are judged face by face, the worst stands for all (guard band of JCGM 106: within by U95)', () => {
  const tolerance = { ...NO_LIMITS, crowns: most(0.05) };
  // 0.030 + 2 x 0.005 lies within 0.05; + 2 x 0.012 does not, and is not outside either.
  const [pass, open] = [crowned(0.005), crowned(0.012)].map((r) => assess(r, null, tolerance, GUARD).findings[0]!);
  expect(pass).toMatchObject({
    key: 'crowns',
    verdict: 'pass',
    judged: 6,
    passed: 6,
    value: expect.closeTo(0.03, 9) as number,
  });
  expect(open).toMatchObject({ verdict: 'undecided', remedy: { kind: 'grazing' } });
  // Decided once U95 has shrunk to the distance from the limit: 0.05 - 0.03.
  expect(open!.remedy).toHaveProperty('U95', expect.closeTo(0.02, 9));
});

test('a crown that no photo showed is judged by what its axis holds of it', () => {
  const made = madeResult('d6');
  const axes = made.axes.map((a) => ({ ...a, u: 0.06, lengthAtEdges: { value: a.length, u: 0.01 } }));
  const found = assess({ ...made, axes }, null, { ...NO_LIMITS, crowns: most(0.05) }, GUARD).findings[0]!;
  expect(found).toMatchObject({ verdict: 'undecided', value: 0, remedy: { kind: 'grazing' } });
  expect(found.u).toBeCloseTo(Math.sqrt(0.06 ** 2 - 0.01 ** 2) / 2, 9);
  // An older result says nothing of crowns: no verdict.
  expect(assess(made, null, { ...NO_LIMITS, crowns: most(0.05) }, GUARD).verdict).toBeNull();
});

test('marks: none found passes where all faces were looked at, one of unknown height stays open, a high one fails', () => {
  const tolerance = { ...NO_LIMITS, marks: most(0.05) };
  const made = madeResult('d6');
  const verdict = (more: Partial<MeasureResult>): string | null =>
    assess({ ...made, ...more }, null, tolerance, GUARD).verdict;
  const mark = { face: '3', place: [1, 0], size: [1, 1], height: null, kind: 'proud' } as const;
  expect(verdict({ marks: [], marksSeen: { least: 0.5, unseen: [] } })).toBe('pass');
  expect(verdict({ marks: [], marksSeen: { least: 0.5, unseen: ['2'] } })).toBeNull();
  expect(verdict({ marks: [], marksSeen: { least: null, unseen: [] } })).toBeNull();
  expect(verdict({ marks: [mark] })).toBe('undecided');
  expect(verdict({ marks: [{ ...mark, height: { value: 0.12, u: 0.01 } }] })).toBe('fail');
  expect(verdict({ marks: [{ ...mark, kind: 'sunk' }], marksSeen: { least: 0.5, unseen: [] } })).toBe('pass');
});

test('limits of crowns and marks come from a file as all others do', () => {
  const read = readTolerance({ crowns: { high: 0.04 }, marks: { high: 0.05 } });
  expect(read).toMatchObject({ ok: true, value: { crowns: most(0.04), marks: most(0.05), size: null } });
  expect(toleranceFault({ ...NO_LIMITS, crowns: { low: 0.05, high: 0.04 } })).toMatch(/^crowns/);
});

test('a lot follows the mean crown along tumbling time, where every die has one', () => {
  // Crowns grow by 10 um an hour.
  const dice = Array.from({ length: 8 }, (_, h) => {
    const made = madeResult('d6');
    const faces = made.faces.map((f, i) => ({ ...f, crown: i % 2 === 0 ? { value: 0.01 * h, u: 0.004 } : null }));
    const read = dieFromResult({ ...made, faces }, `die ${h}`);
    if (!read.ok) throw new Error(read.error.code);
    expect(read.value.die.meanCrown).toEqual({
      value: expect.closeTo(0.01 * h, 9) as number,
      u: expect.closeTo(0.004, 9) as number,
    });
    return { ...read.value.die, time: h };
  });
  const lot: Lot = { name: '', note: '', kind: 'd6', timeUnit: 'h', size: null, limits: NO_LOT_LIMITS, dice };
  const course = finishing(lot, quantities(lot)).find(({ key }) => key === 'meanCrown')!;
  expect(course.trend).toMatchObject({ ok: true, value: { slope: { value: expect.closeTo(0.01, 6) as number } } });
  const bare = dieFromResult(madeResult('d6'), 'bare');
  if (!bare.ok) throw new Error(bare.error.code);
  const mixed = { ...lot, dice: [bare.value.die, ...dice.slice(1)] };
  expect(quantities(mixed).some(({ key }) => key === 'meanCrown')).toBe(false);
});
