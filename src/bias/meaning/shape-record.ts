import type { DieKind } from '../../geometry/solid.ts';
import { cholesky } from '../../maths/linear.ts';
import { failure, success, type Result } from '../../result.ts';
import { NOMINAL, solidFor, solidOf, type DieShape } from '../die/die-shape.ts';
import { namedFaces } from '../die/face-names.ts';
import type { KnownShape } from './prediction.ts';
import { isKind, shapeFault, type ShapeFault } from '../die/shape-check.ts';

/** Why a record gives no shape. */
export type RecordFault =
  | { readonly code: 'not-a-record'; readonly missing: string }
  | { readonly code: 'record-is-failure'; readonly detail: string }
  | { readonly code: 'names-do-not-fit'; readonly kind: string; readonly names: readonly string[] }
  | ShapeFault;

/** A measuring result read for throwing; `notes` say what was left open. */
export interface ReadShape extends KnownShape {
  readonly notes: readonly ('no-corners' | 'no-uncertainty')[];
}

/** The parts of a result (`evencast-result/1`) that rolls need; mark, trim and massOffset are additions that may be written by hand. */
interface Record {
  readonly die?: { readonly kind?: unknown; readonly apex?: unknown };
  readonly error?: { readonly code?: unknown };
  readonly faces?: readonly {
    readonly name?: unknown;
    readonly distance?: unknown;
    readonly u?: unknown;
    readonly crown?: unknown;
  }[];
  readonly corners?: readonly { readonly name?: unknown; readonly radius?: unknown; readonly u?: unknown }[];
  readonly meanCornerRadius?: { readonly value?: unknown };
  readonly axes?: readonly { readonly name?: unknown }[];
  readonly axesCovariance?: readonly (readonly number[])[];
  readonly shapeCovariance?: { readonly names?: readonly string[]; readonly matrix?: readonly (readonly number[])[] };
  readonly mark?: {
    readonly face?: unknown;
    readonly at?: readonly [number, number];
    readonly height?: unknown;
    readonly width?: unknown;
  };
  readonly trim?: { readonly edge?: unknown; readonly depth?: unknown };
  readonly massOffset?: readonly number[];
}

/** Reads a parsed measuring result. `die.kind`, `faces[].name`, `.distance` and `corners[].name`, `.radius` suffice. */
export function readShape(json: unknown): Result<ReadShape, RecordFault> {
  if (typeof json !== 'object' || json === null) return failure({ code: 'not-a-record', missing: 'an object' });
  const record = json as Record;
  if (record.error?.code !== undefined)
    return failure({ code: 'record-is-failure', detail: String(record.error.code) });
  const kind = record.die?.kind;
  if (typeof kind !== 'string') return failure({ code: 'not-a-record', missing: 'die.kind' });
  if (!isKind(kind)) return failure({ code: 'kind-not-modelled', kind });
  const faces = listOf(record.faces);
  if (!faces) return failure({ code: 'not-a-record', missing: 'faces' });
  const corners = listOf(record.corners) ?? [];
  const names = faces.map((f) => String(f.name));
  const labels = namedFaces(
    kind,
    names,
    corners.map((c) => String(c.name).split('-')),
  );
  if (!labels) return failure({ code: 'names-do-not-fit', kind, names });
  const shape = shapeOf(kind, labels, record, corners);
  const fault = shapeFault(shape);
  if (fault) return failure(fault);
  const stated = covarianceOf(shape, record, corners);
  const covariance = stated && isCovariance(stated) ? stated : null;
  const notes: ReadShape['notes'][number][] = [];
  if (corners.length === 0) notes.push('no-corners');
  if (!covariance) notes.push('no-uncertainty');
  return success({ shape, covariance, notes });
}

/** A list of records, or null where the file holds something else there. */
const listOf = <T>(value: readonly T[] | undefined): readonly T[] | null =>
  Array.isArray(value) && value.every((v) => typeof v === 'object' && v !== null) ? value : null;
const number = (value: unknown): number => (typeof value === 'number' ? value : NaN);
const sameFaces = (a: string, b: readonly string[]): boolean =>
  a.split('-').sort().join('-') === [...b].sort().join('-');

