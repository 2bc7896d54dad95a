import type { Outline } from '../geometry/outline.ts';
import { parameterCount, type DieState, type FitPhoto } from './die-state.ts';
import { WIDTH, passingRows, type PhotoRows } from './photo-rows.ts';

/**
 * Sums over one stretch of one photo's outline: the skin between two corners, or one corner's own.
 *
 * What the model of the light leaves is alike along such a stretch, so its points are not independent witnesses.
 */
export interface Stretch {
  /** Place in {@link Tau}. */
  kind: number;
  /** Mean height over the card, mm. */
  height: number;
  weight: number;
  residual: number;
  /** Of its mean residual by each parameter, px per mm or radian. */
  derivative: Float64Array;
  points: number;
  /** Sums of the points' strains, and of how their skin's light changes. */
  strain: number;
  skin: number;
  /** How many times more its photo's stretches may lie off. */
  loose: number;
  /** Whether it lies on a crowned face seen edge-on: the light there is less sure. */
  grazing: boolean;
}

/**
 * Standard deviations of the stretches' own offsets, px: of edges in the open and of edges close over the card (its shadow and what
 * shadowed surfaces mirror), both per unit of strain, and of corners. All 0: points are independent.
 */
export type Tau = readonly [open: number, low: number, corner: number];

export const NO_TAU: Tau = [0, 0, 0];
const [OPEN, NEAR_CARD, CORNER] = [0, 1, 2] as const;

/** A stretch is low where its mean height is below this share of the mean axis. */
const LOW = 0.1;

/** Which stretch each point of an outline belongs to; the stretches' kinds, how loose they are, and which lie on a crowned face. */
export interface Division {
  readonly of: Int32Array;
  readonly kinds: readonly number[];
  readonly looseness: readonly number[];
  readonly grazing: readonly boolean[];
}

/** How the outlines divide into stretches at a state; null for left-out photos. */
export function divisions(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  cut: number,
): (Division | null)[] {
  const out: (Division | null)[] = [];
  for (let i = 0; i < photos.length; i++) {
    const outline = outlines[i];
    out.push(outline ? divisionOf(state, photos[i]!, i, outline, cut) : null);
  }
  return out;
}

function divisionOf(state: DieState, photo: FitPhoto, i: number, outline: Outline, cut: number): Division {
  const rows = passingRows(state, photo, i, outline, false);
  const sums = stretches(rows, outline, cut, state, false);
  const places = new Map<number, number>();
  const kinds: number[] = [];
  const loose: number[] = [];
  const grazing: boolean[] = [];
  for (const [key, stretch] of sums) {
    places.set(key, places.size);
    kinds.push(stretch.kind);
    loose.push(looseness(stretch));
    grazing.push(stretch.grazing);
  }
  const of = new Int32Array(rows.count);
  for (let k = 0; k < rows.count; k++) of[k] = places.get(stretchKey(rows, k, state))!;
  return { of, kinds, looseness: loose, grazing };
}

/** Number of the stretch that a point belongs to: of its one or two corners, or of the crowned face that it touches. */
export function stretchKey(rows: PhotoRows, k: number, state: DieState): number {
  const a = rows.firstCorner[k]!;
  const b = rows.secondCorner[k]!;
  return a < 0 || b < 0 ? Math.min(a, b) : Math.min(a, b) * state.radii.length + Math.max(a, b);
}

/** What the points of an outline say of themselves. */
type Witness = Pick<Outline, 'sigma' | 'strain' | 'skin' | 'loose'>;

