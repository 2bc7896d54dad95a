import { D10_APEX, type DieKind } from '../../geometry/solid.ts';
import { meanDistance, NOMINAL, solidFor, without, type DieShape } from '../die/die-shape.ts';
import { faceFrame } from '../die/face-frame.ts';
import { FLAW_HEIGHTS, MARK_PLACES, TRIM_DEPTH } from './flaw-scales.ts';
import { MOST, RADIUS_RANGE, SPREAD } from './kernel-design.ts';
import kernels from './kernels.json' with { type: 'json' };
import { supportFeatures, type SupportFeatures } from './support-features.ts';
import { kernelGrid } from '../die/symmetry.ts';
import { TABLE_NAMES, type TableName } from '../throws/tables.ts';

/** One table's kernel: per class of (face, direction) its value at the nominal radius and its change per unit of radius share. */
export interface KernelTable {
  readonly level: readonly number[];
  readonly slope: readonly number[];
}

/** What flaws narrower than the kernel's directions do, as changes of ln p of a face that lies down. */
export interface FlawTable {
  /** A mark at its face's centre, that face, at {@link FLAW_HEIGHTS}. */
  readonly mark: readonly number[];
  /** The same away from the centre, as a share of it, at {@link MARK_PLACES}. */
  readonly markAway: readonly number[];
  /** A crowned face, that face, at {@link FLAW_HEIGHTS}. */
  readonly crown: readonly number[];
  /** A trimmed edge, per class of (face, edge), per mean face distance of depth. */
  readonly trim: readonly number[];
}

/** All that is fitted for one kind. */
export interface KindKernels {
  /** Mean corner radius in mean face distances at which `level` holds. */
  readonly radius: number;
  readonly kernels: Readonly<Record<TableName, KernelTable>>;
  readonly flaws: Readonly<Record<TableName, FlawTable>>;
  readonly heldOut: HeldOut;
}

/** How well dice that were not fitted are predicted, and how uneven they are: root mean squares of ln p. */
export interface HeldOut {
  /** With the chance of their throws taken out, but not less than one standard deviation of it: no smaller error could be seen. */
  readonly error: number;
  /** The error and two standard deviations of what their throws leave open. */
  readonly atMost: number;
  readonly unevenness: number;
}

export interface KernelFile {
  readonly format: 'evencast-kernels/1';
  readonly seed: number;
  /** Dice and throws behind it. */
  readonly effort: {
    readonly pairs: number;
    readonly throwsPerDie: Readonly<Record<DieKind, number>>;
    readonly flaw: number;
    readonly heldOutDice: number;
    readonly heldOutThrows: number;
  };
  readonly kinds: Readonly<Partial<Record<DieKind, KindKernels>>>;
}

export const KERNELS = kernels as KernelFile;

/** A table by name, or none in particular: the mean of all. */
export type TableChoice = TableName | 'unknown';

/** What makes a die uneven; {@link KernelReading} tells them apart because their doubts differ. */
export type Cause = 'faces' | 'rounding' | 'mass' | 'mark' | 'crown' | 'trim';

/** Why the kernel should not be trusted for a shape. */
export type Beyond = 'apex' | 'faces' | 'radius' | 'mass' | 'mark' | 'crown' | 'trim' | 'unevenness';

export interface KernelReading {
  /** Chance of each face to lie down. */
  readonly p: Float64Array;
  /** Change of each face's ln p by each cause alone. */
  readonly effects: Readonly<Record<Cause, Float64Array>>;
  /** d ln p / d parameters, faces x (faces + corners), per mm: distances first, then radii. */
  readonly gradient: Float64Array;
  /** ln p of each face on each table that `p` is the mean of; one for a table of one's own. */
  readonly onTables: readonly Float64Array[];
  /** What lies outside the range that the kernel was fitted and checked in; empty where it may be used. */
  readonly beyond: readonly Beyond[];
}

/** Farthest from 1 that a d10's apex may be for the kernel, which is fitted at 1. */
const LARGEST_APEX = 0.03;
/** Largest |ln (k p)| that the kernel is used for. */
export const LARGEST_EFFECT = 0.25;

