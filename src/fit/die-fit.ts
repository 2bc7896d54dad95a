import type { Outline } from '../geometry/outline.ts';
import { byFactors, descended, type Slope, type Stop } from '../maths/descent.ts';
import { cholesky, choleskySolve } from '../maths/linear.ts';
import { moveState, parameterCount, shapeCount, type DieState, type FitPhoto } from './die-state.ts';
import { costOf, normalOf, type Normal, type ShapePrior } from './normal-equations.ts';
import { NO_TAU, divisions, type Tau } from './stretches.ts';

export interface FitOptions {
  readonly prior: ShapePrior;
  /** 'whole' frees each face and corner; 'size' only a common distance, a common radius and the stands; 'scale' not the radius; 'stands' the stands alone. */
  readonly free: 'whole' | 'size' | 'scale' | 'stands';
  readonly steps: number;
  readonly cut: number;
  readonly tau: Tau;
  /** Where stretches have no offsets: ends once the first corner's radius falls below this share of the first face's distance; never where left out. */
  readonly leastRadius?: number;
}

export interface DieFit {
  readonly state: DieState;
  readonly cost: number;
  readonly stop: Stop;
  readonly steps: number;
}

/** Columns of the parameters that move together: full parameter -> reduced parameter, or -1 where it is held. */
function reduction(state: DieState, free: FitOptions['free']): { map: Int32Array; count: number } {
  const n = parameterCount(state);
  const faces = state.distances.length;
  const shape = shapeCount(state);
  const bare = faces + state.radii.length;
  const map = new Int32Array(n).fill(-1);
  const shift = free === 'size' ? 2 : free === 'scale' ? 1 : 0;
  if (shift > 0) map.fill(0, 0, faces);
  if (shift > 1) map.fill(1, faces, bare);
  const [from, first] = free === 'whole' ? [0, 0] : [shape, shift];
  for (let i = from; i < n; i++) map[i] = i - from + first;
  return { map, count: n - from + first };
}

/**
 * Fits the die to outlines from `start`; the camera is held.
 *
 * Where stretches have offsets of their own, by weighting anew; else by a damped descent, which finds its way from further off.
 */
export function fitDie(
  start: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  options: FitOptions,
): DieFit {
  return options.tau === NO_TAU
    ? damped(start, photos, outlines, options)
    : reweighted(start, photos, outlines, options);
}

/** A step this small against what is known of the parameters ends the fit: the sum of squares of its parts in standard uncertainties. */
const SETTLED = 1e-5;

/** Least share of a step that is taken where steps do not shrink (kinks, where more than three planes meet). */
const LEAST_SHARE = 1 / 16;

/** Largest change of a length in one step, mm. */
const LARGEST_STEP = 0.3;

/**
 * Gauss and Newton's steps, each with the weights of points and stretches as they are then; what belongs to which stretch stays.
 *
 * No cost is compared: with weights and offsets that change it is no function of the shape alone. Where a step is not smaller than the
 * one before, less of it is taken.
 */
