import { NO_LIMITS } from '../../src/judging/tolerance.ts';
import type { MeasureResult } from '../../src/formats/result.ts';
import type { ReportInput } from '../../src/report/record/record.ts';
import { VERSION } from '../../src/report/record/version.ts';

/** A report of a result about which nothing else is said: no limits, no photos, no job. */
export const bareInput = (result: MeasureResult): ReportInput => ({
  about: {},
  result,
  job: null,
  photos: [],
  tolerance: NO_LIMITS,
  rule: { kind: 'guard' },
  version: VERSION,
});