/** Chances at once. The shape must be possible ({@link shapeFault}); `file` only for checks of other kernels. */
export function kernelReading(shape: DieShape, table: TableChoice, file: KernelFile = KERNELS): KernelReading {
  const views = viewsOf(shape);
  if (table !== 'unknown') return readingOn(shape, views, table, file);
  const all = TABLE_NAMES.map((t) => readingOn(shape, views, t, file));
  const mean = (pick: (r: KernelReading) => Float64Array): Float64Array =>
    pick(all[0]).map((_, i) => all.reduce((s, r) => s + pick(r)[i], 0) / all.length);
  const causes = Object.keys(all[0].effects) as Cause[];
  return {
    p: mean((r) => r.p),
    effects: Object.fromEntries(causes.map((c) => [c, mean((r) => r.effects[c])])) as KernelReading['effects'],
    gradient: mean((r) => r.gradient),
    onTables: all.flatMap((r) => r.onTables),
    beyond: [...new Set(all.flatMap((r) => r.beyond))],
  };
}

/** Heights of a shape as it is, with its mass balanced, and with its corners made alike too: what the causes are told apart by. */
interface Views {
  readonly whole: SupportFeatures;
  readonly balanced: Float64Array;
  readonly facesOnly: Float64Array;
}

function viewsOf(shape: DieShape): Views {
  const balanced = without(shape, 'massOffset');
  const mean = shape.radii.reduce((s, r) => s + r, 0) / shape.radii.length;
  return {
    whole: supportFeatures(shape, true),
    balanced: supportFeatures(balanced, false).heights,
    facesOnly: supportFeatures({ ...balanced, radii: shape.radii.map(() => mean) }, false).heights,
  };
}

function readingOn(shape: DieShape, views: Views, table: TableName, file: KernelFile): KernelReading {
  const kind = file.kinds[shape.kind];
  if (!kind) throw new Error(`no kernel for ${shape.kind}`);
  const weights = pairWeights(shape, kind, table);
  const of = (heights: Float64Array): Float64Array => centred(times(weights, heights));
  const [all, round, plain] = [of(views.whole.heights), of(views.balanced), of(views.facesOnly)];
  const effects = {
    faces: plain,
    rounding: round.map((x, i) => x - plain[i]),
    mass: all.map((x, i) => x - round[i]),
    ...flawEffects(shape, kind.flaws[table]),
  };
  const logs = all.map((x, i) => x + effects.mark[i] + effects.crown[i] + effects.trim[i]);
  const p = softmax(logs);
  const gradient = logGradient(weights, views.whole.gradient!, p);
  return { p, effects, gradient, onTables: [p.map(Math.log)], beyond: beyondRange(shape, p) };
}

/** Kernel value of each face and direction, faces x directions. */
function pairWeights(shape: DieShape, kind: KindKernels, table: TableName): Float64Array {
  const { classes } = kernelGrid(shape.kind);
  const off = radiusShare(shape) - kind.radius;
  const { level, slope } = kind.kernels[table];
  return Float64Array.from(classes.of, (c) => level[c] + off * slope[c]);
}

/** Mean corner radius in mean face distances. */
export const radiusShare = (shape: DieShape): number =>
  shape.radii.reduce((s, r) => s + r, 0) / shape.radii.length / meanDistance(shape);

function times(weights: Float64Array, heights: Float64Array): Float64Array {
  const n = heights.length;
  return Float64Array.from({ length: weights.length / n }, (_, f) => {
    let s = 0;
    for (let d = 0; d < n; d++) s += weights[f * n + d] * heights[d];
    return s;
  });
}

function centred(x: Float64Array): Float64Array {
  const mean = x.reduce((s, v) => s + v, 0) / x.length;
  return x.map((v) => v - mean);
}

function softmax(logs: Float64Array): Float64Array {
  const w = logs.map(Math.exp);
  const sum = w.reduce((s, v) => s + v, 0);
  return w.map((v) => v / sum);
}

