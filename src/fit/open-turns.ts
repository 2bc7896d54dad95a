import type { Outline } from '../geometry/outline.ts';
import { turnsOf, type SolidTurn } from '../geometry/symmetry.ts';
import type { DieState, FitPhoto } from './die-state.ts';
import { addTurned, beliefForm, change, least, shapeForm, turnedPlaces, type ShapeForm } from './shape-forms.ts';
import type { Tau } from './stretches.ts';
import { FAR_CUT } from './turn-check.ts';

export const OPEN_TURNS = {
  /** Of all ways in which photos may stand together so many are followed. */
  followed: 200,
  /**
   * Costs are divided by it before chances are made of them: a photo's outline errs as a whole (curl, light). Right sets showed other
   * turns better by up to 10 and 15 (see `AGREEMENT`), which must stay a chance worth counting.
   */
  temper: 4,
  /** No front is surer than this by outlines alone: those of all photos may err alike. */
  least: 1e-3,
} as const;

/** A front that a photo may have beside the one it was fitted with, natural log of its chance beforehand. */
export interface OpenFront {
  readonly front: string;
  readonly log: number;
}

/** What outlines say of fronts that were left open. */
export interface OpenAnswer {
  /** The likeliest front of each photo (the fitted one where none was open), and the chance that it is another. */
  readonly fronts: readonly { readonly front: string; readonly chance: number }[];
  /** What the open turns add to the doubt of distances and radii: the sum of these columns times themselves, mm^2. */
  readonly shifts: readonly Float64Array[];
}

/** Ways of some photos together: their forms' sum, and which front each has. */
interface Together extends ShapeForm {
  readonly log: number;
  readonly chosen: readonly number[];
}

/**
 * Weighs the fronts that nothing but the outlines tell apart, all photos together, the shape free to follow.
 *
 * Linear about the fitted state. Where a die's axes differ by more than their doubt the outlines tell which is which; where not, the lengths
 * hardly hang on it, and how far they do goes into the doubt: second moments about the likeliest ways.
 *
 * @param open  Per photo its fronts, the fitted one among them; null or one where nothing is open.
 */
export function openTurns(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  tau: Tau,
  open: readonly (readonly OpenFront[] | null)[],
): OpenAnswer {
  const shape = Float64Array.of(...state.distances, ...state.radii);
  const size = shape.length;
  const forms = photos.map((p, i) => (outlines[i] ? shapeForm(state, p, i, outlines[i], tau, FAR_CUT) : null));
  const start: ShapeForm = beliefForm(state, photos[0]!, tau, FAR_CUT);
  let all: Together[] = [{ ...start, log: 0, chosen: [] }];
  // Photos whose numbers are known come first: they hold the shape before others are weighed.
  const order = [...photos.keys()].sort((i, j) => Number(isOpen(open[i])) - Number(isOpen(open[j])));
  for (const i of order) {
    const options = turnOptions(state, photos[i]!, open[i] ?? null);
    all = followed(
      all.flatMap((t) => options.map((o, k) => joined(t, forms[i] ?? null, o, k, shape))),
      size,
    );
  }
  const costs = all.map((t) => least(t, size) / OPEN_TURNS.temper - t.log);
  const lowest = Math.min(...costs);
  const weights = costs.map((c) => Math.exp(lowest - c));
  const sum = weights.reduce((s, w) => s + w, 0);
  const best = all[costs.indexOf(lowest)]!;
  const from = change(best, size)!;
  const moments = new Float64Array(size * size);
  all.forEach((t, k) => {
    const off = change(t, size)!.map((v, p) => v - from[p]!);
    for (let p = 0; p < size; p++)
      for (let q = 0; q < size; q++) moments[p * size + q]! += (weights[k]! / sum) * off[p]! * off[q]!;
  });
  const fronts = photos.map(({ shot }, i) => {
    const place = order.indexOf(i);
    const same = all.reduce((s, t, k) => s + (t.chosen[place] === best.chosen[place] ? weights[k]! : 0), 0);
    return {
      front: open[i]?.[best.chosen[place]!]?.front ?? shot.front,
      chance: Math.max(OPEN_TURNS.least, 1 - same / sum),
    };
  });
  return { fronts, shifts: columnsOf(moments, size) };
}

const isOpen = (fronts: readonly OpenFront[] | null | undefined): boolean => (fronts?.length ?? 0) > 1;

interface TurnOption {
  readonly turn: SolidTurn | null;
  readonly log: number;
}

/** The turns of the true die that leave the number up and bring another to the front; null is none. */
function turnOptions({ solid }: DieState, { shot }: FitPhoto, fronts: readonly OpenFront[] | null): TurnOption[] {
  if (fronts === null) return [{ turn: null, log: 0 }];
  const [up, front] = [solid.labels.indexOf(shot.up), solid.labels.indexOf(shot.front)];
  return fronts.map(({ front: other, log }) => {
    const to = solid.labels.indexOf(other);
    return { turn: turnsOf(solid).find((t) => t.faces[up] === up && t.faces[front] === to) ?? null, log };
  });
}

function joined(
  t: Together,
  form: ShapeForm | null,
  { turn, log }: TurnOption,
  k: number,
  shape: Float64Array,
): Together {
  const chosen = [...t.chosen, k];
  if (form === null) return { ...t, log: t.log + log, chosen };
  const [g, a] = [t.g.slice(), t.a.slice()];
  let cost = t.cost + form.cost;
  if (turn) cost = t.cost + addTurned(g, a, form, turnedPlaces(turn), shape);
  else {
    for (let p = 0; p < g.length; p++) g[p]! += form.g[p]!;
    for (let p = 0; p < a.length; p++) a[p]! += form.a[p]!;
  }
  return { cost, g, a, log: t.log + log, chosen };
}

/** The likeliest ways. */
function followed(all: readonly Together[], size: number): Together[] {
  if (all.length <= OPEN_TURNS.followed) return [...all];
  const cost = new Map(all.map((t) => [t, least(t, size) / OPEN_TURNS.temper - t.log]));
  return [...all].sort((p, q) => cost.get(p)! - cost.get(q)!).slice(0, OPEN_TURNS.followed);
}

/** Columns whose products with themselves sum up to a matrix of second moments: Cholesky's, the largest left first. */
function columnsOf(moments: Float64Array, size: number): Float64Array[] {
  const left = moments.slice();
  const first = Math.max(...Array.from({ length: size }, (_, p) => left[p * size + p]!));
  const out: Float64Array[] = [];
  for (let round = 0; round < size; round++) {
    let at = 0;
    for (let p = 1; p < size; p++) if (left[p * size + p]! > left[at * size + at]!) at = p;
    const pivot = left[at * size + at]!;
    if (!(pivot > 1e-9 * first) || !(pivot > 1e-14)) break;
    const column = Float64Array.from({ length: size }, (_, p) => left[p * size + at]! / Math.sqrt(pivot));
    out.push(column);
    for (let p = 0; p < size; p++) for (let q = 0; q < size; q++) left[p * size + q]! -= column[p]! * column[q]!;
  }
  return out;
}
