import { expect, test } from 'vitest';
import type { DieState } from '../src/fit/die-state.ts';
import { COARSE, roughState, type CoarseStand } from '../src/measure/coarse.ts';
import { exactOutline, unevenDie } from './support/synthetic-die.ts';

const { truth: uneven, photos } = unevenDie('d12', 4, 2);
const mean = (v: Float64Array): number => v.reduce((s, x) => s + x, 0) / v.length;
/** All of one size and rounding, as a start is. */
const truth: DieState = {
  ...uneven,
  distances: uneven.distances.map(() => mean(uneven.distances)),
  radii: uneven.radii.map(() => mean(uneven.radii)),
};

/** Rough outlines of a die of such a state. */
const seen = (state: DieState): CoarseStand[] =>
  photos.map((photo, i) => {
    const outline = exactOutline(state, photo, i, 6, 3);
    return { stand: truth.stands[i]!, distance: mean(truth.distances) - 0.1, misfit: 0, outline };
  });

test('a start has the rounding that rough outlines show', () => {
  const start = roughState(truth.solid, photos, seen(truth));
  expect(Math.abs(start.radii[0]! - mean(truth.radii))).toBeLessThan(0.02);
  expect(Math.abs(start.distances[0]! - mean(truth.distances))).toBeLessThan(0.01);
});

test('rough outlines without any rounding lost edges inwards: the usual rounding is held, and the size with it', () => {
  const sharp = { ...truth, radii: truth.radii.map(() => 0.005), distances: truth.distances.map((d) => d - 0.11) };
  const start = roughState(truth.solid, photos, seen(sharp));
  expect(start.radii[0]).toBeCloseTo(COARSE.radiusShare * (mean(truth.distances) - 0.1), 6);
  expect(Math.abs(start.distances[0]! - mean(truth.distances))).toBeLessThan(0.06);
});
