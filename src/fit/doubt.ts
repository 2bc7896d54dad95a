import type { Outline } from '../geometry/outline.ts';
import { cholesky, choleskyInverseColumn, choleskySolve } from '../maths/linear.ts';
import { failure, success, type Result } from '../result.ts';
import { parameterCount, type DieState, type FitPhoto } from './die-state.ts';
import { normalOf, type ShapePrior } from './normal-equations.ts';
import { CAMERA_WIDTH } from './camera-rows.ts';
import { passingRows, photoRows, WIDTH, type PhotoRows } from './photo-rows.ts';
import { looseness, NO_TAU, ownVariance, stretches, stretchKey, type Stretch, type Tau } from './stretches.ts';

/** Something outside the outlines' own noise that moves them, and how well it is known. */
export interface Influence {
  readonly source: string;
  /** Standard uncertainty, in its own unit. */
  readonly u: number;
  /** Movement of the outline's points by one unit, px, per photo (aligned with its outline); null where it acts on parameters. */
  readonly onPoints: readonly (Float64Array | null)[] | null;
  /** Change of the parameters by one unit, where it acts on them directly. */
  readonly onParameters: Float64Array | null;
}

export interface CameraDoubt {
  /** Covariance of `shared` numbers, the camera's five first, and nine per photo, row-major (see `vision/calibration.ts`). */
  readonly covariance: Float64Array;
  readonly shared: number;
  /** Place of each fitted photo in it. */
  readonly places: readonly number[];
  /** A number that moves the parameters directly besides, and by how much. */
  readonly direct?: { readonly place: number; readonly shift: Float64Array };
}

export interface Doubt {
  /** n x n covariance of the parameters from the outlines' noise and their stretches' own offsets. */
  readonly noise: Float64Array;
  /** The same from the camera and card. */
  readonly camera: Float64Array;
  /** Change of the parameters by one standard uncertainty of each influence. */
  readonly influences: readonly { readonly source: string; readonly shift: Float64Array }[];
  /** All together, n x n. */
  readonly total: Float64Array;
}

/** Least and usual sigma of a stretch's own offset by kind, px: what sets of known truth showed; see measure/README.md. */
export const TAU_LEAST: Tau = [0.012, 0.05, 0.04];
export const TAU_USUAL: Tau = [0.06, 0.18, 0.1];

/** The offsets, none above the usual: a die that stood otherwise than said makes segments scatter, which must not excuse it. */
export const usualAtMost = ([open, low, corner]: Tau): Tau => [
  Math.min(open, TAU_USUAL[0]),
  Math.min(low, TAU_USUAL[1]),
  Math.min(corner, TAU_USUAL[2]),
];
/**
 * How many times larger the doubt of shape is than the residuals of the stretches show: the fit follows their offsets in part, and a
 * light that is wrong in one photo is wrong in the next. Ten sets of known truth scattered by 0.6 to 1.9 of it (differences of axes, median 1.3).
 */
export const HIDDEN = 1.1;
/** The same by a skin of several colours, per unit of {@link patternOf}: a pattern is seen in several photos, and errs alike in each. */
const OF_PATTERN = 1.3;

/** How far the skin's light changes along the outlines, over what is believed of plain skin: middle of all points. Plain dice show 0.1 to 0.25. */
export function patternOf(outlines: readonly (Outline | null)[]): number {
  const all = Float64Array.from(outlines.flatMap((o) => (o?.skin ? [...o.skin] : []))).sort();
  return all[all.length >> 1] ?? 0;
}

/** Stretches of a kind from which its own scatter is believed, and how many usual ones stand beside them. */
const TAU_NEEDED = 4;
const TAU_BELIEF = 4;
/** Share of the stretches that the fit must leave free: of fewer their residuals say too little, and the usual offset counts in for what is missing. */
const TAU_FREEDOM = 0.4;
/**
 * Below that share the fit follows the offsets the further, as two photos of a d10 do: {@link HIDDEN}, which sets of more photos showed, grows
 * as a variance's own uncertainty does, by the root of what is missing; this is the least share that is reckoned with.
 */
const LEAST_FREE = 0.2;

