import { bilinear } from '../maths/linear.ts';
import { parameterCount } from '../fit/die-state.ts';
import { CUT } from '../fit/normal-equations.ts';
import { looksMetal } from '../vision/sheen.ts';
import { doubtOf } from '../fit/doubt.ts';
import { balls } from '../geometry/solid.ts';
import { shapeDoubt } from './fit-gates.ts';
import { RATIO, SHARED } from '../vision/calibration.ts';
import { crownsSeen, withBelievedCrowns } from './crown-doubt.ts';
import { crownPriorOf, doubtfulCrowns } from './finish.ts';
import { flatSights } from './flatness.ts';
import { believedLine, budgetOf, influencesOf, lengthsOf, TYPE_B } from './budget.ts';
import { axisRows, byNumbers, meanOf, overFaces, padded, unit, type Linear } from './linear-lengths.ts';
import type { Measured } from './measured.ts';
import type { BudgetLine, Quantity } from '../formats/result.ts';

/** In the order of the numbers in their names. */
export const inOrder = <T extends { readonly name: string }>(list: readonly T[]): T[] => [...list].sort(byName);

const byName = (p: { readonly name: string }, q: { readonly name: string }): number => byNumbers(p.name, q.name);

/** What the result tells of the shape, as rows over the parameters and the believed crowns, with their covariance. */
export function figuresOf(m: Measured) {
  const { state, solid } = m;
  const doubt = doubtOfShape(m);
  if (!doubt.ok) return null;
  const fitted = parameterCount(state);
  const { unlikelyCrown, crownHint } = m;
  const sights = state.crowns || unlikelyCrown !== undefined || crownHint ? [] : flatSights(m);
  const prior = crownPriorOf(m.job, state);
  const believed = unlikelyCrown === undefined ? prior : doubtfulCrowns(prior, unlikelyCrown);
  const {
    n,
    covariance: cov,
    at,
    values: crowns,
  } = withBelievedCrowns(state, doubt.value.total, fitted, believed, sights);
  const body = balls(solid, state.distances, state.radii);
  const edgeAxes = axisRows(solid, state, body).map((a) => ({ ...a, row: padded(a.row, n) }));
  const axes = edgeAxes.map((a) => overFaces(a, solid, crowns, at));
  const corners = solid.corners.map((c, i): Linear => ({
    name: c.name,
    value: state.radii[i]!,
    row: unit(n, state.distances.length + i),
  }));
  const faces = solid.labels.map((name, i): Linear => ({ name, value: state.distances[i]!, row: unit(n, i) }));
  const u = (row: Float64Array): number => Math.sqrt(Math.max(0, bilinear(row, cov, row, n)));
  const seen = crownsSeen(m, sights);
  return {
    body,
    axes,
    edgeAxes,
    corners,
    faces,
    n,
    u,
    mean: meanOf(axes, n),
    meanRadius: meanOf(corners, n),
    quantity: (l: Linear): Quantity => ({ value: l.value, u: u(l.row) }),
    covarianceOf: (list: readonly Linear[]): number[][] => covarianceOf(list, cov, n),
    crownOf: (f: number): Quantity | null => (seen[f] ? { value: crowns[f]!, u: u(unit(n, at + f)) } : null),
    budget: (mean: Linear, meanRadius: Linear): BudgetLine[] => {
      const first = (l: Linear): Linear => ({ ...l, row: l.row.subarray(0, fitted) });
      return [
        ...budgetOf(doubt.value, axes.map(first), first(mean), first(meanRadius), fitted),
        ...(state.crowns ? [] : [believedLine(axes, mean, at, cov, n)]),
      ];
    },
  };
}

function covarianceOf(list: readonly Linear[], covariance: Float64Array, n: number): number[][] {
  const out: number[][] = [];
  for (const a of list) {
    const row: number[] = [];
    for (const b of list) row.push(bilinear(a.row, covariance, b.row, n));
    out.push(row);
  }
  return out;
}

function doubtOfShape(m: Measured): ReturnType<typeof doubtOf> {
  return doubtOf(
    m.state,
    m.photos,
    m.rounds.map((r) => r.outline),
    m.prior,
    CUT,
    m.tau,
    {
      covariance: m.calibration.covariance,
      shared: SHARED,
      places: m.photos.map((_, i) => i),
      // Where one bar alone was measured, all lengths follow the ratio.
      direct: { place: RATIO, shift: lengthsOf(m.state).map((v) => v * m.calibration.print.lean) },
    },
    influencesOf(m),
    (looksMetal(m.sheen) ? TYPE_B.metal : 1) * shapeDoubt(m),
  );
}