function logGradient(weights: Float64Array, gradient: Float64Array, p: Float64Array): Float64Array {
  const faces = p.length;
  const directions = weights.length / faces;
  const params = gradient.length / directions;
  const out = new Float64Array(faces * params);
  for (let f = 0; f < faces; f++)
    for (let d = 0; d < directions; d++) {
      const w = weights[f * directions + d];
      for (let q = 0; q < params; q++) out[f * params + q] += w * gradient[d * params + q];
    }
  for (let q = 0; q < params; q++) {
    let mean = 0;
    for (let f = 0; f < faces; f++) mean += p[f] * out[f * params + q];
    for (let f = 0; f < faces; f++) out[f * params + q] -= mean;
  }
  return out;
}

function flawEffects(shape: DieShape, table: FlawTable): Record<'mark' | 'crown' | 'trim', Float64Array> {
  const h = meanDistance(shape);
  const none = (): Float64Array => new Float64Array(shape.distances.length);
  const [mark, crown, trim] = [none(), none(), none()];
  if (shape.mark && shape.mark.height > 0) {
    const place = Math.hypot(...shape.mark.at) / faceFrame(shape, shape.mark.face).innerRadius;
    const away = interpolated([0, ...MARK_PLACES], [1, ...table.markAway], place);
    mark[shape.mark.face] = away * interpolated([0, ...FLAW_HEIGHTS], [0, ...table.mark], shape.mark.height / h);
  }
  (shape.crowns ?? []).forEach((c, f) => {
    if (c > 0) crown[f] = interpolated([0, ...FLAW_HEIGHTS], [0, ...table.crown], c / h);
  });
  if (shape.trim) {
    const { classes, directions } = kernelGrid(shape.kind);
    const { faces, depth } = shape.trim;
    const edge = solidFor(shape).edges.findIndex((e) => faces.includes(e.faces[0]) && faces.includes(e.faces[1]));
    const d = shape.distances.length + edge;
    trim.forEach((_, f) => (trim[f] = (table.trim[classes.of[f * directions.vectors.length + d]] * depth) / h));
  }
  return { mark, crown: centred(crown), trim };
}

/** Piecewise linear through (x, y); level beyond the last point. */
function interpolated(x: readonly number[], y: readonly number[], at: number): number {
  const i = x.findIndex((v) => v >= at);
  if (i === 0) return y[0];
  if (i < 0) return y[y.length - 1];
  return y[i - 1] + ((y[i] - y[i - 1]) * (at - x[i - 1])) / (x[i] - x[i - 1]);
}

function beyondRange(shape: DieShape, p: Float64Array): Beyond[] {
  const h = meanDistance(shape);
  const spread = SPREAD[shape.kind];
  const nominal = NOMINAL[shape.kind];
  const share = radiusShare(shape) / ((2 * nominal.radius) / nominal.size);
  const mean = radiusShare(shape) * h;
  const highest = FLAW_HEIGHTS[FLAW_HEIGHTS.length - 1] * h;
  const out: Beyond[] = [];
  if (Math.abs((shape.apex ?? D10_APEX) - D10_APEX) > LARGEST_APEX) out.push('apex');
  if (shape.distances.some((d) => Math.abs(d / h - 1) > MOST * spread.face)) out.push('faces');
  if (share < RADIUS_RANGE[0] / 2 || share > 1.1 * RADIUS_RANGE[1]) out.push('radius');
  else if (shape.radii.some((r) => Math.abs(r - mean) > Math.max(1.2 * mean, 0.02 * h))) out.push('radius');
  if (Math.hypot(...(shape.massOffset ?? [0])) > 3 * spread.mass * h) out.push('mass');
  if (shape.mark && shape.mark.height > highest) out.push('mark');
  if ((shape.crowns ?? []).some((c) => c > highest)) out.push('crown');
  if (shape.trim && shape.trim.depth > 1.2 * TRIM_DEPTH * h) out.push('trim');
  if (p.some((x) => Math.abs(Math.log(x * p.length)) > LARGEST_EFFECT)) out.push('unevenness');
  return out;
}
