import type { PlannedShot } from '../src/shots/information.ts';
import type { Numbering } from '../src/geometry/numbering.ts';
import type { ResultEvidence } from '../src/shots/result-evidence.ts';
import type { PlanRequest, Reached, ShotPlan } from '../src/shots/plan.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import type { Net } from '../src/figures/net-drawing.ts';
import type { WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the worker that plans shots and weighs photos. */
export const SHOTS_PROTOCOL = 3;

export interface ShotsApi extends WorkerApi {
  /** The best shots for so many more photos, beside those taken. */
  plan(request: PlanRequest, count: number, taken: readonly PlannedShot[]): Promise<ShotPlan>;
  /** What photos taken reach, and the one that helps most beside them. */
  next(request: PlanRequest, taken: readonly PlannedShot[]): Promise<Reached>;
  /** Which photos of a result speak for which axis; null where the result and the numbering do not belong together. */
  evidence(
    result: MeasureResult,
    numbering: Numbering | null,
    apex?: number,
  ): Promise<Omit<ResultEvidence, 'shape'> | null>;
  /** The die of a result laid flat; null as with `evidence`. */
  net(result: MeasureResult, numbering: Numbering | null, apex: number | undefined, tall: boolean): Promise<Net | null>;
}
