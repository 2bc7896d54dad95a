import { failure, success, type Result } from '../result.ts';
import { descended, type Damping, type Slope } from './descent.ts';
import { cholesky, choleskyInverse, choleskySolve } from './linear.ts';

/** Fills `residual` (length m) and, where given, `jacobian` (m x n, row-major) at `x`. False where the model has no value there. */
export type Residuals = (x: Float64Array, residual: Float64Array, jacobian: Float64Array | null) => boolean;

export interface Limits {
  /** Stop when no component of the scaled gradient exceeds this. */
  readonly gradient: number;
  /** Stop when the relative step falls below this. */
  readonly step: number;
  /** Stop after this many accepted or refused steps. */
  readonly steps: number;
}

/** The defaults, and the only place that states them. */
export const LIMITS: Limits = { gradient: 1e-10, step: 1e-12, steps: 500 };

export interface Solution {
  readonly x: Float64Array;
  readonly stop: 'gradient' | 'step' | 'steps';
  readonly costBefore: number;
  /** Half the sum of squared residuals. */
  readonly cost: number;
  readonly steps: number;
  /** Sum of squared residuals over m - n; about 1 where residuals were whitened truly. NaN where m = n. */
  readonly reducedChiSquare: number;
  /** n x n, row-major, of `x`, if the residuals were whitened. */
  readonly covariance: Float64Array;
}

export type FitFailure =
  { readonly code: 'fit-rank'; readonly rank: number; readonly needed: number } | { readonly code: 'fit-start' };

/**
 * Minimises half the sum of squared residuals by Levenberg and Marquardt's method with Nielsen's damping.
 *
 * `residuals` must be whitened: each divided by its own sigma. Only then is `covariance` that of `x`; `reducedChiSquare` tells
 * whether the data agree. Rank loss is a failure, reported with its rank, never a large number.
 *
 * Source: Madsen, Nielsen, Tingleff, "Methods for non-linear least squares problems" (2004), algorithm 3.16.
 *
 * @param start  n numbers, not changed.
 * @param m      Number of residuals.
 */
export function minimise(
  residuals: Residuals,
  start: Float64Array,
  m: number,
  limits: Partial<Limits> = {},
): Result<Solution, FitFailure> {
  const { gradient, step, steps } = { ...LIMITS, ...limits };
  const n = start.length;
  const view = viewOf(residuals, m, n);
  const first = view.place(Float64Array.from(start));
  if (!first) return failure({ code: 'fit-start' });
  const largest = new Float64Array(n);
  /** Of the last try: what the linear model promised, and whether it was a step at all. */
  let promised = 0;
  let small = false;
  const slope: Slope<Place> = {
    entered: (place) => view.place(place.x)!,
    tried: ({ x, a, g }, damping) => {
      for (let i = 0; i < n; i++) largest[i] = Math.max(largest[i]!, a[i * n + i]!);
      const scale = largest.map((v) => v || 1);
      const h = dampedStep(a, g, scale, damping);
      small = h?.every((v, i) => Math.abs(v) <= step * (Math.abs(x[i]!) + step)) ?? false;
      if (!h) return null;
      promised = predictedGain(h, g, scale, damping);
      const next = x.map((v, i) => v - h[i]!);
      return { x: next, cost: view.cost(next), ...NOT_YET };
    },
    ends: (place, gain) => small || (gain !== null && isFlat(place, gradient)),
  };
  const run = isFlat(first, gradient)
    ? { place: first, stop: 'converged' as const, steps: 0 }
    : descended(
        first,
        slope,
        nielsens(() => promised),
        steps,
      );
  const at = run.place;
  const stop = run.stop === 'steps' ? 'steps' : small || run.stop === 'stuck' ? 'step' : 'gradient';
  const covariance = scaledInverse(at.a, n);
  if (typeof covariance === 'number') return failure({ code: 'fit-rank', rank: covariance, needed: n });
  const reducedChiSquare = m > n ? (2 * at.cost) / (m - n) : NaN;
  return success({
    ...{ x: at.x, stop, costBefore: first.cost, cost: at.cost, steps: run.steps },
    ...{ reducedChiSquare, covariance },
  });
}

/** Nielsen's damping: by how much of what the linear model promised a step gained; refused ones double the growth. */
function nielsens(promised: () => number): Damping {
  let growth = 2;
  return {
    start: 1e-3,
    most: 1e30,
    taken: (damping, gain) => {
      growth = 2;
      return damping * Math.max(1 / 3, 1 - ((2 * gain) / promised() - 1) ** 3);
    },
    refused: (damping) => {
      const grown = damping * growth;
      growth *= 2;
      return grown;
    },
  };
}

