import { describe, expect, test } from 'vitest';
import { faultText } from '../src/bias/messages.ts';
import { STACK, stackCheck, stackGap, type StackCheck } from '../src/bias/meaning/stack.ts';

const axes = { first: 19.02, second: 19, uDifference: 0.003, uLength: 0.006 };
const check = (...args: Parameters<typeof stackCheck>): StackCheck => {
  const result = stackCheck(...args);
  if ('code' in result) throw new Error(faultText(result));
  return result;
};

test('heights, difference and doubt of ten dice', () => {
  const { heights, difference, reach, uHeight, verdict } = check(axes);
  expect(heights[0]).toBeCloseTo(190.2, 12);
  expect(heights[1]).toBeCloseTo(190, 12);
  expect(difference).toBeCloseTo(0.2, 12);
  // Ten copies of one measured die carry its error ten times; 1.96 standard deviations.
  expect(reach).toBeCloseTo(1.959964 * 0.03, 9);
  expect(uHeight).toBeCloseTo(0.06, 12);
  expect(verdict).toBeNull();
});

test('gaps lift both stacks alike and leave the difference; dice that differ widen its doubt', () => {
  const gapped = check(axes, { ...STACK, gap: 0.02 });
  expect(gapped.heights[0]).toBeCloseTo(190.2 + 9 * 0.02, 12);
  expect(gapped.difference).toBeCloseTo(0.2, 12);
  expect(check(axes, { ...STACK, dieToDie: 0.01 }).reach).toBeCloseTo(
    1.959964 * Math.hypot(0.03, 0.01 * Math.sqrt(10)),
    9,
  );
});

describe('a measured difference', () => {
  test.each([
    ['as predicted, and far from none', 0.21, 0.02, 'agree'],
    ['none where 0.2 mm was predicted', 0, 0.02, 'disagree'],
    ['the other way', -0.2, 0.02, 'disagree'],
    ['read with a ruler of half a millimetre', 0.1, 0.5, 'cannot-tell'],
  ] as const)('%s', (_, difference, u, verdict) => {
    expect(check(axes, STACK, { difference, u }).verdict).toBe(verdict);
  });
  test('axes that are alike cannot be told from even by any stack that fits', () => {
    expect(check({ ...axes, first: 19 }, STACK, { difference: 0.01, u: 0.02 }).verdict).toBe('cannot-tell');
  });
});

test('the gap of a stack from its dice measured singly', () => {
  expect(stackGap(190.09, Array<number>(10).fill(19))).toBeCloseTo(0.01, 12);
});

test.each([
  ['no dice', axes, { ...STACK, dice: 0 }],
  ['half a die', axes, { ...STACK, dice: 2.5 }],
  ['a negative gap', axes, { ...STACK, gap: -0.1 }],
  ['a NaN length', { ...axes, first: NaN }, STACK],
])('%s is refused', (_, a, settings) => {
  expect(stackCheck(a, settings)).toHaveProperty('code', 'stack-impossible');
});
