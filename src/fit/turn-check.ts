import type { Outline } from '../geometry/outline.ts';
import { turnsOf } from '../geometry/symmetry.ts';
import type { DieState, FitPhoto } from './die-state.ts';
import { addTurned, beliefForm, least, leastInPlace, shapeForm, turnedPlaces, type ShapeForm } from './shape-forms.ts';
import type { Tau } from './stretches.ts';

/** How one photo agrees with the rest of its set. */
export interface TurnCheck {
  /** The numbers up and in front with which all photos together agree best, and by how much the cost then falls; the given ones and 0 if none does better. */
  readonly up: string;
  readonly front: string;
  readonly gain: number;
  /** Cost per point of all photos together as given, and with all the turns taken that lower it (one after another); the same for all photos. */
  readonly given: number;
  readonly left: number;
}

/** What photos say of a die's shape, each by itself. */
export interface PhotoForms {
  /** Each photo's share of the cost per point of its outline: about 1/2 where the residuals are as large as their sigmas; null where it has no outline. */
  readonly costs: readonly (number | null)[];
  /**
   * Whether a photo would agree better had its die stood another way: tries every turn of the true solid, one photo at a time, with the
   * shape free to follow.
   *
   * Linear about the fitted state, so that all turns of all photos cost little: what one photo says of the shape is permuted, added
   * to what the others say, and minimised. Faces that differ by less than the doubt of their distances cannot be told apart.
   *
   * @returns One per photo; null where it has no outline.
   */
  turnChecks(): (TurnCheck | null)[];
}

/**
 * Residual in sigmas at which a point's weight has fallen to a half: far out, since a photo whose numbers are wrong must not pass
 * for one with a few stray points.
 */
export const FAR_CUT = 12;
const CUT = FAR_CUT;

/** What each photo says of a fitted die's shape; see {@link PhotoForms}. */
export function photoForms(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  tau: Tau,
): PhotoForms {
  const forms = photos.map((photo, i) => outlines[i] && shapeForm(state, photo, i, outlines[i], tau, CUT));
  return {
    costs: forms.map((form, i) => (form ? form.cost / Math.max(1, outlines[i]!.sigma.length) : null)),
    turnChecks: () => turnChecks(state, photos, outlines, forms, beliefForm(state, photos[0]!, tau, CUT)),
  };
}

function turnChecks(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  forms: readonly (ShapeForm | null)[],
  belief: ShapeForm,
): (TurnCheck | null)[] {
  const size = state.distances.length + state.radii.length;
  const shape = Float64Array.of(...state.distances, ...state.radii);
  const all = [belief, ...forms.filter((f) => f !== null)];
  const sum: ShapeForm = { cost: 0, g: new Float64Array(size), a: new Float64Array(size * size) };
  for (const form of all) {
    add(form.g, sum.g);
    add(form.a, sum.a);
  }
  const now = least(sum, size);
  const points = outlines.reduce((s, o) => s + (o?.sigma.length ?? 0), 0);
  const total = now + forms.reduce((s, f) => s + (f?.cost ?? 0), 0);
  const turns = turnsOf(state.solid);
  const places = turns.map(turnedPlaces);
  const gains = forms.map((form) => (form ? gainsOf(now, sum, form, places, shape) : null));
  const perPoint = (cost: number): number => cost / Math.max(1, points);
  const given = perPoint(total);
  const left = perPoint(total - jointGain(places, sum, forms, gains, shape, size));
  return forms.map((form, i) => {
    if (!form) return null;
    const { shot } = photos[i]!;
    const { labels } = state.solid;
    let best = { up: shot.up, front: shot.front, gain: 0 };
    for (const [t, turn] of turns.entries()) {
      const gain = gains[i]![t]!;
      const named = (label: string): string => labels[turn.faces[labels.indexOf(label)]!]!;
      if (gain > best.gain + 1e-6) best = { up: named(shot.up), front: named(shot.front), gain };
    }
    return { given, left, ...best };
  });
}

/** Least fall of the cost for which another photo is turned as well. */
const WORTH_TURNING = 10;

/**
 * How far the cost falls when photos are turned one after another, each time the one that gains most, until none gains.
 *
 * @param first  How far it falls by each turn of each photo alone.
 */
function jointGain(
  places: readonly Int32Array[],
  given: ShapeForm,
  forms: readonly (ShapeForm | null)[],
  first: readonly (readonly number[] | null)[],
  shape: Float64Array,
  size: number,
): number {
  const open = new Set(forms.keys());
  let sum = given;
  let gained = 0;
  let gains = first;
  for (;;) {
    let best: { readonly i: number; readonly t: number; readonly gain: number } | null = null;
    for (const i of open)
      for (const [t, gain] of gains[i]?.entries() ?? [])
        if (gain > (best?.gain ?? WORTH_TURNING)) best = { i, t, gain };
    if (!best) return gained;
    gained += best.gain;
    // What the turned photo costs beside the form was counted once: from here on only the form changes.
    sum = { ...exchanged(sum, forms[best.i]!, places[best.t]!, shape), cost: 0 };
    open.delete(best.i);
    const now = least(sum, size);
    gains = forms.map((form, i) => (form && open.has(i) ? gainsOf(now, sum, form, places, shape) : null));
  }
}

/** The sum with one photo's form taken out and put in again as if its die had stood turned. */
function exchanged(sum: ShapeForm, form: ShapeForm, to: Int32Array, shape: Float64Array): ShapeForm {
  const { g, a } = without(sum, form);
  return { cost: addTurned(g, a, form, to, shape), a, g };
}

/** How far the cost falls from `now` by each turn of one photo. */
function gainsOf(
  now: number,
  sum: ShapeForm,
  form: ShapeForm,
  places: readonly Int32Array[],
  shape: Float64Array,
): number[] {
  const rest = without(sum, form);
  const [g, a, x] = [rest.g.slice(), rest.a.slice(), rest.g.slice()];
  const out: number[] = [];
  for (const to of places) {
    g.set(rest.g);
    a.set(rest.a);
    const cost = addTurned(g, a, form, to, shape);
    out.push(now + form.cost - leastInPlace(cost, g, a, x));
  }
  return out;
}

/** A sum's gradient and matrix without one photo's. */
function without(sum: ShapeForm, form: ShapeForm): Pick<ShapeForm, 'g' | 'a'> {
  const [g, a] = [sum.g.slice(), sum.a.slice()];
  for (let k = 0; k < g.length; k++) g[k]! -= form.g[k]!;
  for (let k = 0; k < a.length; k++) a[k]! -= form.a[k]!;
  return { g, a };
}

function add(what: Float64Array, to: Float64Array): void {
  for (let k = 0; k < to.length; k++) to[k]! += what[k]!;
}