/** A point of the search: half the sum of squares there, its normal matrix (n x n) and gradient. */
interface Place {
  readonly x: Float64Array;
  readonly cost: number;
  readonly a: Float64Array;
  readonly g: Float64Array;
}

/** Of a place of which only the cost is asked so far. */
const NOT_YET = { a: new Float64Array(), g: new Float64Array() } as const;

interface View {
  /** Null where the model has no value. */
  place(x: Float64Array): Place | null;
  /** Infinity where the model has no value. */
  cost(x: Float64Array): number;
}

function viewOf(residuals: Residuals, m: number, n: number): View {
  const r = new Float64Array(m);
  const jacobian = new Float64Array(m * n);
  return {
    place: (x) =>
      residuals(x, r, jacobian) ? { x, cost: halfSquares(r), ...normalEquations(jacobian, r, m, n) } : null,
    cost: (x) => (residuals(x, r, null) ? halfSquares(r) : Infinity),
  };
}

/** Whether no residual's direction is left in the gradient: each component against the lengths of its column and of the residuals. */
const isFlat = ({ a, g, cost }: Place, limit: number): boolean =>
  g.every((v, i) => Math.abs(v) <= limit * Math.sqrt(a[i * g.length + i]! * 2 * cost + 1e-300));

function dampedStep(a: Float64Array, g: Float64Array, scale: Float64Array, damping: number): Float64Array | null {
  const n = g.length;
  const damped = a.slice();
  for (let i = 0; i < n; i++) damped[i * n + i] = damped[i * n + i]! + damping * scale[i]!;
  const l = cholesky(damped, n, 0);
  return l && choleskySolve(l, n, g);
}

/** What the linear model promises of a step. */
function predictedGain(h: Float64Array, g: Float64Array, scale: Float64Array, damping: number): number {
  let sum = 0;
  for (let i = 0; i < h.length; i++) sum += 0.5 * h[i]! * (damping * scale[i]! * h[i]! + g[i]!);
  return sum;
}

function halfSquares(r: Float64Array): number {
  let s = 0;
  for (const v of r) s += v * v;
  return s / 2;
}

function normalEquations(
  jacobian: Float64Array,
  r: Float64Array,
  m: number,
  n: number,
): { a: Float64Array; g: Float64Array } {
  const a = new Float64Array(n * n);
  const g = new Float64Array(n);
  for (let k = 0; k < m; k++) {
    const o = k * n;
    for (let i = 0; i < n; i++) {
      const v = jacobian[o + i]!;
      if (v === 0) continue;
      g[i] = g[i]! + v * r[k]!;
      for (let j = 0; j <= i; j++) a[i * n + j] = a[i * n + j]! + v * jacobian[o + j]!;
    }
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[j * n + i] = a[i * n + j]!;
  return { a, g };
}

/** Inverse of a symmetric matrix after scaling its diagonal to 1, or its numerical rank where that falls short of n. */
export function scaledInverse(a: Float64Array, n: number): Float64Array | number {
  const d = new Float64Array(n);
  for (let i = 0; i < n; i++) d[i] = 1 / Math.sqrt(a[i * n + i]! || 1);
  const s = scaledBy(d, a);
  const l = cholesky(s, n, 1e-14);
  return l ? scaledBy(d, choleskyInverse(l, n)) : rankOf(s, n);
}

/** A matrix with each row and column times a number. */
function scaledBy(d: Float64Array, a: Float64Array): Float64Array {
  const n = d.length;
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) out[i * n + j] = a[i * n + j]! * d[i]! * d[j]!;
  return out;
}

/** Rank of a symmetric semidefinite matrix with unit diagonal, by Cholesky with diagonal pivoting. */
function rankOf(input: Float64Array, n: number): number {
  const a = Float64Array.from(input);
  const left = Array.from({ length: n }, (_, i) => i);
  for (let rank = 0; rank < n; rank++) {
    const p = left.reduce((best, i) => (a[i * n + i]! > a[best * n + best]! ? i : best));
    const pivot = a[p * n + p]!;
    if (pivot < 1e-13) return rank;
    left.splice(left.indexOf(p), 1);
    for (const i of left) for (const j of left) a[i * n + j] = a[i * n + j]! - (a[i * n + p]! * a[p * n + j]!) / pivot;
  }
  return n;
}
