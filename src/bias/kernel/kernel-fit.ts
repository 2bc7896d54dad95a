import { cholesky, choleskySolve } from '../../maths/linear.ts';
import type { DieShape } from '../die/die-shape.ts';
import { classSums, supportFeatures } from './support-features.ts';
import { radiusShare, type KernelTable } from './kernel.ts';

/** What one die gave: its features and the counts of its faces. */
export interface Observation {
  readonly shape: DieShape;
  /** Times each face lay down. */
  readonly counts: ArrayLike<number>;
}

/** Equations of one table: rows of centred features and logarithms, whitened by the counts. */
interface Equations {
  readonly normal: Float64Array;
  readonly right: Float64Array;
  readonly rows: readonly { readonly x: Float64Array; readonly y: number; readonly weight: number }[];
}

/** How strongly a table's own kernel is held to that of all tables, and the change with the radius to none: their expected size, as a share of the kernel's. */
const OWN_SHARE = 0.25;
const SLOPE_SHARE = 8;

/** Features of a die for the fit, faces x (2 classes): the class sums, then the same times the radius' deviation from `reference`; means over the faces taken out. */
export function designRows(shape: DieShape, reference: number): Float64Array[] {
  const { heights } = supportFeatures(shape, false);
  const sums = classSums(shape, heights);
  const faces = shape.distances.length;
  const n = sums.length / faces;
  const off = radiusShare(shape) - reference;
  const mean = Float64Array.from({ length: n }, (_, c) => {
    let s = 0;
    for (let f = 0; f < faces; f++) s += sums[f * n + c] / faces;
    return s;
  });
  return Array.from({ length: faces }, (_, f) =>
    Float64Array.from({ length: 2 * n }, (_v, c) => (sums[f * n + (c % n)] - mean[c % n]) * (c < n ? 1 : off)),
  );
}

/** Logarithms of the chances against even ones, their mean taken out. */
export function centredLogs(counts: ArrayLike<number>): Float64Array {
  const logs = Float64Array.from(counts, (c) => Math.log(c));
  const mean = logs.reduce((s, l) => s + l, 0) / logs.length;
  return logs.map((l) => l - mean);
}

function equations(data: readonly Observation[], reference: number): Equations {
  const rows = data.flatMap(({ shape, counts }) => {
    const logs = centredLogs(counts);
    const throws = Array.from(counts).reduce((s, c) => s + c, 0);
    return designRows(shape, reference).map((x, f) => ({ x, y: logs[f], weight: throws / (logs.length - 1) }));
  });
  const n = rows[0].x.length;
  const normal = new Float64Array(n * n);
  const right = new Float64Array(n);
  for (const { x, y, weight } of rows)
    for (let i = 0; i < n; i++) {
      right[i] += weight * x[i] * y;
      for (let j = 0; j < n; j++) normal[i * n + j] += weight * x[i] * x[j];
    }
  return { normal, right, rows };
}

/** A kernel for each table, from the dice thrown on it: least squares, the tables drawn towards their common kernel. */
export function fitKernels(
  data: Readonly<Record<string, readonly Observation[]>>,
  reference: number,
): Record<string, { readonly kernel: KernelTable; readonly rms: number; readonly noise: number }> {
  const systems = Object.entries(data).map(([table, list]) => [table, equations(list, reference)] as const);
  const n = systems[0][1].right.length;
  const sum = systems.reduce<Equations>(
    (s, [, e]) => ({
      normal: s.normal.map((x, i) => x + e.normal[i]),
      right: s.right.map((x, i) => x + e.right[i]),
      rows: [],
    }),
    { normal: new Float64Array(n * n), right: new Float64Array(n), rows: [] },
  );
  const first = ridge(sum, new Float64Array(n), new Float64Array(n).fill(1e-2));
  const size = Math.sqrt(first.subarray(0, n / 2).reduce((s, k) => s + k * k, 0) / (n / 2));
  const slopePrior = 1 / (SLOPE_SHARE * size) ** 2;
  const common = ridge(
    sum,
    new Float64Array(n),
    Float64Array.from({ length: n }, (_, i) => (i < n / 2 ? 1e-2 : slopePrior)),
  );
  const own = Float64Array.from({ length: n }, (_, i) =>
    i < n / 2 ? 1 / (OWN_SHARE * size) ** 2 : slopePrior / OWN_SHARE ** 2,
  );
  return Object.fromEntries(
    systems.map(([table, e]) => {
      const k = ridge(e, common, own);
      return [
        table,
        { kernel: { level: Array.from(k.subarray(0, n / 2)), slope: Array.from(k.subarray(n / 2)) }, ...misfit(e, k) },
      ];
    }),
  );
}

/** Least squares with each unknown drawn towards `towards` with the weight `pull`. */
function ridge({ normal, right }: Equations, towards: Float64Array, pull: Float64Array): Float64Array {
  const n = right.length;
  const a = normal.map((x, i) => (i % (n + 1) === 0 ? x + pull[i / (n + 1)] : x));
  const factor = cholesky(a, n);
  if (!factor) throw new Error('kernel fit: the dice do not tell the classes apart');
  return choleskySolve(
    factor,
    n,
    right.map((r, i) => r + pull[i] * towards[i]),
  );
}

/** Root mean square of the residuals of ln p, and of what the counts' chance alone would leave. */
function misfit({ rows }: Equations, k: Float64Array): { rms: number; noise: number } {
  let sum = 0;
  let noise = 0;
  for (const { x, y, weight } of rows) {
    sum += (y - x.reduce((s, v, i) => s + v * k[i], 0)) ** 2;
    noise += 1 / weight;
  }
  return { rms: Math.sqrt(sum / rows.length), noise: Math.sqrt(noise / rows.length) };
}
