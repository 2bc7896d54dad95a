import type { DieKind } from '../../geometry/solid.ts';
import { meanDistance, solidOf, trueShape, type DieShape } from '../die/die-shape.ts';
import { faceFrame } from '../die/face-frame.ts';
import { FLAW_HEIGHTS, MARK_PLACES, TRIM_DEPTH } from './flaw-scales.ts';
import { centredLogs } from './kernel-fit.ts';
import type { FlawTable } from './kernel.ts';
import { kernelGrid } from '../die/symmetry.ts';
import { HAND, TABLES, type TableName } from '../throws/tables.ts';
import { throwBody } from '../throws/throw-body.ts';
import { thrower } from '../throws/throws.ts';

/** Faces that lay down in `count` throws: the same throws for every shape. */
export type Outcomes = (shape: DieShape, table: TableName, count: number) => Uint8Array;

export function outcomes(seed: number): Outcomes {
  return (shape, table, count) => {
    const body = throwBody(shape);
    if (!body.ok) throw new Error(`flaw that cannot be thrown: ${body.error.code}`);
    return Uint8Array.from(thrower(body.value, TABLES[table], HAND)(seed, 0, count), ({ face }) => face);
  };
}

/** What mark, crown and trim do on the true die of a kind, from the same throws with and without. */
export function fitFlaws(kind: DieKind, table: TableName, count: number, thrown: Outcomes): FlawTable {
  const base = trueShape(kind);
  const h = meanDistance(base);
  const plain = thrown(base, table, count);
  const change = (shape: DieShape): number => pairedChange(plain, thrown(shape, table, count), base.labels.length);
  const land = faceFrame(base, 0).innerRadius;
  const marked = (height: number, place: number): DieShape => ({
    ...base,
    mark: {
      face: 0,
      at: [place * land * Math.SQRT1_2, place * land * Math.SQRT1_2],
      height: height * h,
      width: Math.max(0.1, 4 * height) * h,
    },
  });
  const crowned = (height: number): DieShape => ({
    ...base,
    crowns: base.labels.map((_, f) => (f === 0 ? height * h : 0)),
  });
  const mark = FLAW_HEIGHTS.map((height) => change(marked(height, 0)));
  return {
    mark,
    markAway: MARK_PLACES.map((place) => change(marked(FLAW_HEIGHTS[1], place)) / mark[1]),
    crown: FLAW_HEIGHTS.map((height) => change(crowned(height))),
    trim: trimClasses(
      kind,
      thrown({ ...base, trim: { faces: solidOf(kind).edges[0].faces, depth: TRIM_DEPTH * h } }, table, 5 * count),
    ),
  };
}

/** Change of ln p of face 0 against the others, from two runs of the same throws. */
function pairedChange(before: Uint8Array, after: Uint8Array, faces: number): number {
  const share = (list: Uint8Array): number => list.reduce((s, f) => s + (f === 0 ? 1 : 0), 0) / list.length;
  const p = 1 / faces + share(after) - share(before);
  return Math.log(p / (1 - p)) - Math.log(1 / (faces - 1));
}

/** Change of ln p per class of (face, trimmed edge), per mean face distance of depth, in the order of the kernel's classes; 0 elsewhere. */
function trimClasses(kind: DieKind, faces: Uint8Array): number[] {
  const { classes, directions } = kernelGrid(kind);
  const { labels } = solidOf(kind);
  const counts = new Float64Array(labels.length);
  for (const f of faces) counts[f]++;
  const logs = centredLogs(counts);
  const edge = directions.types.indexOf('E');
  const sum = classes.names.map(() => 0);
  const members = classes.names.map(() => 0);
  labels.forEach((_, f) => {
    const c = classes.of[f * directions.vectors.length + edge];
    sum[c] += logs[f] / TRIM_DEPTH;
    members[c]++;
  });
  return sum.map((s, c) => (members[c] > 0 ? s / members[c] : 0));
}