/** Adds one point to the sums of its stretch. */
function addPoint(
  s: Stretch,
  rows: PhotoRows,
  k: number,
  { sigma, strain, skin, loose = 1 }: Witness,
  cut: number,
  derivative: boolean,
): void {
  const z = rows.residual[k]! / sigma[k]!;
  const w = 1 / ((1 + (z / cut) ** 2) * sigma[k]! ** 2);
  s.weight += w;
  s.residual += w * rows.residual[k]!;
  s.points++;
  s.strain += strain ? strain[k]! : 1;
  s.skin += skin ? skin[k]! : 0;
  s.loose = loose;
  s.height += rows.height[k]!;
  if (!derivative) return;
  const { index, value } = rows;
  const sums = s.derivative;
  for (let p = k * WIDTH, end = p + WIDTH; p < end && index[p]! >= 0; p++) sums[index[p]!]! += w * value[p]!;
}

const emptyStretch = (kind: number, n: number, grazing = false): Stretch => ({
  kind,
  grazing,
  height: 0,
  weight: 0,
  residual: 0,
  derivative: new Float64Array(n),
  points: 0,
  strain: 0,
  skin: 0,
  loose: 1,
});

/** Sums over the stretches of one photo's outline, with robust weights. */
export function stretches(
  rows: PhotoRows,
  outline: Witness,
  cut: number,
  state: DieState,
  withDerivative = true,
): Map<number, Stretch> {
  const n = withDerivative ? parameterCount(state) : 0;
  const low = 2 * LOW * (state.distances.reduce((s, d) => s + d, 0) / state.distances.length);
  const out = new Map<number, Stretch>();
  for (let k = 0; k < rows.count; k++) {
    const key = stretchKey(rows, k, state);
    let s = out.get(key);
    if (!s)
      out.set(
        key,
        (s = emptyStretch(key >= 0 && rows.firstCorner[k] === rows.secondCorner[k] ? CORNER : OPEN, n, key < 0)),
      );
    addPoint(s, rows, k, outline, cut, withDerivative);
  }
  for (const s of out.values()) {
    s.height /= s.points;
    if (s.height < low) s.kind = NEAR_CARD;
  }
  return out;
}

/** Least strain of an edge: light that slopes hardly at all is still no better known. */
const LEAST_STRAIN = 0.5;

/**
 * How many times larger than the tau of its kind a stretch's own offset may be: an edge's as its strain says; a corner's, whose few px show
 * no such link, as its skin's pattern says.
 */
export const looseness = (s: Stretch): number =>
  s.loose * (s.kind === CORNER ? Math.max(1, s.skin / s.points) : Math.max(LEAST_STRAIN, s.strain / s.points));

/** Variance of a stretch's own offset, px^2. */
export const ownVariance = (s: Stretch, tau: Tau): number => varianceOf(s.kind, looseness(s), s.grazing, tau);

const varianceOf = (kind: number, loose: number, grazing: boolean, tau: Tau): number =>
  (tau[kind]! * loose) ** 2 + (grazing ? GRAZING_TAU ** 2 : 0);

/** The same of all stretches of an outline, into `out`. */
export function ownVariances({ kinds, looseness: loose, grazing }: Division, tau: Tau, out: Float64Array): void {
  for (let i = 0; i < kinds.length; i++) out[i] = varianceOf(kinds[i]!, loose[i]!, grazing[i]!, tau);
}

/** Standard deviation of what a stretch on a crowned face lies off besides, px: what two sets of known crowns showed; see README.md. */
const GRAZING_TAU = 0.1;

/** Takes a stretch's own offset out of the normal equations, their lower triangle; returns what that takes off the cost. */
export function takeOut(s: Stretch, tau: Tau, a: Float64Array, g: Float64Array, n: number): number {
  const v2 = ownVariance(s, tau);
  const k = v2 / (1 + v2 * s.weight);
  const { derivative, residual } = s;
  // A stretch hangs on few of the parameters.
  const used: number[] = [];
  for (let i = 0; i < n; i++) {
    if (derivative[i] === 0) continue;
    used.push(i);
    const v = k * derivative[i]!;
    g[i]! -= v * residual;
    for (const j of used) a[i * n + j]! -= v * derivative[j]!;
  }
  return (k * s.residual * s.residual) / 2;
}
