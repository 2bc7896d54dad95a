import * as v from 'valibot';
import type { DieKind } from '../geometry/solid.ts';
import { BOUNDS } from '../formats/bounds.ts';
import { LOT_BOUNDS, type FamilyDoubt, type Length, type LotDie } from '../formats/lot.ts';
import { crossed, isSquare, KIND, list, MATRIX, QUANTITY, type CrossFault, type Of } from '../formats/parts.ts';
import { plain, read, type FormatFault } from '../formats/read.ts';
import { REPORT_FORMAT } from '../formats/report.ts';
import {
  AXIS,
  BUDGET_LINE,
  FACE,
  NAMED_RADIUS,
  notMeasured,
  RESULT_FORMAT,
  type NotMeasured,
} from '../formats/result.ts';
import { failure, success, type Result } from '../result.ts';

/**
 * Sources of the uncertainty budget that are drawn anew when a die is photographed anew. The others (the card's scale, where an edge lies
 * in a picture, what the rim mirrors, sharpening) repeat on every die of one material under the same card, camera and light.
 */
const ANEW: readonly string[] = ['noise', 'outline', 'camera'];

/** What a lot needs of a result; covariances and the budget may be missing. */
const SOURCE = v.looseObject({
  format: v.literal(RESULT_FORMAT),
  die: v.looseObject({ kind: KIND }),
  axes: list(v.pick(AXIS, ['name', 'length', 'u']), BOUNDS.axes, 1),
  faces: list(v.pick(FACE, ['name', 'distance', 'u', 'crown']), BOUNDS.faces, 1),
  corners: list(NAMED_RADIUS, BOUNDS.corners, 1),
  meanAxis: QUANTITY,
  rangeOfAxes: QUANTITY,
  meanCornerRadius: QUANTITY,
  budget: v.nullish(list(BUDGET_LINE, BOUNDS.budget)),
  /** Faces, then corners, each in their order above. */
  shapeCovariance: v.nullish(v.looseObject({ matrix: MATRIX })),
  axesCovariance: v.nullish(MATRIX),
});
type Source = Of<typeof SOURCE>;

type Matrix = readonly (readonly number[])[];
const traceOf = (m: Matrix): number => m.reduce((s, row, i) => s + row[i]!, 0);
const sumOf = (m: Matrix): number => m.flat().reduce((s, x) => s + x, 0);
const block = (m: Matrix, from: number, count: number): Matrix =>
  m.slice(from, from + count).map((row) => row.slice(from, from + count));

function sourceFault({ axes, faces, corners, axesCovariance, shapeCovariance }: Source): CrossFault | null {
  if (axesCovariance && !isSquare(axesCovariance, axes.length)) return { at: ['axesCovariance'], need: 'square' };
  const matrix = shapeCovariance?.matrix;
  const at = ['shapeCovariance', 'matrix'];
  if (matrix && !isSquare(matrix, faces.length + corners.length)) return { at, need: 'square' };
  const parts = matrix ? [block(matrix, 0, faces.length), block(matrix, faces.length, corners.length)] : [];
  const bad = (m: Matrix): boolean => traceOf(m) < 0 || sumOf(m) < -1e-12;
  if (parts.some(bad)) return { at, need: 'variance' };
  return axesCovariance && bad(axesCovariance) ? { at: ['axesCovariance'], need: 'variance' } : null;
}

const CHECKED_SOURCE = crossed(SOURCE, sourceFault);
const FROM_REPORT = v.looseObject({
  format: v.literal(REPORT_FORMAT),
  data: v.looseObject({ result: CHECKED_SOURCE }),
});
const FORMAT = v.looseObject({ format: v.picklist([RESULT_FORMAT, REPORT_FORMAT]) });

export type RecordFault = FormatFault | NotMeasured;

/**
 * A die of a lot from a result's parsed JSON ("evencast-result/1"), or from the data of a report ("evencast-report/1"), which hold it; the
 * numbers that belong to the lot are left open.
 */
