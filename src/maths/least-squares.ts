import { failure, success, type Result } from '../result.ts';
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

export type FitFailure = { readonly code: 'fit-rank'; readonly rank: number; readonly needed: number } | { readonly code: 'fit-start' };

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
export function minimise(residuals: Residuals, start: Float64Array, m: number, limits: Partial<Limits> = {}): Result<Solution, FitFailure> {
  const { gradient, step, steps } = { ...LIMITS, ...limits };
  const n = start.length;
  let x = Float64Array.from(start);
  let r = new Float64Array(m);
  let trial = new Float64Array(m);
  const jacobian = new Float64Array(m * n);
  if (!residuals(x, r, jacobian)) return failure({ code: 'fit-start' });
  const costBefore = halfSquares(r);
  let cost = costBefore;
  let { a, g } = normalEquations(jacobian, r, m, n);
  const scale = Float64Array.from({ length: n }, (_, i) => a[i * n + i]!);
  let damping = 1e-3;
  let growth = 2;
  let stop: Solution['stop'] = 'steps';
  let count = 0;
  for (; count < steps; count++) {
    if (g.every((v, i) => Math.abs(v) <= gradient * Math.sqrt(a[i * n + i]! * 2 * cost + 1e-300))) {
      stop = 'gradient';
      break;
    }
    for (let i = 0; i < n; i++) scale[i] = Math.max(scale[i]!, a[i * n + i]!);
    const damped = Float64Array.from(a);
    for (let i = 0; i < n; i++) damped[i * n + i] = damped[i * n + i]! + damping * (scale[i]! || 1);
    const l = cholesky(damped, n, 0);
    const h = l && choleskySolve(l, n, g);
    if (h) {
      const next = x.map((v, i) => v - h[i]!);
      const small = h.every((v, i) => Math.abs(v) <= step * (Math.abs(x[i]!) + step));
      const valid = residuals(next, trial, null);
      const nextCost = valid ? halfSquares(trial) : Infinity;
      let predicted = 0;
      for (let i = 0; i < n; i++) predicted += 0.5 * h[i]! * (damping * (scale[i]! || 1) * h[i]! + g[i]!);
      if (nextCost < cost) {
        const gain = (cost - nextCost) / predicted;
        x = next;
        residuals(x, trial, jacobian);
        [r, trial] = [trial, r];
        cost = nextCost;
        ({ a, g } = normalEquations(jacobian, r, m, n));
        damping *= Math.max(1 / 3, 1 - (2 * gain - 1) ** 3);
        growth = 2;
        if (small) {
          stop = 'step';
          break;
        }
        continue;
      }
      if (small) {
        stop = 'step';
        break;
      }
    }
    damping *= growth;
    growth *= 2;
    if (!(damping < 1e30)) {
      stop = 'step';
      break;
    }
  }
  const covariance = scaledInverse(a, n);
  if (typeof covariance === 'number') return failure({ code: 'fit-rank', rank: covariance, needed: n });
  return success({ x, stop, costBefore, cost, steps: count, reducedChiSquare: m > n ? (2 * cost) / (m - n) : NaN, covariance });
}

const halfSquares = (r: Float64Array): number => {
  let s = 0;
  for (const v of r) s += v * v;
  return s / 2;
};

function normalEquations(jacobian: Float64Array, r: Float64Array, m: number, n: number): { a: Float64Array; g: Float64Array } {
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
  const d = Float64Array.from({ length: n }, (_, i) => 1 / Math.sqrt(a[i * n + i]! || 1));
  const s = a.map((v, k) => v * d[Math.floor(k / n)]! * d[k % n]!);
  const l = cholesky(s, n, 1e-14);
  if (!l) return rankOf(s, n);
  return choleskyInverse(l, n).map((v, k) => v * d[Math.floor(k / n)]! * d[k % n]!);
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
