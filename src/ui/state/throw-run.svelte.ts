import type { KnownShape } from '../../bias/prediction.ts';
import type { Tally } from '../../bias/throw-blocks.ts';
import { throwBody } from '../../bias/throw-body.ts';
import { runThrows, type ThrowPlan } from '../../bias/throw-run.ts';
import { rollsPool } from '../rolls-client.ts';
import type { WorkerFailure } from '../worker-client.ts';

/** What was thrown, how, and how much of it so far. */
export interface Thrown {
  readonly known: KnownShape;
  readonly plan: ThrowPlan;
  readonly tally: Tally;
}

/** The page is told no more often than this, ms. */
const TELL_EVERY = 200;
/** Most throws of one run: an hour's work for one core. */
export const MOST_THROWS = 100_000_000;

/** Throwing in the pool of workers, one run at a time. */
export class ThrowRun {
  countText = $state('200000');
  seedText = $state('1');
  /** Which die: the measured one or the changed one. */
  die = $state<'measured' | 'changed'>('measured');
  thrown = $state.raw<Thrown | null>(null);
  running = $state.raw<{ readonly done: number; readonly all: number } | null>(null);
  stopped = $state.raw<WorkerFailure | null>(null);
  readonly count = $derived(whole(this.countText, 1));
  readonly seed = $derived(whole(this.seedText, 0));
  #controller: AbortController | null = null;

  /** Throws and shows the running estimate; a run under way is ended. The shape must be a possible one. */
  async start(known: KnownShape, plan: ThrowPlan): Promise<void> {
    this.cancel();
    const body = throwBody(known.shape);
    if (!body.ok) return;
    const controller = (this.#controller = new AbortController());
    const pool = rollsPool(controller.signal);
    this.thrown = null;
    this.stopped = null;
    this.running = { done: 0, all: plan.throws };
    let told = -Infinity;
    const onProgress = (tally: Tally, all: number): void => {
      if (this.#controller !== controller || performance.now() - told < TELL_EVERY) return;
      told = performance.now();
      this.thrown = { known, plan, tally };
      this.running = { done: tally.throws, all };
    };
    const end = await runThrows(body.value, plan, pool.throwers, onProgress, controller.signal);
    pool.dispose();
    if (this.#controller !== controller) return;
    this.running = null;
    if (end.ok) this.thrown = { known, plan, tally: end.value };
    else this.stopped = end.error;
  }

  cancel(): void {
    this.#controller?.abort();
  }
}

function whole(text: string, least: number): number | null {
  const bare = text.trim();
  const value = Number(bare);
  return /^\d+$/.test(bare) && value >= least && value <= MOST_THROWS ? value : null;
}