export function dieFromResult(json: unknown, label: string): Result<{ kind: DieKind; die: LotDie }, RecordFault> {
  const file = read(FORMAT, json);
  if (!file.ok) return file;
  if (file.value.format === REPORT_FORMAT) {
    const report = read(FROM_REPORT, json);
    return report.ok ? success(dieOf(report.value.data.result, label)) : report;
  }
  const failed = notMeasured(json);
  if (failed) return failure(failed);
  const source = read(CHECKED_SOURCE, json);
  return source.ok ? success(dieOf(source.value, label)) : source;
}

function dieOf(source: Source, label: string): { kind: DieKind; die: LotDie } {
  const axes = source.axes.map(({ name, length, u }) => named(name, length, u));
  const faces = source.faces.map(({ name, distance, u }) => named(name, distance, u));
  const corners = source.corners.map(({ name, radius, u }) => named(name, radius, u));
  const shares = sharesOf(source.budget);
  const matrix = source.shapeCovariance?.matrix;
  const part = (from: number, { length }: readonly Length[]): Matrix | null =>
    matrix ? block(matrix, from, length) : null;
  const size = ({ value, u }: Source['meanAxis']): { value: number; u: number } => ({ value, u });
  const die: LotDie = {
    label: plain(label, LOT_BOUNDS.label),
    cavity: null,
    time: null,
    card: null,
    axes,
    faces,
    corners,
    meanAxis: size(source.meanAxis),
    rangeOfAxes: size(source.rangeOfAxes),
    meanCornerRadius: size(source.meanCornerRadius),
    ...crownOf(source.faces),
    doubt: {
      axes: doubtOf(axes, source.axesCovariance ?? null, shares.mean, shares.difference),
      faces: doubtOf(faces, part(0, faces), shares.mean, shares.difference),
      corners: doubtOf(corners, part(faces.length, corners), shares.radius, shares.radius),
    },
    axesCovariance: source.axesCovariance ?? null,
  };
  return { kind: source.die.kind, die };
}

/** The mean of the crowns that were told. What hides one hides the others alike, so their doubts add up. */
function crownOf(faces: Source['faces']): Pick<LotDie, 'meanCrown'> {
  const told = faces.flatMap(({ crown }) => (crown ? [crown] : []));
  if (told.length === 0) return {};
  const mean = (of: 'value' | 'u'): number => told.reduce((s, c) => s + c[of], 0) / told.length;
  return { meanCrown: { value: mean('value'), u: mean('u') } };
}

const named = (name: string, value: number, u: number): Length => ({ name: plain(name), value, u });

/** Share of the variance that is drawn anew. Without a budget: what is common repeats, what differs is drawn anew. */
function sharesOf(budget: Source['budget']): { mean: number; difference: number; radius: number } {
  if (!budget) return { mean: 0, difference: 1, radius: 1 };
  const share = (of: 'meanAxis' | 'difference' | 'meanRadius'): number => {
    const all = budget.reduce((s, l) => s + l[of] ** 2, 0);
    const anew = budget.reduce((s, l) => s + (ANEW.includes(l.source) ? l[of] ** 2 : 0), 0);
    return all > 0 ? anew / all : of === 'meanAxis' ? 0 : 1;
  };
  return { mean: share('meanAxis'), difference: share('difference'), radius: share('meanRadius') };
}

/** Without a covariance all are taken as independent of each other. */
function doubtOf(
  list: readonly Length[],
  matrix: Matrix | null,
  meanShare: number,
  differenceShare: number,
): FamilyDoubt {
  const k = list.length;
  const trace = matrix ? traceOf(matrix) : list.reduce((s, l) => s + l.u ** 2, 0);
  const sum = matrix ? sumOf(matrix) : trace;
  const mean = Math.max(0, sum) / k ** 2;
  const difference = k > 1 ? Math.max(0, trace - Math.max(0, sum) / k) / (k - 1) : 0;
  return {
    ownMean: Math.sqrt(mean * meanShare),
    ownDifference: Math.sqrt(difference * differenceShare),
    repeatedMean: Math.sqrt(mean * (1 - meanShare)),
    repeatedDifference: Math.sqrt(difference * (1 - differenceShare)),
  };
}
