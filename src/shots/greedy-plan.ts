import { bilinear, cholesky, choleskyInverse } from '../maths/linear.ts';
import type { DieState } from '../fit/die-state.ts';
import { CUT, normalOf, SHAPE_PRIOR } from '../fit/normal-equations.ts';
import { NO_TAU } from '../fit/stretches.ts';
import { HIDDEN } from '../fit/doubt.ts';
import { axesOf } from './axes.ts';
import type { Candidates } from './candidates.ts';
import type { ShotInformation } from './information.ts';

/** What is doubtful beside the photos' noise, for a prediction. */
export interface CommonDoubt {
  /** Where all edges lie, px, one standard deviation. */
  readonly edge: number;
  /** Relative standard uncertainty of the card's scale. */
  readonly scale: number;
}

/** Doubt to expect of one axis, standard uncertainties in mm. */
export interface ExpectedAxis {
  readonly name: string;
  /** All together. */
  readonly u: number;
  /** Of its difference from the mean axis. */
  readonly uDifference: number;
}

export interface Expected {
  readonly axes: readonly ExpectedAxis[];
  readonly meanAxis: number;
  readonly meanRadius: number;
  /** Mean variance that a choice of shots makes small, mm^2; see {@link criterion}. */
  readonly merit: number;
}

/** A radius counts as so much of an axis in the choice of shots: it is asked for less, and known less well by nature. */
export const RADIUS_WEIGHT = 0.05;

/** Information and outward movement of shots taken so far, with what is believed beforehand. */
export interface Gathered {
  readonly matrix: Float64Array;
  readonly outward: Float64Array;
}

/** Mean face distance and mean radius are known so well before any photo, mm: by looking at the die. */
const BY_EYE = { face: 1, radius: 0.5 } as const;

/** What is believed before any photo. */
export function nothingYet(shape: DieState): Gathered {
  const faces = shape.distances.length;
  const n = faces + shape.radii.length;
  const { a } = normalOf({ ...shape, stands: [] }, [], [], SHAPE_PRIOR, CUT, NO_TAU);
  const common = (from: number, to: number, sd: number): void => {
    const w = 1 / (sd * (to - from)) ** 2;
    for (let i = from; i < to; i++) for (let j = from; j < to; j++) a[i * n + j]! += w;
  };
  common(0, faces, BY_EYE.face);
  common(faces, n, BY_EYE.radius);
  return { matrix: a, outward: new Float64Array(n) };
}

export const withShot = (gathered: Gathered, shot: ShotInformation, times = 1): Gathered => ({
  matrix: gathered.matrix.map((v, i) => v + times * shot.matrix[i]!),
  outward: gathered.outward.map((v, i) => v + times * shot.outward[i]!),
});

/** Covariance from noise alone, mm^2; null where the shots determine nothing. */
export function noiseCovariance({ matrix, outward }: Gathered): Float64Array | null {
  const n = outward.length;
  const l = cholesky(matrix, n, 0);
  return l && choleskyInverse(l, n).map((v) => v * HIDDEN * HIDDEN);
}

/** The doubt that shots will leave. @throws {RangeError} Where they determine nothing, which beliefs prevent. */
export function expected(shape: DieState, gathered: Gathered, common: CommonDoubt): Expected {
  const noise = noiseCovariance(gathered);
  if (noise === null) throw new RangeError('shots that determine nothing');
  const axes = axesOf(shape);
  const n = gathered.outward.length;
  const faces = shape.distances.length;
  // The fit follows edges that lie further out: covariance without the hidden part times their pull.
  const shift = Float64Array.from({ length: n }, (_, i) => {
    let s = 0;
    for (let j = 0; j < n; j++) s += noise[i * n + j]! * gathered.outward[j]!;
    return (-s * common.edge) / (HIDDEN * HIDDEN);
  });
  const size = Float64Array.from({ length: n }, (_, i) =>
    i < faces ? shape.distances[i]! * common.scale : shape.radii[i - faces]! * common.scale,
  );
  const dotRow = (row: Float64Array, v: Float64Array): number => row.reduce((s, r, i) => s + r * v[i]!, 0);
  const u = (row: Float64Array): number =>
    Math.sqrt(Math.max(0, bilinear(row, noise, row)) + dotRow(row, shift) ** 2 + dotRow(row, size) ** 2);
  const meanRow = Float64Array.from({ length: n }, (_, i) => axes.reduce((s, a) => s + a.row[i]!, 0) / axes.length);
  const radiusRow = Float64Array.from({ length: n }, (_, i) => (i < faces ? 0 : 1 / (n - faces)));
  return {
    axes: axes.map(({ name, row }) => ({ name, u: u(row), uDifference: u(row.map((v, i) => v - meanRow[i]!)) })),
    meanAxis: u(meanRow),
    meanRadius: u(radiusRow),
    merit: criterion(shape, gathered),
  };
}

