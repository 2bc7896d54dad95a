import { expect, test } from 'vitest';
import { degrees, mm, px, radians, type Mm, type Px, type Radians } from '../src/units.ts';
import { PAPERS } from '../src/report/forms/card-pdf.ts';

// The checks of types are made by the type checker: each line under `@ts-expect-error` must be refused, or the check fails.

const length = (value: Mm): number => value;
const distance = (value: Px): number => value;
const turn = (value: Radians): number => value;

test('units do not mix', () => {
  const [m, p, r] = [mm(1), px(2), radians(180)];
  expect([length(m), distance(p), turn(r)]).toEqual([1, 2, Math.PI]);
  // @ts-expect-error Pixels are no millimetres.
  length(p);
  // @ts-expect-error Millimetres are no pixels.
  distance(m);
  // @ts-expect-error Angles are no lengths.
  length(r);
  // @ts-expect-error Lengths are no angles.
  turn(m);
  // @ts-expect-error An array of pixels is no array of millimetres.
  const lengths: readonly Mm[] = [p];
  // @ts-expect-error Nor do records mix.
  const paper: { width: Px } = { width: PAPERS.a4.width };
  expect([lengths, paper]).toHaveLength(2);
});

test('branded numbers are numbers, and arithmetic gives back plain ones', () => {
  const twice: number = 2 * mm(3);
  expect(twice).toBe(6);
  expect(length(mm(mm(3) - mm(1)))).toBe(2);
});

test("degrees and radians are each other's inverse", () => {
  expect(radians(180)).toBe(Math.PI);
  expect(degrees(radians(37))).toBeCloseTo(37, 12);
});
