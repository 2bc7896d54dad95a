import type { KnownShape } from '../../bias/meaning/prediction.ts';
import type { Tally } from '../../bias/throws/throw-blocks.ts';
import { throwBody } from '../../bias/throws/throw-body.ts';
import { runThrows, type ThrowPlan } from '../../bias/throw-run.ts';
import { sharpened } from '../../bias/meaning/what-if.ts';
import { typedNumber } from '../kit/format.ts';
import { rollsPool } from './rolls-client.ts';
import type { WorkerFailure } from '../kit/worker-client.ts';

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
/** Throws of a sharp die of the same size, whose time and way are compared. */
const SHARP_THROWS = 40_000;
/** Precisions that can be asked for, %. */
const PRECISIONS = [0.05, 50] as const;

/** Throwing in the pool of workers, one run at a time. */
export class ThrowRun {
  countText = $state('200000');
  seedText = $state('1');
  precisionText = $state('');
  /** Which die: the measured one or the changed one. */
  die = $state<'measured' | 'changed'>('measured');
  thrown = $state.raw<Thrown | null>(null);
  /** The sharp die of that size; null until it is thrown. */
  sharp = $state.raw<Tally | null>(null);
  running = $state.raw<{ readonly done: number; readonly all: number } | null>(null);
  stopped = $state.raw<WorkerFailure | null>(null);
  readonly count = $derived(whole(this.countText, 1));
  readonly seed = $derived(whole(this.seedText, 0));
  /** Share of each chance to be known to; null: never sooner than all throws; NaN for what cannot be. */
  readonly precision = $derived(share(this.precisionText));
  #controller: AbortController | null = null;

  /**
   * Throws and shows the running estimate; a run under way is ended. The shape must be a possible one.
   *
   * @param withSharp  Throws a sharp die of the same size afterwards.
   */
  async start(known: KnownShape, plan: ThrowPlan, withSharp = true): Promise<void> {
    this.cancel();
    const body = throwBody(known.shape);
    if (!body.ok) return;
    const controller = (this.#controller = new AbortController());
    const current = (): boolean => this.#controller === controller;
    const pool = rollsPool(controller.signal);
    this.thrown = this.sharp = this.stopped = null;
    this.running = { done: 0, all: plan.throws };
    let told = -Infinity;
    const onProgress = (tally: Tally, all: number): void => {
      if (!current() || performance.now() - told < TELL_EVERY) return;
      told = performance.now();
      this.thrown = { known, plan, tally };
      this.running = { done: tally.throws, all };
    };
    const end = await runThrows(body.value, plan, pool.throwers, onProgress, controller.signal);
    if (current() && end.ok) {
      this.thrown = { known, plan, tally: end.value };
      const sharp = withSharp ? throwBody(sharpened(known.shape)) : null;
      if (sharp?.ok) {
        const few = { ...plan, throws: Math.min(end.value.throws, SHARP_THROWS), precision: null };
        const other = await runThrows(sharp.value, few, pool.throwers, undefined, controller.signal);
        if (current() && other.ok) this.sharp = other.value;
      }
    }
    pool.dispose();
    if (!current()) return;
    this.running = null;
    if (!end.ok) this.stopped = end.error;
    else if (controller.signal.aborted) this.stopped = { code: 'cancelled' };
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

function share(text: string): number | null {
  const typed = typedNumber(text);
  if (typed === null) return null;
  return typed >= PRECISIONS[0] && typed <= PRECISIONS[1] ? typed / 100 : NaN;
}
