import type { Outline } from '../geometry/outline.ts';
import type { SolidTurn } from '../geometry/symmetry.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';
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
export function least({ cost, g, a }: ShapeForm, size: number): number {
  const h = change({ cost, g, a }, size);
  return h ? cost + g.reduce((s, v, k) => s + v * h[k]!, 0) / 2 : Infinity;
}

/** Change of the shape at which a form is least; null where its matrix is not positive definite. */
export function change({ g, a }: ShapeForm, size: number): Float64Array | null {
  const l = cholesky(a, size, 0);
  return l && choleskySolve(l, size, g).map((v) => -v);
}

/** Adds a photo's form as if its die had stood turned, in place; `shape` is what the forms are about. Returns what it costs there. */
export function addTurned(
  g: Float64Array,
  a: Float64Array,
  form: ShapeForm,
  turn: SolidTurn,
  shape: Float64Array,
): number {
  const size = g.length;
  const faces = turn.faces.length;
  const to = Int32Array.from({ length: size }, (_, k) =>
    k < faces ? turn.faces[k]! : faces + turn.corners[k - faces]!,
  );
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
  const column = (j: number): Float64Array => Float64Array.from({ length: 3 }, (_, k) => a[(at + k) * n + j]!);
  const followed = Array.from({ length: size }, (_, j) => choleskySolve(l, 3, column(j)));
  const offset = choleskySolve(l, 3, g.subarray(at, n));
  const times = (p: Float64Array, q: Float64Array): number => p[0]! * q[0]! + p[1]! * q[1]! + p[2]! * q[2]!;
  const out = {
    cost: cost - none.cost - times(g.subarray(at, n), offset) / 2,
    g: new Float64Array(size),
    a: new Float64Array(size * size),
  };
  for (let k = 0; k < size; k++) {
    const c = column(k);
    out.g[k] = g[k]! - none.g[k]! - times(c, offset);
    for (let j = 0; j < size; j++) out.a[k * size + j] = a[k * n + j]! - none.a[k * n + j]! - times(c, followed[j]!);
  }
  return out;
}

/** What is believed of the shape beside all photos. */
export function beliefForm(state: DieState, photo: FitPhoto, tau: Tau, cut: number): ShapeForm {
  const size = state.distances.length + state.radii.length;
  const n = shapeCount(state) + 3;
  const { a, g } = normalOf({ ...state, stands: [state.stands[0]!] }, [photo], [null], SHAPE_PRIOR, cut, tau);
  return {
    cost: 0,
    g: g.slice(0, size),
    a: Float64Array.from({ length: size * size }, (_, k) => a[Math.floor(k / size) * n + (k % size)]!),
  };
}
