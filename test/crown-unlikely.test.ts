import type { MeasureResult } from '../src/formats/result.ts';
import { describe, expect, test } from 'vitest';
import { HIDDEN_ALIKE } from '../src/fit/crown-prior.ts';
import { crownPrior, doubtfulCrowns, mostCrown } from '../src/measure/finish.ts';
import { resultOf } from '../src/measure/result.ts';
import { madeMeasured, usedPhotos } from './support/made-measured.ts';

describe('crowns higher than a die can have', () => {
  test('begin three standard deviations from what its corners leave possible', () => {
    // Corners of 0.4 mm: crowns are believed within 0.06 of that, and the light may hide 12 um.
    expect(mostCrown(crownPrior({}, 0.4))).toBeCloseTo(3 * Math.hypot(0.06 * 0.4, HIDDEN_ALIKE), 12);
    // Rounder ones leave what any finish makes; a tumbled die has its crowns about 0.045 mm.
    expect(mostCrown(crownPrior({}, 2))).toBeCloseTo(3 * Math.hypot(0.035, HIDDEN_ALIKE), 12);
    expect(mostCrown(crownPrior({ finish: 'tumbled' }, 0.4))).toBeCloseTo(
      0.045 + 3 * Math.hypot(0.025, HIDDEN_ALIKE),
      12,
    );
  });

  test('leave the die flat or crowned as high as that, within one standard deviation', () => {
    const prior = crownPrior({}, 0.4);
    const { mean, common, own } = doubtfulCrowns(prior, 0.12);
    expect([mean, common, own]).toEqual([0, 0.12, prior.own]);
    expect(doubtfulCrowns(crownPrior({}, 2), 0.01).common).toBe(0.035);
  });

  test('are remarked on, and an axis has the doubt of two such crowns; its length stays the flat die’s', () => {
    const m = madeMeasured();
    const [flat, doubted] = [m, { ...m, unlikelyCrown: 0.3 }].map((of) => {
      const result = resultOf(of, usedPhotos(of));
      if (!result.ok) throw new Error(result.error.code);
      return result.value;
    }) as [MeasureResult, MeasureResult];
    const limit = mostCrown(crownPrior(m.job, flat.meanCornerRadius.value));
    expect(flat.notes.map(({ code }) => code)).not.toContain('crown-unlikely');
    expect(doubted.notes).toContainEqual({ code: 'crown-unlikely', seen: '0.30', needed: limit.toFixed(2) });
    expect(doubted.axes.map(({ length }) => length)).toEqual(flat.axes.map(({ length }) => length));
    for (const { u, lengthAtEdges } of doubted.axes) expect(u / Math.hypot(0.6, lengthAtEdges!.u)).toBeCloseTo(1, 2);
  });
});

test('crowns that are hinted at take from faces that look flat what they say', () => {
  // A d10 of which one face is seen edge-on.
  const m = madeMeasured({ kind: 'd10', count: 8, sigma: 0.02 });
  const [flat, hinted] = [m, { ...m, crownHint: true as const }].map((of) => {
    const result = resultOf(of, usedPhotos(of));
    if (!result.ok) throw new Error(result.error.code);
    return result.value;
  }) as [MeasureResult, MeasureResult];
  const told = (r: MeasureResult): number => r.faces.filter(({ crown }) => crown !== null).length;
  expect([told(flat), told(hinted)]).toEqual([1, 0]);
  // What is believed of an unknown finish: two faces of 35 um alike and 15 um each.
  for (const { u, lengthAtEdges } of hinted.axes)
    expect(Math.sqrt(u ** 2 - lengthAtEdges!.u ** 2)).toBeCloseTo(Math.hypot(2 * 0.035, Math.SQRT2 * 0.015), 3);
  for (const [i, { u }] of flat.axes.entries()) expect(u).toBeLessThan(hinted.axes[i]!.u);
});
