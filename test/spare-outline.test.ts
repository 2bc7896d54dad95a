/** Where grain beside a die could not be told from its edges, the die's own shape tells which outline is its. */
import { expect, test } from 'vitest';
import { ofBetterOutline, withSpare } from '../src/vision/rough-outline.ts';
import { NO_REGION } from './support/made-added.ts';

const own = Float64Array.of(0, 0, 10, 0, 10, 10);
const spare = Float64Array.of(0, 0, 9, 0, 9, 9);
const region = { ...NO_REGION, outline: own, covered: Uint8Array.of(0, 0, 1), spare };

/** A fit whose misfit is stated for each outline. */
const fitted = (first: number, other: number) =>
  ofBetterOutline(region, ({ outline }) => ({ misfit: outline === own ? first : other, outline }));

test('the spare outline counts where a true die departs from it by clearly less', () => {
  expect(fitted(0.0055, 0.0023)).toEqual({ fit: { misfit: 0.0023, outline: spare }, spare: true });
  expect(fitted(0.0024, 0.0059)).toEqual({ fit: { misfit: 0.0024, outline: own }, spare: false });
  expect(fitted(0.003, 0.0022)).toEqual({ fit: { misfit: 0.003, outline: own }, spare: false });
});

test('a region without one is looked at once', () => {
  let asked = 0;
  const { spare: taken } = ofBetterOutline({ ...region, spare: null }, () => ({ misfit: ++asked }));
  expect([taken, asked]).toEqual([false, 1]);
});

test('with its spare outline nothing is known of what lay over it', () => {
  expect(withSpare(region)).toEqual({ ...region, outline: spare, covered: null, spare: null });
  expect(withSpare(NO_REGION)).toBe(NO_REGION);
});
