import { scaled, vec3At } from '../../geometry/vec.ts';
import type { Mm } from '../../units.ts';
import { meanDistance, solidFor, without, type DieShape, type Mark, type Trim } from '../die/die-shape.ts';
import type { TableChoice } from '../kernel/kernel.ts';
import { kernelPrediction, rollOrder, type KnownShape, type Prediction } from './prediction.ts';

const replaced = <T>(list: readonly T[], at: number, value: T): T[] => list.map((x, i) => (i === at ? value : x));
const opposite = (shape: DieShape, f: number): number => solidFor(shape).opposite[f];

/** Length of the axis through face `f`; on a d4, which has no axes, twice the face's distance. */
export const axisLength = (shape: DieShape, f: number): Mm =>
  shape.distances[f] + shape.distances[opposite(shape, f) < 0 ? f : opposite(shape, f)];

/** The axis through face `f` made `length` long, both its faces moved alike. */
export function withAxis(shape: DieShape, f: number, length: Mm): DieShape {
  const half = (length - axisLength(shape, f)) / 2;
  const both = [f, opposite(shape, f)];
  return { ...shape, distances: shape.distances.map((d, i) => (both.includes(i) ? d + half : d)) };
}

export const withDistance = (shape: DieShape, f: number, distance: Mm): DieShape => ({
  ...shape,
  distances: replaced(shape.distances, f, distance),
});

export const withRadius = (shape: DieShape, corner: number, radius: Mm): DieShape => ({
  ...shape,
  radii: replaced(shape.radii, corner, radius),
});

/** Both ends of an edge given one radius: an edge has none of its own. */
export function withEdgeRadius(shape: DieShape, edge: number, radius: Mm): DieShape {
  const { corners } = solidFor(shape).edges[edge];
  return corners.reduce((s, c) => withRadius(s, c, radius), shape);
}

export const withAllRadii = (shape: DieShape, radius: Mm): DieShape => ({
  ...shape,
  radii: shape.radii.map(() => radius),
});

/** Corner radius of a die that is called sharp where its tumbling is compared, mm. */
const SHARP = 0.01;

/** A sharp die of the same size, without its flaws of rounding. */
export const sharpened = (shape: DieShape): DieShape => withAllRadii(shape, SHARP);

export const withCrown = (shape: DieShape, f: number, crown: Mm): DieShape => ({
  ...shape,
  crowns: replaced(shape.crowns ?? shape.distances.map(() => 0), f, crown),
});

export function withMark(shape: DieShape, mark: Mark | null): DieShape {
  return mark ? { ...shape, mark } : without(shape, 'mark');
}

export function withTrim(shape: DieShape, trim: Trim | null): DieShape {
  return trim ? { ...shape, trim } : without(shape, 'trim');
}

/** Centre of mass moved `by` towards face `f` from where uniform material has it. */
export function withMassTowards(shape: DieShape, f: number, by: Mm): DieShape {
  const [x, y, z] = scaled(vec3At(solidFor(shape).normals, f), by);
  return { ...shape, massOffset: [x, y, z] };
}

/** The arguments of the trade, each as two dice that differ in one thing. */
export type ComparisonCode = 'mark' | 'short-axis' | 'tumbled' | 'mass' | 'crown' | 'trim';

export interface Comparison {
  readonly code: ComparisonCode;
  /** Without and with what is argued about. */
  readonly without: DieShape;
  readonly with: DieShape;
}

/** Sizes of the arguments, mm or shares; stated once. */
export const ARGUMENT = {
  markHeight: 0.1,
  markWidth: 1,
  shortAxis: 0.005,
  sharpRadius: 0.1,
  mass: 0.1,
  crown: 0.05,
  trim: 0.025,
} as const;

/** The ready comparisons for a die; flaws go to the face that lies down when the highest number is rolled. */
export function readyComparisons(shape: DieShape): Comparison[] {
  const order = rollOrder(shape);
  const face = order[order.length - 1];
  const bare = withMark(withTrim(shape, null), null);
  const plain = { ...bare, crowns: shape.distances.map(() => 0) };
  const mark = shape.mark ?? { face, at: [0, 0] as const, height: ARGUMENT.markHeight, width: ARGUMENT.markWidth };
  const edge = solidFor(shape).edges.find((e) => e.faces.includes(face))!;
  const crown = Math.max(...(shape.crowns ?? [0]), 0) || ARGUMENT.crown;
  const trim = shape.trim ?? { faces: edge.faces, depth: ARGUMENT.trim };
  return [
    { code: 'mark', without: bare, with: withMark(bare, mark) },
    {
      code: 'short-axis',
      without: bare,
      with: withAxis(bare, face, (1 - ARGUMENT.shortAxis) * axisLength(bare, face)),
    },
    {
      code: 'tumbled',
      without: withAllRadii(bare, Math.min(ARGUMENT.sharpRadius, 0.02 * meanDistance(bare))),
      with: bare,
    },
    { code: 'mass', without: { ...bare, massOffset: [0, 0, 0] }, with: withMassTowards(bare, face, ARGUMENT.mass) },
    { code: 'crown', without: plain, with: withCrown(plain, face, crown) },
    { code: 'trim', without: bare, with: withTrim(bare, trim) },
  ];
}

export interface ComparisonResult extends Comparison {
  readonly before: Prediction;
  readonly after: Prediction;
  /** The number whose chance changes most, and by which share of it. */
  readonly most: { readonly name: string; readonly change: number };
}

/** Both sides at once by the kernel; comparisons that make the die impossible are left out. */
export function compared({ shape, covariance }: KnownShape, table: TableChoice): ComparisonResult[] {
  return readyComparisons(shape).flatMap((comparison) => {
    const before = kernelPrediction({ shape: comparison.without, covariance }, table);
    const after = kernelPrediction({ shape: comparison.with, covariance }, table);
    if (!before.ok || !after.ok) return [];
    return [{ ...comparison, before: before.value, after: after.value, most: mostChanged(before.value, after.value) }];
  });
}

export function mostChanged(before: Prediction, after: Prediction): ComparisonResult['most'] {
  const change = after.p.map((p, i) => p / before.p[i] - 1);
  const at = change.reduce((best, c, i) => (Math.abs(c) > Math.abs(change[best]) ? i : best), 0);
  return { name: after.names[at], change: change[at] };
}