/** What the stretches' mean residuals scatter by beyond noise, px squared, by kind; those of grazing and very short ones are not heard. */
function squaresOf(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  cut: number,
): readonly [number[], number[], number[]] {
  const squares: [number[], number[], number[]] = [[], [], []];
  for (const [i, photo] of photos.entries()) {
    const outline = outlines[i];
    if (!outline) continue;
    const rows = passingRows(state, photo, i, outline, false);
    for (const s of stretches(rows, outline, cut, state, false).values())
      if (isHeard(s)) squares[s.kind].push(((s.residual / s.weight) ** 2 - 1 / s.weight) / looseness(s) ** 2);
  }
  return squares;
}

/** Whether a stretch's residual says how far stretches are off: neither a grazing nor a very short one's does. */
const isHeard = ({ points, grazing }: Stretch): boolean => points >= 3 && !grazing;

/** Of `total` stretches the share that the fit of distances and places leaves free. */
function freeShare(total: number, state: DieState, photos: readonly FitPhoto[]): number {
  const used = state.distances.length + 2 * photos.length;
  return Math.max(0, (total - used) / Math.max(1, total));
}

/**
 * Offset that stretches of outlines have of their own, px, one standard deviation: what their mean residuals scatter beyond noise.
 *
 * Source: Hedges and Olkin, "Statistical methods for meta-analysis" (1985), the unweighted moment estimate of the variance between
 * groups; the fit's own freedom is given back, and a few usual stretches are counted in where few are seen.
 */
export function stretchSigma(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  cut: number,
): Tau {
  const squares = squaresOf(state, photos, outlines, cut);
  const free = freeShare(
    squares.reduce((n, q) => n + q.length, 0),
    state,
    photos,
  );
  const freedom = Math.max(TAU_FREEDOM, free);
  const offsetOf = (kind: 0 | 1 | 2): number => {
    const q = squares[kind]!;
    // One bad stretch (a highlight, a number at the rim) must not set the doubt of all: it counts as far as four times the middle.
    const middle = Math.max(TAU_LEAST[kind]! ** 2, Float64Array.from(q).sort()[q.length >> 1] ?? 0);
    const sum = q.reduce((s, v) => s + Math.min(v, 16 * middle), 0) / freedom;
    const prior = TAU_BELIEF * TAU_USUAL[kind]! ** 2;
    const usual = TAU_USUAL[kind]! ** 2;
    const seen = q.length >= TAU_NEEDED ? Math.max(0, (sum + prior) / (q.length + TAU_BELIEF)) : usual;
    return Math.max(TAU_LEAST[kind]!, Math.sqrt(usual + (seen - usual) * (free / freedom)));
  };
  return [offsetOf(0), offsetOf(1), offsetOf(2)];
}

/** Covariance of the fitted parameters, by source; `looser` widens the doubt of shape. Rank loss is a failure. */
export function doubtOf(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly (Outline | null)[],
  prior: ShapePrior,
  cut: number,
  tau: Tau,
  cameraDoubt: CameraDoubt,
  influences: readonly Influence[],
  looser = 1,
): Result<Doubt, { readonly code: 'rank'; readonly needed: number }> {
  const n = parameterCount(state);
  const { a } = normalOf(state, photos, outlines, prior, cut, tau);
  const l = cholesky(a, n, 1e-13);
  if (!l) return failure({ code: 'rank', needed: n });
  const size = Math.round(Math.sqrt(cameraDoubt.covariance.length));
  const byCamera = Array.from({ length: size }, () => new Float64Array(n));
  const byInfluence = influences.map(() => new Float64Array(n));
  let heard = 0;
  photos.forEach((photo, i) => {
    const outline = outlines[i];
    if (outline) heard += addPhoto(state, photo, i, outline, cut, tau, cameraDoubt, byCamera, byInfluence, influences);
  });
  const free = Math.max(LEAST_FREE, freeShare(heard, state, photos));
  const few = Math.sqrt(TAU_FREEDOM / Math.min(TAU_FREEDOM, free));
  const hidden = HIDDEN * looser * few * Math.max(1, OF_PATTERN * patternOf(outlines));
  const noise = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    choleskyInverseColumn(l, n, j, column);
    for (let i = 0; i < n; i++) noise[i * n + j] = hidden * hidden * column[i]!;
  }
  const moved = (b: Float64Array): Float64Array => choleskySolve(l, n, b).map((v) => -v);
  const sensitivity = byCamera.map(moved);
  const { direct } = cameraDoubt;
  direct?.shift.forEach((v, i) => (sensitivity[direct.place]![i]! += v));
  const camera = propagated(cameraDoubt.covariance, sensitivity, size, n);
  const shifts = influences.map((f, k) => ({
    source: f.source,
    shift: (f.onParameters ?? moved(byInfluence[k]!)).map((v) => v * f.u),
  }));
  const total = noise.slice();
  for (let k = 0; k < total.length; k++) total[k]! += camera[k]!;
  for (const { shift } of shifts) addSquare(shift, total);
  return success({ noise, camera, influences: shifts, total });
}

