import { describe, expect, test } from 'vitest';
import * as format from '../src/ui/kit/format.ts';

describe('numbers as read', () => {
  test.each([
    [0.123, 2],
    [0.0974, 3],
    [0.012, 3],
    [0.0095, 4],
    [0.00001, 4],
    [3, 1],
    [250, 0],
    [0, 3],
    [NaN, 3],
  ])('a doubt of %d mm leaves %d places', (uncertainty, digits) => {
    expect(format.places(uncertainty)).toBe(digits);
  });

  test('signs', () => {
    expect(format.decimal(-1.25, 1).startsWith('\u2212')).toBe(true);
    expect(format.decimal(1.25, 1, true).startsWith('+')).toBe(true);
    expect(format.decimal(-0.01, 1, true)).toBe(format.decimal(0, 1));
    expect(format.decimal(-0.01, 1)).toBe(format.decimal(0, 1));
  });

  test('every length has its unit', () => {
    expect(format.micrometres(0.0123)).toBe('12\u202fµm');
    expect(format.withDoubt(19.36361, 0.0021)).toMatch(/^19.3636 ± 0.0042\u202fmm$/);
    expect(format.seconds(11.2)).toBe('12\u202fs');
    expect(format.seconds(240)).toBe('4\u202fmin');
  });
});

describe('numbers as typed', () => {
  test.each([
    ['', null],
    ['  ', null],
    ['100.2', 100.2],
    ['99,7', 99.7],
    [' 100 ', 100],
    ['100.', 100],
  ])('"%s"', (text, value) => {
    expect(format.typedNumber(text)).toBe(value);
  });

  test.each(['a', '1.2.3', '-5', '100 mm', '1e2', '1,000.5'])('"%s" is none', (text) => {
    expect(format.typedNumber(text)).toBeNaN();
  });
});
