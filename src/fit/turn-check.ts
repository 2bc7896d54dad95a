import type { Outline } from '../geometry/outline.ts';
import { turnsOf, type SolidTurn } from '../geometry/symmetry.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';
import type { DieState, FitPhoto } from './die-state.ts';
import { normalOf, SHAPE_PRIOR, type ShapePrior } from './normal-equations.ts';
import type { Tau } from './stretches.ts';

/** How one photo agrees with the rest of its set. */
export interface TurnCheck {
  /** The photo's share of the cost per point of its outline: about 1/2 where the residuals are as large as their sigmas. */
  readonly cost: number;
  /** The numbers up and in front with which all photos together agree best, and by how much the cost then falls; the given ones and 0 if none does better. */
  readonly up: string;
  readonly front: string;
  readonly gain: number;
  /** Cost per point of all photos together as given, and with all the turns taken that lower it (one after another); the same for all photos. */
  readonly given: number;
  readonly left: number;
}

/**
 * Residual in sigmas at which a point's weight has fallen to a half: far out, since a photo whose numbers are wrong must not pass
 * for one with a few stray points.
 */
export const FAR_CUT = 12;
const CUT = FAR_CUT;
const NO_PRIOR: ShapePrior = { face: Infinity, radius: Infinity };

/** Cost of one photo's outline as a quadratic form in the shape: constant, gradient and matrix about the state's shape; its stand follows. */
interface ShapeForm {
  readonly cost: number;
  readonly g: Float64Array;
  readonly a: Float64Array;
}

/**
 * Whether a photo would agree better had its die stood another way: tries every turn of the true solid, one photo at a time, with the
 * shape free to follow.
 *
 * Linear about the fitted state, so that all turns of all photos cost little: what one photo says of the shape is permuted, added
 * to what the others say, and minimised. Faces that differ by less than the doubt of their distances cannot be told apart.
 *
 * @returns One per photo; null where it has no outline.
 */
export function turnChecks(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  tau: Tau,
): (TurnCheck | null)[] {
  const size = state.distances.length + state.radii.length;
  const shape = Float64Array.of(...state.distances, ...state.radii);
  const forms = photos.map((photo, i) => outlines[i] && shapeForm(state, photo, i, outlines[i], tau, size));
  const belief = beliefForm(state, photos[0]!, tau, size);
  const all = [belief, ...forms.filter((f) => f !== null && f !== undefined)];
  const sum: ShapeForm = {
    cost: 0,
    g: Float64Array.from({ length: size }, (_, k) => all.reduce((s, f) => s + f.g[k]!, 0)),
    a: Float64Array.from({ length: size * size }, (_, k) => all.reduce((s, f) => s + f.a[k]!, 0)),
  };
  const now = least(sum, size);
  const points = outlines.reduce((s, o) => s + (o?.sigma.length ?? 0), 0);
  const total = now + forms.reduce((s, f) => s + (f?.cost ?? 0), 0);
  const [given, left] = [total, total - jointGain(state.solid, sum, forms, shape, size)].map((c) => c / Math.max(1, points)) as [number, number]; // prettier-ignore
  return forms.map((form, i) => {
    const outline = outlines[i];
    if (!form || !outline) return null;
    const { shot } = photos[i]!;
    const { labels } = state.solid;
    let best = { up: shot.up, front: shot.front, gain: 0 };
    for (const turn of turnsOf(state.solid)) {
      const gain = now + form.cost - least(exchanged(sum, form, turn, shape, size), size);
      const named = (label: string): string => labels[turn.faces[labels.indexOf(label)]!]!;
      if (gain > best.gain + 1e-6) best = { up: named(shot.up), front: named(shot.front), gain };
    }
    return { cost: form.cost / Math.max(1, outline.sigma.length), given, left, ...best };
  });
}

/** Least fall of the cost for which another photo is turned as well. */
const WORTH_TURNING = 10;

