import { expect, test } from 'vitest';
import { CARD } from '../src/geometry/card.ts';
import { barsByFrame, FRAME_U } from '../src/ui/card/bank-card.ts';
import { signedNumber } from '../src/ui/kit/format.ts';

test('a frame that the bank card fills says that nothing was stretched', () => {
  const { x, y } = barsByFrame(0, 0);
  expect([x, y]).toEqual([CARD.checkBar, CARD.checkBar]);
});

test('a print at 97 % is found from either side, with the doubt of the shorter one', () => {
  // Sizes of ID-1: ISO/IEC 7810:2019, clause 5.
  const { x, y, u } = barsByFrame(-0.03 * 85.6, -0.03 * 53.98);
  expect(x).toBeCloseTo(97, 10);
  expect(y).toBeCloseTo(97, 10);
  expect(u).toBeCloseTo((FRAME_U * 100) / 53.98, 10);
});

test.each([
  ['0.3', 0.3],
  ['-0,2', -0.2],
  ['\u22121', -1],
  ['', null],
  ['-', null],
  ['--1', null],
  ['a', null],
])('"%s" typed is %s', (text, value) => expect(signedNumber(text)).toBe(value));