function shapeOf(
  kind: DieKind,
  labels: readonly string[],
  record: Record,
  corners: NonNullable<Record['corners']>,
): DieShape {
  const { corners: places } = solidOf(kind);
  const face = (name: unknown): number => labels.indexOf(String(name));
  const distances = labels.map((l) => number(record.faces!.find((f) => String(f.name) === l)?.distance));
  const scale = distances.reduce((s, d) => s + d, 0) / distances.length / (NOMINAL[kind].size / 2);
  const given = record.meanCornerRadius?.value;
  const usual = typeof given === 'number' ? given : NOMINAL[kind].radius * scale;
  const radii = places.map((c) => {
    const own = corners.find((r) =>
      sameFaces(
        String(r.name),
        c.faces.map((f) => labels[f]),
      ),
    );
    return own ? number(own.radius) : corners.length === 0 ? usual : NaN;
  });
  const crowns = labels.map((l) => record.faces!.find((f) => String(f.name) === l)?.crown);
  const { mark, trim } = record;
  const massOffset = Array.isArray(record.massOffset) ? record.massOffset : null;
  const edge = trim ? String(trim.edge).split('-').map(face) : [];
  return {
    kind,
    ...(kind === 'd10' && typeof record.die?.apex === 'number' ? { apex: record.die.apex } : {}),
    labels,
    distances,
    radii,
    ...(crowns.some((c) => typeof c === 'number')
      ? { crowns: crowns.map((c) => (typeof c === 'number' ? c : 0)) }
      : {}),
    ...(mark
      ? {
          mark: {
            face: face(mark.face),
            at: Array.isArray(mark.at) ? [number(mark.at[0]), number(mark.at[1])] : [0, 0],
            height: number(mark.height),
            width: number(mark.width),
          },
        }
      : {}),
    ...(trim ? { trim: { faces: [edge[0] ?? -1, edge[1] ?? -1], depth: number(trim.depth) } } : {}),
    ...(massOffset ? { massOffset: [number(massOffset[0]), number(massOffset[1]), number(massOffset[2])] } : {}),
  };
}

/** Rounding that a stated matrix may carry, as a share of its largest variance. */
const ROUNDING = 1e-5;

/** Whether a matrix can be a covariance: finite, symmetric, no negative variance in any direction beyond rounding. */
function isCovariance(matrix: Float64Array): boolean {
  const n = Math.sqrt(matrix.length);
  const most = matrix.reduce((m, x) => Math.max(m, Math.abs(x)), 0);
  const slack = ROUNDING * most;
  const symmetric = matrix.every((x, q) => Math.abs(x - matrix[(q % n) * n + Math.floor(q / n)]) <= slack);
  const lifted = matrix.map((x, q) => (q % (n + 1) === 0 ? x + slack : x));
  return Number.isFinite(most) && symmetric && cholesky(lifted, n) !== null;
}

/** Covariance of distances and radii in the solid's order: as stated, else from the axes' and the single u, else null. */
function covarianceOf(shape: DieShape, record: Record, corners: NonNullable<Record['corners']>): Float64Array | null {
  const solid = solidFor(shape);
  const params = [
    ...shape.labels.map((l) => ({ name: `face ${l}`, own: [l] })),
    ...solid.corners.map((c) => ({ name: 'corner', own: c.faces.map((f) => shape.labels[f]) })),
  ];
  const rows = listOf(record.shapeCovariance?.matrix);
  const titles = listOf(record.shapeCovariance?.names?.map?.((n) => ({ n: String(n) })));
  if (rows && titles) {
    const at = params.map(({ name, own }) =>
      titles.findIndex(
        ({ n }) => n === name || (name === 'corner' && n.startsWith('corner ') && sameFaces(n.slice(7), own)),
      ),
    );
    return Float64Array.from(at.flatMap((i) => at.map((j) => number(rows[i]?.[j] ?? 0))));
  }
  const u = [
    ...shape.labels.map((l) => number(record.faces!.find((f) => String(f.name) === l)?.u)),
    ...solid.corners.map((c) =>
      number(
        corners.find((r) =>
          sameFaces(
            String(r.name),
            c.faces.map((f) => shape.labels[f]),
          ),
        )?.u,
      ),
    ),
  ].map((x) => (Number.isFinite(x) ? x : 0));
  if (u.every((x) => x === 0)) return null;
  const out = new Float64Array(u.length ** 2);
  u.forEach((x, i) => (out[i * (u.length + 1)] = x * x));
  shareAxes(out, u, shape, record);
  return out;
}

/** What two axes have in common moves all four faces; what is left of a face's own doubt moves it against its opposite. */
function shareAxes(out: Float64Array, u: readonly number[], shape: DieShape, record: Record): void {
  const { opposite } = solidFor(shape);
  const axes = listOf(record.axes);
  const axesCovariance = listOf(record.axesCovariance);
  if (!axes || !axesCovariance || opposite[0] < 0) return;
  const axisOf = shape.labels.map((l) => axes.findIndex((a) => String(a.name).split('-').includes(l)));
  const n = u.length;
  shape.labels.forEach((_, i) =>
    shape.labels.forEach((_l, j) => {
      const shared = number(axesCovariance[axisOf[i]]?.[axisOf[j]]) / 4;
      if (!Number.isFinite(shared)) return;
      const own = Math.max(0, u[i] * u[i] - number(axesCovariance[axisOf[i]]?.[axisOf[i]]) / 4);
      out[i * n + j] = shared + (i === j ? own : j === opposite[i] ? -own : 0);
    }),
  );
}