/** How far the cost falls when photos are turned one after another, each time the one that gains most, until none gains. */
function jointGain(
  solid: DieState['solid'],
  given: ShapeForm,
  forms: readonly (ShapeForm | null | undefined)[],
  shape: Float64Array,
  size: number,
): number {
  const turns = turnsOf(solid);
  const open = new Set(forms.keys());
  let [sum, gained] = [given, 0];
  for (;;) {
    const now = least(sum, size);
    let best: { readonly i: number; readonly gain: number; readonly sum: ShapeForm } | null = null;
    for (const i of open) {
      const form = forms[i];
      if (!form) continue;
      for (const turn of turns) {
        const other = exchanged(sum, form, turn, shape, size);
        const gain = now + form.cost - least(other, size);
        if (gain > (best?.gain ?? WORTH_TURNING)) best = { i, gain, sum: { ...other, cost: 0 } };
      }
    }
    if (!best) return gained;
    gained += best.gain;
    // What the turned photo costs beside the form was counted once: from here on only the form changes.
    sum = best.sum;
    open.delete(best.i);
  }
}

/** The least value of a form, its matrix being positive definite; Infinity where it is not. */
function least({ cost, g, a }: ShapeForm, size: number): number {
  const l = cholesky(a, size, 0);
  if (!l) return Infinity;
  const h = choleskySolve(l, size, g);
  return cost - g.reduce((s, v, k) => s + v * h[k]!, 0) / 2;
}

/** The sum with one photo's form taken out and put in again as if its die had stood turned. */
function exchanged(sum: ShapeForm, form: ShapeForm, turn: SolidTurn, shape: Float64Array, size: number): ShapeForm {
  const faces = turn.faces.length;
  const to = Int32Array.from({ length: size }, (_, k) =>
    k < faces ? turn.faces[k]! : faces + turn.corners[k - faces]!,
  );
  const a = sum.a.slice();
  const g = sum.g.slice();
  let cost = form.cost;
  for (let k = 0; k < size; k++) {
    const moved = shape[to[k]!]! - shape[k]!;
    let slope = form.g[k]!;
    for (let j = 0; j < size; j++) {
      const v = form.a[k * size + j]!;
      slope += v * (shape[to[j]!]! - shape[j]!);
      a[k * size + j]! -= v;
      a[to[k]! * size + to[j]!]! += v;
    }
    cost += ((form.g[k]! + slope) / 2) * moved;
    g[k]! -= form.g[k]!;
    g[to[k]!]! += slope;
  }
  return { cost, a, g };
}

function shapeForm(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  tau: Tau,
  size: number,
): ShapeForm | null {
  const alone: DieState = { ...state, stands: [state.stands[i]!] };
  const n = size + 3;
  const none = normalOf(alone, [photo], [null], NO_PRIOR, CUT, tau);
  const { cost, a, g } = normalOf(alone, [photo], [outline], NO_PRIOR, CUT, tau);
  // The stand follows the shape: its three unknowns are taken out.
  const stand = Float64Array.from({ length: 9 }, (_, k) => a[(size + Math.floor(k / 3)) * n + size + (k % 3)]!);
  const l = cholesky(stand, 3, 0);
  if (!l) return null;
  const column = (j: number): Float64Array => Float64Array.from({ length: 3 }, (_, k) => a[(size + k) * n + j]!);
  const followed = Array.from({ length: size }, (_, j) => choleskySolve(l, 3, column(j)));
  const offset = choleskySolve(l, 3, g.subarray(size, n));
  const times = (p: Float64Array, q: Float64Array): number => p[0]! * q[0]! + p[1]! * q[1]! + p[2]! * q[2]!;
  const out = {
    cost: cost - none.cost - times(g.subarray(size, n), offset) / 2,
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

function beliefForm(state: DieState, photo: FitPhoto, tau: Tau, size: number): ShapeForm {
  const n = size + 3;
  const { a, g } = normalOf({ ...state, stands: [state.stands[0]!] }, [photo], [null], SHAPE_PRIOR, CUT, tau);
  return {
    cost: 0,
    g: g.slice(0, size),
    a: Float64Array.from({ length: size * size }, (_, k) => a[Math.floor(k / size) * n + (k % size)]!),
  };
}
