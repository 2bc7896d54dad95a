import { alongBearing } from '../../geometry/face-bearing.ts';
import type { DieKind } from '../../geometry/solid.ts';
import { dot } from '../../geometry/vec.ts';
import { cholesky } from '../../maths/linear.ts';
import type { MarkResult, NotMeasured } from '../../formats/result.ts';
import { readShapeFile, type ShapeFile } from '../../formats/shape.ts';
import { plain, type FormatFault } from '../../formats/read.ts';
import { failure, success, type Result } from '../../result.ts';
import { NOMINAL, solidFor, solidOf, type DieShape, type Mark } from '../die/die-shape.ts';
import { faceFrame } from '../die/face-frame.ts';
import { namedFaces } from '../die/face-names.ts';
import type { KnownShape } from './prediction.ts';
import { isKind, shapeFault, type ShapeFault } from '../die/shape-check.ts';

/** Why a record gives no shape. */
export type RecordFault =
  | FormatFault
  | NotMeasured
  | { readonly code: 'names-do-not-fit'; readonly kind: string; readonly names: readonly string[] }
  | ShapeFault;

/** A measuring result read for throwing; `notes` say what was left open. */
export interface ReadShape extends KnownShape {
  readonly notes: readonly ('no-corners' | 'no-uncertainty')[];
}

/** Reads a parsed measuring result. `die.kind`, `faces[].name`, `.distance` and `corners[].name`, `.radius` suffice. */
export function readShape(json: unknown): Result<ReadShape, RecordFault> {
  const file = readShapeFile(json);
  if (!file.ok) return failure(lengthFault(file.error) ?? file.error);
  const { die, faces } = file.value;
  const { kind } = die;
  if (!isKind(kind)) return failure({ code: 'kind-not-modelled', kind: plain(kind) });
  const corners = file.value.corners ?? [];
  const names = faces.map((f) => f.name);
  const labels = namedFaces(
    kind,
    names,
    corners.map((c) => c.name.split('-')),
  );
  if (!labels) return failure({ code: 'names-do-not-fit', kind, names: names.map((n) => plain(n)) });
  const shape = shapeOf(kind, labels, file.value, corners);
  // A place whose corner is not in the file, though others are.
  if (shape.radii.some(Number.isNaN))
    return failure(
      corners.length === shape.radii.length
        ? { code: 'names-do-not-fit', kind, names: corners.map((c) => plain(c.name)) }
        : { code: 'count-wrong', what: 'corners', seen: corners.length, needed: shape.radii.length },
    );
  const fault = shapeFault(shape);
  if (fault) return failure(fault);
  const stated = covarianceOf(shape, file.value, corners);
  const covariance = stated && isCovariance(stated) ? stated : null;
  const notes: ReadShape['notes'][number][] = [];
  if (corners.length === 0) notes.push('no-corners');
  if (!covariance) notes.push('no-uncertainty');
  return success({ shape, covariance, notes });
}

/** Lengths that a shape hangs on, by their places in its file. */
const LENGTHS = [
  [/^faces\[\d+\]\.distance$/, 'face distance'],
  [/^corners\[\d+\]\.radius$/, 'corner radius'],
] as const;

/** A number that is no finite one is told as any other impossible length is, not by its place in a file that may not be one. */
function lengthFault(fault: FormatFault | NotMeasured): ShapeFault | null {
  if (fault.code !== 'wrong' || fault.need !== 'number') return null;
  const what = LENGTHS.find(([place]) => place.test(fault.place))?.[1];
  const value = Number(fault.seen);
  const isOne = fault.seen === 'NaN' || Math.abs(value) === Infinity;
  return what !== undefined && isOne ? { code: 'not-a-length', what, value } : null;
}

type Corners = NonNullable<ShapeFile['corners']>;

const sameFaces = (a: string, b: readonly string[]): boolean =>
  a.split('-').sort().join('-') === [...b].sort().join('-');

function shapeOf(kind: DieKind, labels: readonly string[], file: ShapeFile, corners: Corners): DieShape {
  const { corners: places } = solidOf(kind);
  const { die, trim, massOffset, meanCornerRadius } = file;
  const own = labels.map((l) => file.faces.find((f) => f.name === l)!);
  const distances = own.map((f) => f.distance);
  const scale = distances.reduce((s, d) => s + d, 0) / distances.length / (NOMINAL[kind].size / 2);
  const usual = meanCornerRadius?.value ?? NOMINAL[kind].radius * scale;
  const radii = places.map(({ faces }) => {
    const names = faces.map((f) => labels[f]!);
    return corners.find((c) => sameFaces(c.name, names))?.radius ?? (corners.length === 0 ? usual : NaN);
  });
  // Of a die whose crowns were measured, a face that no photo saw edge-on is crowned as the others are: as a flat one it would seem to win by them.
  const measured = own.flatMap(({ crown }) => (crown && typeof crown === 'object' ? [crown.value] : []));
  const usualCrown = measured.length > 0 ? measured.reduce((s, c) => s + c, 0) / measured.length : null;
  const crowns = own.map(({ crown }) => (typeof crown === 'number' ? crown : (crown?.value ?? usualCrown)));
  const [a, b] = trim ? trim.edge.split('-').map((name) => labels.indexOf(name)) : [];
  const bare: DieShape = {
    kind,
    ...(kind === 'd10' && typeof die.apex === 'number' ? { apex: die.apex } : {}),
    labels,
    distances,
    radii,
    ...(crowns.some((c) => c !== null) ? { crowns: crowns.map((c) => c ?? 0) } : {}),
    ...(trim ? { trim: { faces: [a ?? -1, b ?? -1], depth: trim.depth } } : {}),
    ...(massOffset ? { massOffset } : {}),
  };
  const mark = markOf(bare, file);
  return mark ? { ...bare, mark } : bare;
}

