import { expose } from 'comlink';
import { resultEvidence, resultShape } from '../src/shots/result-evidence.ts';
import { ShotPlanner, type PlanRequest } from '../src/shots/plan.ts';
import { NET_ASPECT, NET_ASPECT_TALL, netOf } from '../src/figures/net-drawing.ts';
import { SHOTS_PROTOCOL, type ShotsApi } from './shots-protocol.ts';

/** The planner of the last request; most calls ask for the same die again. */
let last: { readonly key: string; readonly planner: ShotPlanner } | undefined;

function plannerFor(request: PlanRequest): ShotPlanner {
  const key = JSON.stringify(request);
  if (last?.key !== key) last = { key, planner: new ShotPlanner(request) };
  return last.planner;
}

/** What is made of a result, or null where it does not belong to its numbering. */
function fitting<T>(make: () => T): Promise<T | null> {
  try {
    return Promise.resolve(make());
  } catch (thrown) {
    if (thrown instanceof RangeError) return Promise.resolve(null);
    throw thrown;
  }
}

const api: ShotsApi = {
  protocol: SHOTS_PROTOCOL,
  plan: (request, count, taken) => Promise.resolve(plannerFor(request).plan(count, taken)),
  next: (request, taken) => Promise.resolve(plannerFor(request).next(taken)),
  evidence: (...of) =>
    fitting(() => {
      const { axes, shares, bearing } = resultEvidence(...of);
      return { axes, shares, bearing };
    }),
  net: (result, numbering, apex, tall) =>
    fitting(() => netOf(resultShape(result, numbering, apex), tall ? NET_ASPECT_TALL : NET_ASPECT)),
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
