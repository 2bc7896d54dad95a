import type { Outline } from '../geometry/outline.ts';
import { parameterCount, type DieState, type FitPhoto } from './die-state.ts';
import { fitMemory, type FitMemory } from './fit-memory.ts';
import { passingRows, type PhotoRows } from './photo-rows.ts';
import { crownPrecision, type CrownPrior } from './crown-prior.ts';
import { NO_TAU, ownVariances, stretches, takeOut, type Division, type Tau } from './stretches.ts';

/**
 * Beliefs that keep the fit determined where photos say nothing; standard deviations, mm.
 *
 * Faces of one die lie within some tenths of a millimetre of their mean (common practice). It matters for few photos alone: a whole
 * set knows its faces a hundred times better.
 */
export interface ShapePrior {
  /** Of a face's distance about the mean of all. */
  readonly face: number;
  /** Of a corner's radius about the mean of all. */
  readonly radius: number;
  /** Of the crowns, where the state has any. */
  readonly crowns?: CrownPrior;
}

export const SHAPE_PRIOR: ShapePrior = { face: 0.3, radius: 0.4 };

/** Residual in sigmas at which a point's weight has fallen to a half (Cauchy). */
export const CUT = 2.5;

/** Where the body's origin is tied to: sum of normal times distance, mm. */
const ORIGIN_SIGMA = 1e-3;

/** Cost, and its normal equations `a . step = g` over all parameters of a die's state (mm, radians): `a` n x n, row-major. */
export interface Normal {
  readonly cost: number;
  readonly a: Float64Array;
  readonly g: Float64Array;
}

/**
 * Normal matrix and gradient of all residuals and beliefs; `null` outlines are left-out photos.
 *
 * With `tau` each stretch of each outline has an offset of its own, drawn from N(0, tau^2) and taken out exactly (Woodbury).
 */
export function normalOf(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  prior: ShapePrior,
  cut: number,
  tau: Tau,
  divided?: readonly (Division | null)[],
): Normal {
  const n = parameterCount(state);
  const memory = fitMemory();
  memory.holdSums(longest(outlines), n, divided ? mostStretches(divided) : 0);
  let cost = 0;
  for (let i = 0; i < photos.length; i++) {
    const outline = outlines[i];
    if (!outline) continue;
    const rows = passingRows(state, photos[i]!, i, outline, true);
    cost += addRows(rows, outline.sigma, cut, memory);
    if (tau === NO_TAU) continue;
    if (divided) cost = lessStretches(cost, divided[i]!, rows.count, cut, tau, memory);
    else for (const s of stretches(rows, outline, cut, state).values()) cost -= takeOut(s, tau, memory.a, memory.g, n);
  }
  const a = memory.a.slice();
  const g = memory.g.slice();
  if (state.crowns) cost += addCrowns(state, outlines, prior.crowns, a, g, n);
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
  cost += addBeliefs(state, prior, a, g, n);
  return { cost, a, g };
}

/** Adds what the light beside grazing edges says of crowns, and what is believed of them; the lower triangle. Returns the cost. */
function addCrowns(
  state: DieState,
  outlines: readonly (Outline | null)[],
  believed: CrownPrior | undefined,
  a: Float64Array,
  g: Float64Array,
  n: number,
): number {
  const crowns = state.crowns!;
  const at = state.distances.length + state.radii.length;
  let cost = 0;
  const add = (p: number, q: number, v: number): void => void (q <= p && (a[(at + p) * n + at + q]! += v));
  for (const outline of outlines)
    for (const { face, believed: from, change, u } of outline?.grazing?.crowns ?? []) {
      const w = 1 / (u * u);
      const left = crowns[face]! - from - change;
      cost += (w * left * left) / 2;
      g[at + face]! += w * left;
      add(face, face, w);
    }
  if (!believed) return cost;
  const count = crowns.length;
  const { own, shared } = crownPrecision(believed, count);
  let sum = 0;
  for (const b of crowns) sum = sum + b - believed.mean;
  for (let p = 0; p < count; p++) {
    const off = crowns[p]! - believed.mean;
    const pull = own * off - shared * sum;
    cost += (off * pull) / 2;
    g[at + p]! += pull;
    for (let q = 0; q <= p; q++) add(p, q, (p === q ? own : 0) - shared);
  }
  return cost;
}

/** Points of the longest outline. */
function longest(outlines: readonly (Outline | null)[]): number {
  let most = 0;
  for (let i = 0; i < outlines.length; i++) most = Math.max(most, outlines[i]?.sigma.length ?? 0);
  return most;
}

