import { describe, expect, test } from 'vitest';
import { parseBinJob, readReference } from '../src/formats/bin.ts';
import { parseJob } from '../src/formats/job.ts';
import { readRecord } from '../src/formats/report.ts';
import { readResult } from '../src/formats/result.ts';
import { readShape } from '../src/bias/meaning/shape-record.ts';
import { dieFromResult } from '../src/lots/die-record.ts';
import { readLot } from '../src/lots/read-lot.ts';
import { jobOfReport } from '../src/report/check/remeasure.ts';
import { reportRecord } from '../src/report/record/record.ts';
import { madeResult } from './support/made-result.ts';
import { bareInput } from './support/bare-input.ts';

let deep: unknown = 1;
for (let i = 0; i < 9000; i++) deep = i % 2 === 0 ? [deep] : { a: deep };
const READERS = {
  parseJob,
  parseBinJob,
  readReference,
  readRecord,
  readResult,
  readShape,
  readLot,
  dieFromResult: (json: unknown) => dieFromResult(json, 'a'),
};

describe.each(Object.entries(READERS))('%s', (_name, read) => {
  const made = { ...madeResult('d6'), shots: [{ photo: '1.jpg', up: 1, front: 2 }] };
  test.each<[string, unknown]>([
    ['9000 deep', deep],
    ['9000 deep inside', { ...made, die: deep }],
    ['an object for a name', { ...made, die: { kind: { toString: 1 } } }],
    ['objects for names', { ...made, faces: [{ name: { toString: 1 }, distance: 8 }], format: { toString: 1 } }],
  ])('%s: a fault with its code', (_what, json) => {
    const out = read(json);
    expect(out.ok).toBe(false);
    expect(!out.ok && out.error.code).toMatch(/^[a-z-]+$/);
  });
});

test('apex and check bars go from a result through its report to rolls and to the next measurement', () => {
  const d10 = madeResult('d10');
  const bars = { x: 99.6, y: 100.2, u: 0.05 };
  const result = { ...d10, die: { kind: 'd10' as const, apex: 1.05 }, card: { ...d10.card, checked: true, bars } };
  const shape = readShape(JSON.parse(JSON.stringify(result)));
  expect(shape.ok && shape.value.shape.apex).toBe(1.05);
  const { data } = reportRecord({ ...bareInput(result), version: '0' });
  const shots = data.result.photos.map((p, i) => ({ ...p, up: String(i), front: ['6', '6'][i]! }));
  const job = jobOfReport({ ...data, result: { ...data.result, photos: shots } });
  expect(job).toMatchObject({ ok: true, value: { apex: 1.05, checkBar: 99.6, checkBarY: 100.2, checkBarU: 0.05 } });
});

test('an apex belongs to a d10, a numbering to its kind', () => {
  const r = madeResult('d6');
  expect(readResult({ ...r, die: { kind: 'd6', apex: 1 } })).toMatchObject({ ok: false, error: { place: 'die.apex' } });
  const numbering = { 1: ['2', '3', '4'] };
  expect(readResult({ ...r, die: { kind: 'd6', numbering } })).toMatchObject({
    ok: false,
    error: { place: 'die.numbering' },
  });
  expect(readResult({ ...r, later: { field: 1 } })).toMatchObject({ ok: true, value: { later: { field: 1 } } });
});
