import { describe, expect, test } from 'vitest';
import { chances } from '../src/bias/meaning/prediction.ts';
import { recordPrediction, thrownRolls, toThrow } from '../src/bias/meaning/thrown-rolls.ts';
import { readShape } from '../src/bias/meaning/shape-record.ts';
import { tallyOf } from '../src/bias/throws/throw-blocks.ts';
import { checkReport } from '../src/report/check/check-report.ts';
import { openReport } from '../src/report/check/open-report.ts';
import { recordBytes, reportRecord } from '../src/report/record/record.ts';
import { madeResult } from './support/made-result.ts';
import { MADE_INPUT } from './support/report-digest.ts';

/** A d6 whose one axis is short by 15 %, far beyond what the kernel was made for. */
function uneven(): ReturnType<typeof madeResult> {
  const result = madeResult('d6');
  const faces = result.faces.map((f) => (['3', '4'].includes(f.name) ? { ...f, distance: 0.85 * f.distance } : f));
  return { ...result, faces };
}

describe('rolls that are thrown and kept', () => {
  const result = uneven();
  const known = readShape(result);
  if (!known.ok) throw new Error(known.error.code);
  const body = toThrow(known.value);
  if (!body.ok || body.value === null) throw new Error('this die should need throws');
  const tally = (['wood', 'felt', 'stone'] as const)
    .map((table) => tallyOf(body.value!, table, 1, 0, 4000))
    .reduce((a, b) => ({ ...a, counts: a.counts.map((c, i) => c + b.counts[i]!), throws: a.throws + b.throws }));
  const thrown = thrownRolls(known.value, tally, 1);

  test('a record states what the throws say, to the digit', () => {
    const record = reportRecord({ ...MADE_INPUT, result, thrown });
    const said = recordPrediction(known.value, thrown);
    if (!said.ok) throw new Error(said.error.code);
    const rolls = record.data.rolls!;
    expect(rolls.method).toBe('throws');
    expect(rolls.faces.map(({ p, low, high }) => [p, low, high])).toEqual(
      chances(said.value).map(({ value, low, high }) => [value, low, high]),
    );
  });
  test('without throws the interval is wide, and holds what they say', () => {
    const [kernel, throws] = [recordPrediction(known.value, null), recordPrediction(known.value, thrown)];
    if (!kernel.ok || !throws.ok) throw new Error('no prediction');
    chances(kernel.value).forEach(({ low, high }, i) => {
      expect(low).toBeLessThan(throws.value.p[i]!);
      expect(high).toBeGreaterThan(throws.value.p[i]!);
    });
  });
  test('counts that were changed are found where they are thrown again', async () => {
    const made = recordBytes(reportRecord({ ...MADE_INPUT, result, thrown }));
    const opened = openReport(made);
    if (!opened.ok) throw new Error(opened.error.code);
    const means = { fonts: null, subtle: null, photos: null };
    const codes = async (again: typeof thrown): Promise<string[]> =>
      (await checkReport(opened.value, made, { ...means, thrownAgain: () => Promise.resolve(again) })).map(
        (c) => c.code,
      );
    expect(await codes(thrown)).toContain('throws-agree');
    const counts = thrown.counts.map((c, i) => c + (i === 0 ? 1 : i === 1 ? -1 : 0));
    expect(await codes({ ...thrown, counts })).toContain('throws-differ');
  });
  test('rolls of the die: the record says whether they agree with its shape', () => {
    const agree = reportRecord({ ...MADE_INPUT, result, thrown, rolled: thrown.counts }).data.rolls!.rolled!;
    expect(agree).toMatchObject({ rolls: 12_000, verdict: 'agree' });
    const other = thrown.counts.map((_, i) => (i === 0 ? 4000 : 1600));
    expect(reportRecord({ ...MADE_INPUT, result, thrown, rolled: other }).data.rolls!.rolled!.verdict).toBe('disagree');
    expect(reportRecord({ ...MADE_INPUT, result, thrown }).data.rolls!.rolled).toBeUndefined();
  });
});