/** Adds rows whose derivatives passed through the memory; the lower triangle of its sums. Returns their cost. */
function addRows({ count, residual }: PhotoRows, sigma: Float64Array, cut: number, memory: FitMemory): number {
  memory.residual.set(residual);
  memory.sigma.set(sigma);
  memory.addRows(count, cut);
  const { terms } = memory;
  let cost = 0;
  for (let k = 0; k < count; k++) cost += (cut * cut * Math.log(terms[k]!)) / 2;
  return cost;
}

const mostStretches = (divided: readonly (Division | null)[]): number => {
  let most = 0;
  for (const d of divided) most = Math.max(most, d?.kinds.length ?? 0);
  return most;
};

/** Takes the offsets of an outline's stretches out of the sums that its rows were just added to. Returns the cost less what that takes off it. */
function lessStretches(
  cost: number,
  division: Division,
  count: number,
  cut: number,
  tau: Tau,
  memory: FitMemory,
): number {
  const { variances } = memory;
  ownVariances(division, tau, variances);
  memory.stretch.set(division.of);
  const all = division.kinds.length;
  memory.takeOutStretches(count, all, cut);
  let left = cost;
  for (let i = 0; i < all; i++) left -= variances[i]!;
  return left;
}

/** The cost of independent points alone, without derivatives. */
export function costOf(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  prior: ShapePrior,
  cut: number,
): number {
  let cost = beliefCost(state, prior);
  for (let i = 0; i < photos.length; i++) {
    const outline = outlines[i];
    if (!outline) continue;
    const { count, residual } = passingRows(state, photos[i]!, i, outline, false);
    const { sigma } = outline;
    for (let k = 0; k < count; k++) cost += (cut * cut * Math.log(1 + (residual[k]! / sigma[k]! / cut) ** 2)) / 2;
  }
  return cost;
}

/** Cost of the beliefs alone. */
function beliefCost(state: DieState, prior: ShapePrior): number {
  let cost = spread(state.distances) / prior.face ** 2 + spread(state.radii) / prior.radius ** 2;
  for (let axis = 0; axis < 3; axis++) {
    cost += (originAlong(state, axis) / ORIGIN_SIGMA) ** 2;
  }
  return cost / 2;
}

function meanOf(values: Float64Array): number {
  let sum = 0;
  for (const v of values) sum += v;
  return sum / values.length;
}

function spread(values: Float64Array): number {
  const mean = meanOf(values);
  let sum = 0;
  for (const v of values) sum += (v - mean) ** 2;
  return sum;
}

/** Sum of the normals times distances along an axis, mm. */
function originAlong({ solid: { normals }, distances }: DieState, axis: number): number {
  let sum = 0;
  for (let f = 0; f < distances.length; f++) sum += normals[3 * f + axis]! * distances[f]!;
  return sum;
}

/** Ties the origin, and draws faces and radii weakly to their means. Returns the cost. */
function addBeliefs(state: DieState, prior: ShapePrior, a: Float64Array, g: Float64Array, n: number): number {
  const { distances, radii, solid } = state;
  const faces = distances.length;
  const row = new Float64Array(Math.max(faces, radii.length));
  let cost = 0;
  for (let axis = 0; axis < 3; axis++) {
    for (let f = 0; f < faces; f++) row[f] = solid.normals[3 * f + axis]!;
    cost += addBelief(row, faces, originAlong(state, axis), ORIGIN_SIGMA, 0, a, g, n);
  }
  cost = addPull(cost, distances, row, prior.face, 0, a, g, n);
  return addPull(cost, radii, row, prior.radius, faces, a, g, n);
}

/** Draws each of some values to the mean of all; `row` is overwritten. Returns the cost with what it was before. */
function addPull(
  before: number,
  values: Float64Array,
  row: Float64Array,
  sd: number,
  from: number,
  a: Float64Array,
  g: Float64Array,
  n: number,
): number {
  const count = values.length;
  const mean = meanOf(values);
  let cost = before;
  for (let p = 0; p < count; p++) {
    for (let q = 0; q < count; q++) row[q] = (p === q ? 1 : 0) - 1 / count;
    cost += addBelief(row, count, values[p]! - mean, sd, from, a, g, n);
  }
  return cost;
}

/** Adds one observation of `count` parameters from `from` on, whose derivatives are in `row`. */
function addBelief(
  row: Float64Array,
  count: number,
  residual: number,
  sd: number,
  from: number,
  a: Float64Array,
  g: Float64Array,
  n: number,
): number {
  const w = 1 / (sd * sd);
  for (let p = 0; p < count; p++) {
    if (row[p] === 0) continue;
    const v = w * row[p]!;
    g[from + p]! += v * residual;
    for (let q = 0, o = (from + p) * n + from; q < count; q++, o++) a[o]! += v * row[q]!;
  }
  return (w * residual * residual) / 2;
}