/** The mark as a hand gives it, else the highest that was measured: the one that a die rocks on. Sunk ones and colour touch nothing. */
function markOf(shape: DieShape, { mark, marks }: ShapeFile): Mark | null {
  const { labels } = shape;
  if (mark) return { face: labels.indexOf(mark.face), at: mark.at ?? [0, 0], height: mark.height, width: mark.width };
  const proud = (marks ?? []).flatMap((m) =>
    m.height && m.height.value > 0 ? [{ ...m, height: m.height.value }] : [],
  );
  if (proud.length === 0) return null;
  const highest = proud.reduce((a, b) => (b.height > a.height ? b : a));
  const face = labels.indexOf(highest.face);
  const width = Math.sqrt(highest.size[0] * highest.size[1]);
  return { face, at: placeOn(shape, face, highest), height: highest.height, width };
}

/** Where a mark lies along the axes of its face here. Where its bearing is not known: so far out towards the face's first corner. */
function placeOn(
  shape: DieShape,
  face: number,
  { place, bearing }: Pick<MarkResult, 'place' | 'bearing'>,
): readonly [number, number] {
  const far = Math.hypot(...place);
  if (face < 0) return [0, 0];
  const solid = solidFor(shape);
  const corner = solid.corners.findIndex(
    ({ faces }) =>
      bearing &&
      faces.includes(face) &&
      sameFaces(
        bearing.corner,
        faces.map((f) => shape.labels[f]),
      ),
  );
  if (!bearing || corner < 0) return [far, 0];
  const along = alongBearing(solid, face, corner, bearing.angle);
  const { x, y } = faceFrame(shape, face);
  return [far * dot(along, x), far * dot(along, y)];
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
function covarianceOf(shape: DieShape, file: ShapeFile, corners: Corners): Float64Array | null {
  const solid = solidFor(shape);
  const params = [
    ...shape.labels.map((l) => ({ name: `face ${l}`, own: [l] })),
    ...solid.corners.map((c) => ({ name: 'corner', own: c.faces.map((f) => shape.labels[f]) })),
  ];
  const { names, matrix } = file.shapeCovariance ?? {};
  if (names && matrix) {
    const at = params.map(({ name, own }) =>
      names.findIndex(
        (n) => n === name || (name === 'corner' && n.startsWith('corner ') && sameFaces(n.slice(7), own)),
      ),
    );
    return Float64Array.from(at.flatMap((i) => at.map((j) => matrix[i]?.[j] ?? 0)));
  }
  const u = [
    ...shape.labels.map((l) => file.faces.find((f) => f.name === l)?.u),
    ...solid.corners.map((c) => {
      const own = c.faces.map((f) => shape.labels[f]!);
      return corners.find((r) => sameFaces(r.name, own))?.u;
    }),
  ].map((x) => x ?? 0);
  if (u.every((x) => x === 0)) return null;
  const out = new Float64Array(u.length ** 2);
  u.forEach((x, i) => (out[i * (u.length + 1)] = x * x));
  shareAxes(out, u, shape, file);
  return out;
}

/** What two axes have in common moves all four faces; what is left of a face's own doubt moves it against its opposite. */
function shareAxes(out: Float64Array, u: readonly number[], shape: DieShape, file: ShapeFile): void {
  const { opposite } = solidFor(shape);
  const { axes, axesCovariance } = file;
  if (!axes || !axesCovariance || opposite[0] < 0) return;
  const axisOf = shape.labels.map((l) => axes.findIndex((a) => a.name.split('-').includes(l)));
  const n = u.length;
  shape.labels.forEach((_, i) =>
    shape.labels.forEach((_l, j) => {
      const shared = (axesCovariance[axisOf[i]]?.[axisOf[j]] ?? NaN) / 4;
      if (!Number.isFinite(shared)) return;
      const own = Math.max(0, u[i] * u[i] - (axesCovariance[axisOf[i]]?.[axisOf[i]] ?? NaN) / 4);
      out[i * n + j] = shared + (i === j ? own : j === opposite[i] ? -own : 0);
    }),
  );
}
