import * as at from './layout';
import { takeCurves } from './look';
import { accumulate, cellOf } from './sums';

/** Most that an offset moves in a step, and what it stands from below, px. */
const STRIDE: f64 = 1;
const SETTLED: f64 = 4e-3;
/** A pivot below this share of its diagonal is none. */
const SINGULAR: f64 = 1e-12;

/** Moves a segment's unknowns, with so many looks at its pixels at most, to where they stand; false where they are not told apart. */
export function settle(count: i32, looks: i32, inward: f64, outward: f64): bool {
  takeCurves();
  for (let look = 0; look < looks; look++) {
    accumulate(count, look > 0, false);
    if (!factored()) return false;
    solve(at.GRADIENT, at.STEPS);
    const step = load<f64>(at.STEPS);
    const offset = load<f64>(at.LOCAL) + max(-STRIDE, min(STRIDE, step));
    store<f64>(at.LOCAL, max(-inward, min(outward, offset)));
    for (let i: usize = 8; i < 40; i += 8) store<f64>(at.LOCAL + i, load<f64>(at.LOCAL + i) + load<f64>(at.STEPS + i));
    if (look > 0 && abs(step) < SETTLED) break;
  }
  return true;
}

/** Adds the beliefs to the normal equations and factors the unknowns' block (Cholesky, lower triangle); false where it is singular. */
export function factored(): bool {
  for (let a = 0; a < 5; a++) {
    const i = (<usize>a) << 3;
    const belief = load<f64>(at.BELIEFS + i);
    const w = 1 / (belief * belief);
    store<f64>(cellOf(a, a), load<f64>(cellOf(a, a)) + w);
    store<f64>(at.GRADIENT + i, load<f64>(at.GRADIENT + i) - w * load<f64>(at.LOCAL + i));
    if (!factorRow(a)) return false;
  }
  return true;
}

/** A row of the factor, after those before it. */
function factorRow(a: i32): bool {
  const row = factorOf(a, 0);
  for (let b = 0; b <= a; b++) {
    const other = factorOf(b, 0);
    const whole = load<f64>(cellOf(a, b));
    let s = whole;
    for (let k: usize = 0; k < (<usize>b) << 3; k += 8) s -= load<f64>(row + k) * load<f64>(other + k);
    if (b < a) store<f64>(factorOf(a, b), s / load<f64>(factorOf(b, b)));
    else if (s > SINGULAR * abs(whole)) store<f64>(factorOf(a, a), sqrt(s));
    else return false;
  }
  return true;
}

function factorOf(row: i32, column: i32): usize {
  return at.FACTOR + ((<usize>(row * 5 + column)) << 3);
}

/** How the unknowns go along with so many changes, and with the gradient. */
export function solveChanges(changes: i32): void {
  for (let t = 0; t < changes; t++) solve(cellOf(5 + t, 0), at.SOLVED + 40 * <usize>t);
  solve(at.GRADIENT, at.SOLVED + 240);
}

/** Solves the unknowns' block for a right side. */
function solve(right: usize, out: usize): void {
  for (let i = 0; i < 5; i++) {
    let s = load<f64>(right + ((<usize>i) << 3));
    for (let k = 0; k < i; k++) s -= load<f64>(factorOf(i, k)) * load<f64>(out + ((<usize>k) << 3));
    store<f64>(out + ((<usize>i) << 3), s / load<f64>(factorOf(i, i)));
  }
  for (let i = 4; i >= 0; i--) {
    let s = load<f64>(out + ((<usize>i) << 3));
    for (let k = i + 1; k < 5; k++) s -= load<f64>(factorOf(k, i)) * load<f64>(out + ((<usize>k) << 3));
    store<f64>(out + ((<usize>i) << 3), s / load<f64>(factorOf(i, i)));
  }
}
