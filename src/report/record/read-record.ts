import type { MeasureResult } from '../../formats/result.ts';
import { failure, success, type Result } from '../../result.ts';
import type { ReportRecord, ReportResult } from './record.ts';
import { schemaFault } from './schema-check.ts';
import { REPORT_SCHEMA, RESULT_SCHEMA } from './schema.ts';

/** A report as read from a file, its form checked; its digests are not. The error says what departs, in one line. */
export function readRecord(json: unknown): Result<ReportRecord, string> {
  const fault = schemaFault(json, REPORT_SCHEMA) ?? listsFault((json as ReportRecord).data.result);
  return fault === null ? success(json as ReportRecord) : failure(fault);
}

/** A result as read from a file, its form checked. */
export function readResult(json: unknown): Result<MeasureResult, string> {
  const error = (json as { error?: { message?: unknown; code?: unknown } } | null)?.error;
  if (error) return failure(`the die could not be measured: ${String(error.message ?? error.code).slice(0, 300)}`);
  const fault = schemaFault(json, RESULT_SCHEMA, RESULT_SCHEMA, 'result') ?? listsFault(json as MeasureResult);
  return fault === null ? success(json as MeasureResult) : failure(fault);
}

/** What a schema cannot say: that lists which belong together are equally long, and doubts are those of a covariance. */
function listsFault(r: ReportResult): string | null {
  const square = (m: readonly (readonly number[])[], n: number): boolean =>
    m.length === n && m.every((row) => row.length === n);
  if (!square(r.axesCovariance, r.axes.length)) return 'axesCovariance does not fit the axes';
  if (!square(r.shapeCovariance.matrix, r.shapeCovariance.names.length))
    return 'shapeCovariance does not fit its names';
  if (r.axesCovariance.some((row, i) => row[i]! < 0)) return 'axesCovariance has a negative variance';
  for (const { photo, outline } of r.photos) {
    if (outline === null) continue;
    const n = outline.residuals.length;
    if (
      outline.sigmas.length !== n ||
      outline.points.length !== 2 * n ||
      outline.normals.length !== 2 * n ||
      outline.model.length % 2 !== 0
    )
      // prettier-ignore
      return `the outline of ${JSON.stringify(photo).slice(0, 60)} has lists of unequal length`;
    if (outline.sigmas.some((s) => !(s > 0))) return `the outline of ${JSON.stringify(photo).slice(0, 60)} has a sigma that is none`; // prettier-ignore
  }
  return null;
}
