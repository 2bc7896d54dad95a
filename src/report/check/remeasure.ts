import { CARD } from '../../geometry/card.ts';
import { CHECK_BAR_U_RANGE } from '../../formats/bounds.ts';
import type { JobFault } from '../../formats/job.ts';
import { parseAsked, type Asked } from '../../measure/asked.ts';
import type { Job, MeasureResult } from '../../formats/result.ts';
import type { Result } from '../../result.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { fileName } from '../record/plain-text.ts';
import type { ReportData, ReportResult } from '../record/record.ts';

/**
 * What a report's photos are to be measured by again, numbers that stayed open being left open: the job that it holds, else one made from its result, which states kind, numbering,
 * apex and the check bars as given. An older result states no bars: then the card's scale stands for them. Names of photos are bare names,
 * never paths.
 */
export function jobOfReport({ job, result }: ReportData): Result<Asked, JobFault> {
  const { kind, numbering, apex } = result.die;
  const told = new Map((job?.shots ?? []).map((s) => [s.photo, s]));
  const photos = result.photos.map((p) => told.get(p.photo) ?? p);
  const others = [...told.values()].filter((s) => !result.photos.some((p) => p.photo === s.photo));
  const shots = [...photos, ...others].map(({ photo, up, front }) => ({
    photo: fileName(photo),
    ...(front === '' ? {} : { up, front }),
  }));
  if (job) return parseAsked({ ...job, shots }, null);
  return parseAsked(
    {
      die: kind,
      ...(numbering === undefined ? {} : { numbering }),
      ...(apex === undefined ? {} : { apex }),
      shots,
      ...barsOf(result.card),
    },
    null,
  );
}

function barsOf({ bars, checked, scaleX, scaleY }: ReportResult['card']): Partial<Job> {
  if (bars) return { checkBar: bars.x, checkBarY: bars.y, checkBarU: bars.u };
  if (!checked) return {};
  return {
    checkBar: CARD.checkBar * scaleX.value,
    checkBarY: CARD.checkBar * scaleY.value,
    checkBarU: Math.max(CHECK_BAR_U_RANGE[0], CARD.checkBar * scaleX.u),
  };
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