/**
 * What a choice of shots makes small: the mean variance of the axes by noise, plus that of the radii at {@link RADIUS_WEIGHT}.
 *
 * A-optimality (Atkinson, Donev and Tobias, "Optimum experimental designs, with SAS", 2007, chapter 10): the common part of the
 * doubt, which no choice of shots changes much, is left out.
 */
export function criterion(shape: DieState, gathered: Gathered): number {
  return meritOf(rowsOf(shape), gathered.matrix, gathered.outward.length);
}

interface Rows {
  /** Per axis the indices and weights that are not zero. */
  readonly axes: readonly { readonly at: readonly number[]; readonly by: readonly number[] }[];
  readonly faces: number;
}

function rowsOf(shape: DieState): Rows {
  return {
    axes: axesOf(shape).map(({ row }) => {
      const at = [...row.keys()].filter((i) => row[i] !== 0);
      return { at, by: at.map((i) => row[i]!) };
    }),
    faces: shape.distances.length,
  };
}

function meritOf({ axes, faces }: Rows, matrix: Float64Array, n: number): number {
  const l = cholesky(matrix, n, 0);
  if (l === null) return Infinity;
  const c = choleskyInverse(l, n);
  let sum = 0;
  for (const { at, by } of axes)
    for (let p = 0; p < at.length; p++)
      for (let q = 0; q < at.length; q++) sum += (by[p]! * by[q]! * c[at[p]! * n + at[q]!]!) / axes.length;
  for (let i = faces; i < n; i++) sum += (RADIUS_WEIGHT * c[i * n + i]!) / (n - faces);
  return sum * HIDDEN * HIDDEN;
}

export interface Choice {
  /** Index of the candidate. */
  readonly index: number;
  readonly merit: number;
}

/** The candidates from the best on, by the doubt that each would leave; `among` all of them where left out. */
export function ranked(list: Candidates, gathered: Gathered, among?: readonly number[]): Choice[] {
  const rows = rowsOf(list.shape);
  const n = gathered.outward.length;
  const trial = new Float64Array(n * n);
  const indices = among ?? list.shots.map((_, i) => i);
  return indices
    .map((index): Choice => {
      const { matrix } = list.information(index);
      for (let i = 0; i < trial.length; i++) trial[i] = gathered.matrix[i]! + matrix[i]!;
      return { index, merit: meritOf(rows, trial, n) };
    })
    .sort((a, b) => a.merit - b.merit || a.index - b.index);
}

/** Candidates that a step of the greedy choice hands on to the exchange; all, as long as no more need then be tried. */
const HANDED_ON = 40;
const MOST_TRIED = 1500;
/** Rounds of exchange; more leave nothing to gain worth a photo. */
const ROUNDS = 3;

/**
 * Chooses shots: one after another, each the best beside those before, then each exchanged for a better one as long as there is one.
 *
 * Source of the exchange: Fedorov, "Theory of optimal experiments" (1972).
 *
 * @param taken  What photos that exist already say; they are kept.
 * @returns      Indices of candidates in the order in which they help most.
 */
export function chooseShots(list: Candidates, count: number, taken: Gathered = nothingYet(list.shape)): number[] {
  const chosen: number[] = [];
  const pool = new Set<number>();
  let gathered = taken;
  for (let k = 0; k < count; k++) {
    const untouched = k === 0 && gathered.outward.every((v) => v === 0);
    const order = ranked(list, gathered, untouched ? list.representatives : undefined);
    for (const { index } of order.slice(0, HANDED_ON)) pool.add(index);
    chosen.push(order[0]!.index);
    gathered = withShot(gathered, list.information(order[0]!.index));
  }
  const all = list.shots.map((_, i) => i);
  const among = count * all.length <= MOST_TRIED ? all : [...pool];
  return inOrder(list, exchanged(list, chosen, gathered, among), taken);
}

function exchanged(list: Candidates, chosen: readonly number[], all: Gathered, pool: readonly number[]): number[] {
  const now = [...chosen];
  let gathered = all;
  for (let round = 0; round < ROUNDS; round++) {
    let changed = false;
    for (let k = 0; k < now.length; k++) {
      const without = withShot(gathered, list.information(now[k]!), -1);
      const best = ranked(list, without, [...new Set([...pool, now[k]!])])[0]!;
      if (best.merit >= criterion(list.shape, gathered) * (1 - 1e-6)) continue;
      now[k] = best.index;
      gathered = withShot(without, list.information(best.index));
      changed = true;
    }
    if (!changed) break;
  }
  return now;
}

/** The same shots, the most helpful first: a person may stop at any of them. */
function inOrder(list: Candidates, shots: readonly number[], taken: Gathered): number[] {
  const left = [...shots];
  const out: number[] = [];
  let gathered = taken;
  while (left.length > 0) {
    const { index } = ranked(list, gathered, [...new Set(left)])[0]!;
    left.splice(left.indexOf(index), 1);
    out.push(index);
    gathered = withShot(gathered, list.information(index));
  }
  return out;
}