function reweighted(
  start: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  { prior, free, cut, tau, steps: most }: FitOptions,
): DieFit {
  const { map, count } = reduction(start, free);
  const n = parameterCount(start);
  const divided = divisions(start, photos, outlines, cut);
  let state = start;
  let now = normalOf(state, photos, outlines, prior, cut, tau, divided);
  let share = 1;
  let before = Infinity;
  let steps = 0;
  for (; steps < most; steps++) {
    const { a, g } = reducedTo(map, count, now, n);
    for (let p = 0; p < count; p++) a[p * count + p] = a[p * count + p]! * (1 + 1e-9) + 1e-9;
    const l = cholesky(a, count, 0);
    if (!l) return { state, cost: now.cost, stop: 'stuck', steps };
    const h = choleskySolve(l, count, g);
    const size = product(h, g);
    if (size < SETTLED) return { state, cost: now.cost, stop: 'converged', steps };
    share = size > 0.7 * before ? Math.max(LEAST_SHARE, share / 2) : Math.min(1, 1.5 * share);
    before = size;
    const taken = Math.min(share, LARGEST_STEP / largest(h));
    state = moveState(state, wholeStep(map, h, -taken));
    now = normalOf(state, photos, outlines, prior, cut, tau, divided);
  }
  return { state, cost: now.cost, stop: 'steps', steps };
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

function largest(step: Float64Array): number {
  let most = 0;
  for (const v of step) most = Math.max(most, Math.abs(v));
  return most;
}

/** A step of all parameters, `share` of that of those that move together. */
function wholeStep(map: Int32Array, step: Float64Array, share: number): Float64Array {
  const out = new Float64Array(map.length);
  for (let i = 0; i < map.length; i++) if (map[i]! >= 0) out[i] = share * step[map[i]!]!;
  return out;
}

/** The normal equations of the parameters that move together. */
function reducedTo(map: Int32Array, count: number, full: Normal, n: number): { a: Float64Array; g: Float64Array } {
  const a = new Float64Array(count * count);
  const g = new Float64Array(count);
  const { a: whole, g: slope } = full;
  for (let i = 0; i < n; i++) {
    const p = map[i]!;
    if (p < 0) continue;
    g[p]! += slope[i]!;
    for (let j = 0; j < n; j++) {
      const q = map[j]!;
      if (q >= 0) a[p * count + q]! += whole[i * n + j]!;
    }
  }
  return { a, g };
}

/** A state with its cost, and with its normal equations once they are asked for. */
interface Place {
  readonly state: DieState;
  readonly cost: number;
  readonly normal: Normal | null;
}

const DAMPING = byFactors(1e-4, 6, 8, 1e-10, 1e7);

/** The descent; where no step goes down any further it has converged. */
function damped(
  start: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  options: FitOptions,
): DieFit {
  const slope = new DieSlope(start, photos, outlines, options);
  const { place } = descended<Place>(slope.entered({ state: start }), slope, DAMPING, Infinity);
  const steps = slope.taken;
  return { state: place.state, cost: place.cost, stop: steps >= options.steps ? 'steps' : 'converged', steps };
}

class DieSlope implements Slope<Place> {
  /** Steps that went down. */
  taken = 0;
  readonly #photos: readonly FitPhoto[];
  readonly #outlines: readonly (Outline | null)[];
  readonly #options: FitOptions;
  readonly #map: Int32Array;
  readonly #count: number;

  constructor(
    start: DieState,
    photos: readonly FitPhoto[],
    outlines: readonly (Outline | null)[],
    options: FitOptions,
  ) {
    this.#photos = photos;
    this.#outlines = outlines;
    this.#options = options;
    const { map, count } = reduction(start, options.free);
    this.#map = map;
    this.#count = count;
  }

  entered({ state }: Pick<Place, 'state'>): Place {
    const { prior, cut, tau } = this.#options;
    const normal = normalOf(state, this.#photos, this.#outlines, prior, cut, tau);
    return { state, cost: normal.cost, normal };
  }

  tried({ state, normal }: Place, damping: number): Place | null {
    const [map, count] = [this.#map, this.#count];
    const { prior, cut } = this.#options;
    const { a, g } = reducedTo(map, count, normal!, map.length);
    for (let p = 0; p < count; p++) a[p * count + p] = a[p * count + p]! * (1 + damping) + 1e-9;
    const l = cholesky(a, count, 0);
    if (!l) return null;
    const next = moveState(state, wholeStep(map, choleskySolve(l, count, g), -1));
    return { state: next, cost: costOf(next, this.#photos, this.#outlines, prior, cut), normal: null };
  }

  /** Steps that do not go down are not counted: each of those that do shall come from the best place so far. */
  ends({ state, cost }: Place, gain: number | null): boolean {
    if (gain === null) return false;
    const { steps, leastRadius = 0 } = this.#options;
    if (gain < 1e-6 * Math.abs(cost) + 1e-6 || ++this.taken >= steps) return true;
    return state.radii[0]! < leastRadius * state.distances[0]!;
  }
}
