import { describe, expect, test } from 'vitest';
import { fitDie } from '../src/fit/die-fit.ts';
import type { DieState, FitPhoto } from '../src/fit/die-state.ts';
import { CUT, SHAPE_PRIOR } from '../src/fit/normal-equations.ts';
import { openTurns, type OpenAnswer, type OpenFront } from '../src/fit/open-turns.ts';
import { NO_TAU } from '../src/fit/stretches.ts';
import { NUMBERINGS } from '../src/geometry/numbering.ts';
import type { Outline } from '../src/geometry/outline.ts';
import { trueDie } from '../src/measure/coarse.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { exactOutline, shifted, unevenDie } from './support/synthetic-die.ts';

const OPTIONS = { prior: SHAPE_PRIOR, cut: CUT, tau: NO_TAU, steps: 60 } as const;

function fitted(truth: DieState, photos: readonly FitPhoto[], outlines: readonly Outline[]): DieState {
  const start = trueDie(truth.solid, truth.distances[0]!, truth.stands);
  const { state } = fitDie(start, photos, outlines, { ...OPTIONS, free: 'size' });
  const distances = state.distances.map((d, i) => d + 0.002 * Math.sin(1 + 2.4 * i));
  return fitDie({ ...state, distances }, photos, outlines, { ...OPTIONS, free: 'whole' }).state;
}

/** A d6 whose photos were fitted with the next side in front, the numbers up being right; and what its outlines then say. */
function asked(unevenness: number) {
  const { truth: full, photos } = unevenDie('d6', 21);
  const closer = (v: Float64Array): Float64Array => {
    const mean = v.reduce((s, d) => s + d, 0) / v.length;
    return v.map((d) => mean + unevenness * (d - mean));
  };
  const truth = { ...full, distances: closer(full.distances), radii: closer(full.radii) };
  const normal = seededNormal(seededRandom(5));
  const outlines = photos.map((p, i) => shifted(exactOutline(truth, p, i, 4, 0.05), () => 0.05 * normal()));
  const around = photos.map(({ shot }) => NUMBERINGS.d6[shot.up]!);
  const wrong = photos.map((p, i) => {
    const place = around[i]!.indexOf(p.shot.front);
    return { ...p, shot: { ...p.shot, front: around[i]![(place + 1) % 4]! } };
  });
  const open = around.map((fronts) => fronts.map((front): OpenFront => ({ front, log: 0 })));
  const state = fitted(truth, wrong, outlines);
  const answer = openTurns(state, wrong, outlines, NO_TAU, open);
  return { truth, photos, outlines, open, wrong, state, answer };
}

const axes = ({ solid, distances }: DieState): number[] =>
  solid.opposite.flatMap((o, f) => (o > f ? [distances[f]! + distances[o]!] : []));

/** What open turns add to the doubt of each axis, mm. */
const spread = ({ solid }: DieState, { shifts }: OpenAnswer): number[] =>
  solid.opposite.flatMap((o, f) => (o > f ? [Math.hypot(...shifts.map((s) => s[f]! + s[o]!))] : []));

describe('numbers in front that no face tells', () => {
  test('follow from the outlines of an uneven die, which is then measured as if they had been given', () => {
    const { photos, outlines, open, answer, truth } = asked(1);
    expect(answer.fronts.map(({ front }) => front)).toEqual(photos.map(({ shot }) => shot.front));
    const right = fitted(truth, photos, outlines);
    const again = openTurns(right, photos, outlines, NO_TAU, open);
    for (const { chance } of again.fronts) expect(chance).toBeLessThan(0.2);
    // What stays open a little is which of two opposite sides is in front: no length hangs on it.
    for (const u of spread(right, again)) expect(1e3 * u, 'um').toBeLessThan(1);
  });

  test('stay open on an even die, whose lengths then hold for each', () => {
    const { photos, outlines, answer, truth, wrong, state, open } = asked(0);
    expect(Math.max(...answer.fronts.map(({ chance }) => chance))).toBeGreaterThan(0.2);
    const right = axes(fitted(truth, photos, outlines));
    const told = openTurns(state, wrong, outlines, NO_TAU, open);
    const u = spread(state, told);
    axes(state).forEach((a, k) => {
      expect(1e3 * Math.abs(a - right[k]!), 'um').toBeLessThan(3 + 3e3 * u[k]!);
      expect(1e3 * u[k]!, 'um').toBeLessThan(6);
    });
  });

  test('a front that is given leaves nothing open', () => {
    const { photos, outlines, truth } = asked(1);
    const state = fitted(truth, photos, outlines);
    const { fronts, shifts } = openTurns(
      state,
      photos,
      outlines,
      NO_TAU,
      photos.map(() => null),
    );
    expect(shifts).toEqual([]);
    expect(fronts.map(({ front }) => front)).toEqual(photos.map(({ shot }) => shot.front));
  });
});
