import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { dieSolid, DIE_KINDS } from '../src/geometry/solid.ts';
import { dieView } from '../src/figures/die-view.ts';
import { MAKES } from '../src/judging/tolerance.ts';
import { answerNumbers, answerText, surerText } from '../src/report/content/answer-words.ts';
import { reportContent } from '../src/report/content/content.ts';
import { answerOf, NOBODY_ROLLS, surerBy, type Answer } from '../src/report/record/answer.ts';
import { reportRecord } from '../src/report/record/record.ts';
import { rollsOf, type RollsData } from '../src/report/record/rolls-data.ts';
import { madeResult } from './support/made-result.ts';
import { bareInput } from './support/bare-input.ts';

const rolls = (changes: Partial<RollsData> = {}): RollsData => {
  const found = rollsOf(madeResult('d6'));
  if (!('data' in found)) throw new Error(found.missing);
  return { ...found.data, ...changes };
};
/** Three axes of a d6 whose differences are known to 5 um. */
const source = (lengths: readonly number[], u = 0.005) => ({
  axes: lengths.map((length, i) => ({
    name: ['1-6', '2-5', '3-4'][i]!,
    length,
    u: 0.05,
    uCommon: 0.05,
    uDifference: u,
  })),
  axesCovariance: lengths.map((_, i) => lengths.map((_v, j) => 0.0025 + (i === j ? u * u : 0))),
  rangeOfAxes: { value: Math.max(...lengths) - Math.min(...lengths), u: u * Math.SQRT2 },
});
const notice = (value: number, low: number): RollsData['rollsToNotice'] => ({ value, low, high: null });

describe('the answer in one sentence', () => {
  test('says that nobody notices only where even the worst that the doubt leaves takes longer than a year of evenings', () => {
    const near = source([16, 16.002, 15.999]);
    expect(answerOf(near, rolls({ rollsToNotice: notice(1e6, NOBODY_ROLLS) }))).toMatchObject({ code: 'true' });
    expect(answerOf(near, rolls({ rollsToNotice: notice(1e6, NOBODY_ROLLS - 1), looksEven: true }))).toMatchObject({
      code: 'open',
    });
  });

  test('names the axis that is off, with both of its numbers', () => {
    const short = source([15.64, 16, 16.01]);
    const found = answerOf(short, rolls({ rollsToNotice: notice(400, 300), looksEven: false }));
    expect(found).toMatchObject({ code: 'axis', axis: '1-6', faces: ['1', '6'] });
    const text = answerText(
      { ...(found as Extract<Answer, { code: 'axis' }>), chance: 0.059, even: 0.05, rolls: 412 },
      'en',
      answerNumbers('en'),
    );
    expect(text).toBe(
      'The 1-6 axis is 0.24\u00a0mm too short: 1 and 6 come up 5.9\u00a0% instead of 5\u00a0%; about 410 rolls show it.',
    );
  });

  test('without rolls it keeps to the axes, and to what their doubt leaves', () => {
    expect(answerOf(source([16, 16.002, 15.999]), null)).toMatchObject({ code: 'true' });
    expect(answerOf(source([16, 16.05, 15.97], 0.05), null)).toMatchObject({ code: 'open' });
    expect(answerOf(source([15.64, 16, 16.01]), null)).toMatchObject({ code: 'axis-only', axis: '1-6' });
  });

  test('is the same in page, report and shop picture: one function, and it stands in each report', () => {
    const result = madeResult('d20');
    const record = reportRecord(bareInput(result));
    const said = answerText(answerOf(result, record.data.rolls), 'en', answerNumbers('en'));
    for (const reader of ['buyer', 'seller', 'lab'] as const)
      expect(reportContent(record, reader).blocks.some((b) => b.kind === 'heading' && b.text === said)).toBe(true);
    const shop = readFileSync(new URL('../src/report/forms/shop-picture.ts', import.meta.url), 'utf8');
    expect(shop).toContain('answerText(answerOf(');
  });

  test('numbers follow the language, chances as finely as sets them apart', () => {
    const [en, de] = [answerNumbers('en'), answerNumbers('de')];
    expect([en.length(0.0234), de.length(0.0234)]).toEqual(['0.023\u00a0mm', '0,023\u00a0mm']);
    expect(en.chance(0.1689, 0.0022)).toBe('16.89\u00a0%');
    expect([en.chance(0.05, 0.009), de.chance(0.059, 0.009)]).toEqual(['5\u00a0%', '5,9\u00a0%']);
    expect([en.count(1738), de.count(1738)]).toEqual(['1\u202f700', '1\u202f700']);
  });

  test('one thing makes it surer: what costs least first', () => {
    const result = madeResult('d6');
    expect(surerBy(result, 3)).toEqual({ code: 'bars' });
    const checked = { ...result, card: { ...result.card, checked: true } };
    expect(surerBy(checked, 3)).toEqual({ code: 'photos', count: 3 });
    expect(surerBy(checked, 0)).toEqual({ code: 'caliper' });
    const lost = { ...checked, photos: [{ ...result.photos[0]!, status: 'left-out' as const }] };
    expect(surerText(surerBy(lost, 3), 'de')).toMatch(/^Nehmen Sie 01\.jpg noch einmal auf/);
  });
});

test('makes stand in order from machined to tampered', () => {
  const limits = MAKES.map(({ upTo }) => upTo);
  expect([...limits].sort((a, b) => a - b)).toEqual(limits);
});

test.each(DIE_KINDS)(
  'a %s is seen so that two axes show apart and the corner is in front, whichever are asked for',
  (kind) => {
    const solid = dieSolid(kind);
    for (let face = 0; face < solid.labels.length; face++)
      for (const other of [1, 2].map((k) => (face + k) % solid.labels.length)) {
        if (solid.opposite[face] === other) continue;
        const asked = [face, other].map((f) => ({ face: f, opposite: solid.opposite[f]! }));
        const corner = (face * 3) % solid.corners.length;
        const view = dieView(solid, asked, corner);
        expect(view.faces.length).toBeGreaterThanOrEqual(kind === 'd4' ? 1 : 3);
        const [a, b] = view.axes.map(
          ({ nearTip, farTip }) => [nearTip[0] - farTip[0], nearTip[1] - farTip[1]] as const,
        );
        const [la, lb] = [Math.hypot(...a!), Math.hypot(...b!)];
        // Both long enough to be seen, and never one upon the other.
        expect(Math.min(la, lb)).toBeGreaterThan(0.8);
        expect(Math.abs(a![0] * b![1] - a![1] * b![0]) / (la * lb)).toBeGreaterThan(0.2);
      }
  },
);
