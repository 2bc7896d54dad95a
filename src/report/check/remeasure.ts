import type { JobFault } from '../../measure/job-messages.ts';
import { parseJob } from '../../formats/job.ts';
import type { Job, MeasureResult } from '../../formats/result.ts';
import type { Result } from '../../result.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { fileName } from '../record/plain-text.ts';
import type { ReportData, ReportResult } from '../record/record.ts';

/**
 * The job that a report's photos are to be measured by again: the one it holds, else one made from its result (the usual numbering, the
 * card's scale as stated). Names of photos are bare names, never paths.
 */
export function jobOfReport({ job, result }: ReportData): Result<Job, JobFault> {
  const { scaleX, scaleY, checked } = result.card;
  const bare = <T extends { readonly photo: string }>(shots: readonly T[]): T[] =>
    shots.map((s) => ({ ...s, photo: fileName(s.photo) }));
  if (job) return parseJob({ ...job, shots: bare(job.shots) });
  return parseJob({
    die: result.die.kind,
    shots: bare(result.photos.map(({ photo, up, front }) => ({ photo, up, front }))),
    ...(checked ? { checkBar: 100 * scaleX.value, checkBarY: 100 * scaleY.value, checkBarU: Math.max(1e-3, 100 * Math.SQRT2 * scaleX.u) } : {}), // prettier-ignore
  });
}

/** A quantity as the report states it and as measured again; mm. */
export interface Twice {
  readonly name: string;
  readonly stated: number;
  readonly again: number;
  readonly difference: number;
  /** Difference over the stated U95. */
  readonly share: number;
}

export interface Remeasured {
  readonly rows: readonly Twice[];
  /** Whether all are equal to the last digit that the same program on the same photos gives (1e-6 mm). */
  readonly identical: boolean;
  /** Whether no difference exceeds the stated U95. */
  readonly agrees: boolean;
}

/** Two digits behind the micrometre: the same program on the same photos stays below it on every engine. */
const IDENTICAL = 1e-6;

/** A report's result beside one measured anew. Null where they are of different kinds of dice. */
export function sideBySide(stated: ReportResult, again: MeasureResult | ReportResult): Remeasured | null {
  if (stated.die.kind !== again.die.kind) return null;
  const pairs: (readonly [string, { readonly value: number; readonly u: number }, number])[] = [];
  for (const a of stated.axes) {
    const other = again.axes.find((b) => b.name === a.name);
    if (!other) return null;
    pairs.push([`axis ${a.name}`, { value: a.length, u: a.u }, other.length]);
  }
  pairs.push(['mean axis', stated.meanAxis, again.meanAxis.value]);
  pairs.push(['range of axes', stated.rangeOfAxes, again.rangeOfAxes.value]);
  pairs.push(['mean corner radius', stated.meanCornerRadius, again.meanCornerRadius.value]);
  const rows = pairs.map(([name, { value, u }, now]): Twice => {
    const difference = now - value;
    return { name, stated: value, again: now, difference, share: Math.abs(difference) / (COVERAGE_FACTOR * u) };
  });
  return {
    rows,
    identical: rows.every((r) => Math.abs(r.difference) < IDENTICAL),
    agrees: rows.every((r) => r.share <= 1),
  };
}
