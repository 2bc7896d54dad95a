import { expose } from 'comlink';
import { resultEvidence } from '../src/measure/shot-evidence.ts';
import { ShotPlanner, type PlanRequest } from '../src/measure/shot-plan.ts';
import { SHOTS_PROTOCOL, type ShotsApi } from './shots-protocol.ts';

/** The planner of the last request; most calls ask for the same die again. */
let last: { readonly key: string; readonly planner: ShotPlanner } | undefined;

function plannerFor(request: PlanRequest): ShotPlanner {
  const key = JSON.stringify(request);
  if (last?.key !== key) last = { key, planner: new ShotPlanner(request) };
  return last.planner;
}

const api: ShotsApi = {
  protocol: SHOTS_PROTOCOL,
  plan: (request, count, taken) => Promise.resolve(plannerFor(request).plan(count, taken)),
  next: (request, taken) => Promise.resolve(plannerFor(request).next(taken)),
  evidence(result, numbering, apex) {
    try {
      const { axes, shares, bearing } = resultEvidence(result, numbering, apex);
      return Promise.resolve({ axes, shares, bearing });
    } catch (thrown) {
      if (thrown instanceof RangeError) return Promise.resolve(null);
      throw thrown;
    }
  },
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