/** Adds a column times itself. */
function addSquare(column: Float64Array, to: Float64Array): void {
  const n = column.length;
  for (let i = 0; i < n; i++) {
    const v = column[i]!;
    if (v !== 0) for (let j = 0; j < n; j++) to[i * n + j]! += v * column[j]!;
  }
}

/** `S' C S`, n x n: the covariance that `size` numbers of covariance C make, each moving the parameters by its row of S. */
function propagated(covariance: Float64Array, rows: readonly Float64Array[], size: number, n: number): Float64Array {
  const out = new Float64Array(n * n);
  const t = new Float64Array(n);
  for (let p = 0; p < size; p++) {
    t.fill(0);
    for (let q = 0; q < size; q++) {
      const c = covariance[p * size + q]!;
      if (c === 0) continue;
      const y = rows[q]!;
      for (let j = 0; j < n; j++) t[j]! += c * y[j]!;
    }
    const x = rows[p]!;
    for (let i = 0; i < n; i++) {
      const v = x[i]!;
      if (v !== 0) for (let j = 0; j < n; j++) out[i * n + j]! += v * t[j]!;
    }
  }
  return out;
}

/** Adds `J' W c` of one photo for each camera parameter and influence, the stretches' own offsets taken out. @returns How many of its stretches are heard. */
function addPhoto(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  cut: number,
  tau: Tau,
  { shared, places }: CameraDoubt,
  byCamera: Float64Array[],
  byInfluence: Float64Array[],
  influences: readonly Influence[],
): number {
  const n = parameterCount(state);
  const rows = photoRows(state, photo, i, outline, true);
  const sums = stretches(rows, outline, cut, state);
  // Causes beside the parameters: those of the camera, then the influences that move points.
  const causes = CAMERA_WIDTH + influences.length;
  const own = CAMERA_WIDTH - 5;
  const targets = [0, 1, 2, 3, 4, ...Array.from({ length: own }, (_, k) => shared + own * places[i]! + k)]
    .map((k) => byCamera[k]!)
    .concat(byInfluence);
  const onPoints = influences.map((f) => f.onPoints?.[i] ?? null);
  const causeSums = new Map<number, Float64Array>();
  for (let k = 0; k < rows.count; k++) {
    const z = rows.residual[k]! / outline.sigma[k]!;
    const w = 1 / ((1 + (z / cut) ** 2) * outline.sigma[k]! ** 2);
    const key = stretchKey(rows, k, state);
    let sum = causeSums.get(key);
    if (!sum) causeSums.set(key, (sum = new Float64Array(causes)));
    for (let c = 0; c < causes; c++) {
      const effect = c < CAMERA_WIDTH ? rows.camera![CAMERA_WIDTH * k + c]! : (onPoints[c - CAMERA_WIDTH]?.[k] ?? 0);
      if (effect === 0) continue;
      sum[c]! += w * effect;
      addRow(rows, k, w, effect, targets[c]!);
    }
  }
  let heard = 0;
  for (const s of sums.values()) if (isHeard(s)) heard++;
  if (tau === NO_TAU) return heard;
  for (const [key, s] of sums) {
    const v = ownVariance(s, tau);
    const f = v / (1 + v * s.weight);
    const sum = causeSums.get(key)!;
    for (let p = 0; p < n; p++) {
      const v = f * s.derivative[p]!;
      if (v !== 0) for (let c = 0; c < causes; c++) targets[c]![p]! -= v * sum[c]!;
    }
  }
  return heard;
}

/** Adds one point's derivatives by the parameters, times its weight and how a cause moves it. */
function addRow({ index, value }: PhotoRows, k: number, w: number, effect: number, to: Float64Array): void {
  for (let p = k * WIDTH, end = p + WIDTH; p < end && index[p]! >= 0; p++) to[index[p]!]! += w * value[p]! * effect;
}
