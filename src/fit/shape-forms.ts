import type { Outline } from '../geometry/outline.ts';
import type { SolidTurn } from '../geometry/symmetry.ts';
import { cholesky, choleskyInPlace, choleskySolve, choleskySolveInto } from '../maths/linear.ts';
import { shapeCount, type DieState, type FitPhoto } from './die-state.ts';
import { normalOf, SHAPE_PRIOR, type ShapePrior } from './normal-equations.ts';
import type { Tau } from './stretches.ts';

const NO_PRIOR: ShapePrior = { face: Infinity, radius: Infinity };

/**
 * Cost of one photo's outline as a quadratic form in the shape (distances, then radii): constant, gradient and matrix about the state's
 * shape; its stand follows, crowns are held. `g` has an entry a length (per mm), `a` is row-major (per mm^2).
 */
export interface ShapeForm {
  readonly cost: number;
  readonly g: Float64Array;
  readonly a: Float64Array;
}

/** The least value of a form, its matrix being positive definite; Infinity where it is not. */
export const least = ({ cost, g, a }: ShapeForm, size: number): number =>
  leastInPlace(cost, g, a.slice(), new Float64Array(size));

/** The same; `a` and `x`, as many numbers as `g`, are overwritten. */
export function leastInPlace(cost: number, g: Float64Array, a: Float64Array, x: Float64Array): number {
  const size = g.length;
  if (!choleskyInPlace(a, size, 0)) return Infinity;
  choleskySolveInto(a, size, g, x);
  let sum = 0;
  for (let k = 0; k < size; k++) sum += g[k]! * -x[k]!;
  return cost + sum / 2;
}

/** Change of the shape at which a form is least; null where its matrix is not positive definite. */
export function change({ g, a }: ShapeForm, size: number): Float64Array | null {
  const l = cholesky(a, size, 0);
  return l && choleskySolve(l, size, g).map((v) => -v);
}

/** Where a turn takes the numbers of a shape, which are distances, then radii. */
export function turnedPlaces({ faces, corners }: SolidTurn): Int32Array {
  const to = new Int32Array(faces.length + corners.length);
  to.set(faces);
  for (const [k, corner] of corners.entries()) to[faces.length + k] = faces.length + corner;
  return to;
}

/**
 * Adds a photo's form as if its die had stood turned, in place; `shape` is what the forms are about, `to` the {@link turnedPlaces}. Returns what it
 * costs there.
 */
export function addTurned(
  g: Float64Array,
  a: Float64Array,
  form: ShapeForm,
  to: Int32Array,
  shape: Float64Array,
): number {
  const size = g.length;
  let cost = form.cost;
  for (let k = 0; k < size; k++) {
    const moved = shape[to[k]!]! - shape[k]!;
    let slope = form.g[k]!;
    for (let j = 0; j < size; j++) {
      const v = form.a[k * size + j]!;
      slope += v * (shape[to[j]!]! - shape[j]!);
      a[to[k]! * size + to[j]!]! += v;
    }
    cost += ((form.g[k]! + slope) / 2) * moved;
    g[to[k]!]! += slope;
  }
  return cost;
}

/** The form of one photo; null where its outline leaves the stand open. `cut` is the residual, sigmas, at which a point's weight has fallen to a half. */
export function shapeForm(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  tau: Tau,
  cut: number,
): ShapeForm | null {
  const alone: DieState = { ...state, stands: [state.stands[i]!] };
  const size = state.distances.length + state.radii.length;
  const at = shapeCount(state);
  const n = at + 3;
  const none = normalOf(alone, [photo], [null], NO_PRIOR, cut, tau);
  const { cost, a, g } = normalOf(alone, [photo], [outline], NO_PRIOR, cut, tau);
  // The stand follows the shape: its three unknowns are taken out.
  const stand = Float64Array.from({ length: 9 }, (_, k) => a[(at + Math.floor(k / 3)) * n + at + (k % 3)]!);
  const l = cholesky(stand, 3, 0);
  if (!l) return null;
  const pull = g.slice(at, n);
  const offset = choleskySolve(l, 3, pull);
  const [columns, followed] = [new Float64Array(3 * size), new Float64Array(3 * size)];
  for (let j = 0; j < size; j++) {
    for (let k = 0; k < 3; k++) columns[3 * j + k] = a[(at + k) * n + j]!;
    followed.set(choleskySolve(l, 3, columns.slice(3 * j, 3 * j + 3)), 3 * j);
  }
  const out = {
    cost: cost - none.cost - product3(pull, 0, offset, 0) / 2,
    g: new Float64Array(size),
    a: new Float64Array(size * size),
  };
  for (let k = 0; k < size; k++) {
    out.g[k] = g[k]! - none.g[k]! - product3(columns, k, offset, 0);
    for (let j = 0; j < size; j++)
      out.a[k * size + j] = a[k * n + j]! - none.a[k * n + j]! - product3(columns, k, followed, j);
  }
  return out;
}

/** Product of the i-th three numbers of `p` with the j-th of `q`. */
const product3 = (p: Float64Array, i: number, q: Float64Array, j: number): number =>
  p[3 * i]! * q[3 * j]! + p[3 * i + 1]! * q[3 * j + 1]! + p[3 * i + 2]! * q[3 * j + 2]!;

/** What is believed of the shape beside all photos. */
export function beliefForm(state: DieState, photo: FitPhoto, tau: Tau, cut: number): ShapeForm {
  const size = state.distances.length + state.radii.length;
  const n = shapeCount(state) + 3;
  const { a, g } = normalOf({ ...state, stands: [state.stands[0]!] }, [photo], [null], SHAPE_PRIOR, cut, tau);
  const own = new Float64Array(size * size);
  for (let i = 0; i < size; i++) own.set(a.subarray(i * n, i * n + size), i * size);
  return { cost: 0, g: g.slice(0, size), a: own };
}
