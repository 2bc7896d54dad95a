import { solidFor } from '../../bias/die/die-shape.ts';
import type { TableChoice } from '../../bias/kernel/kernel.ts';
import { kernelPrediction, throwsPrediction, type KnownShape } from '../../bias/meaning/prediction.ts';
import { readShape } from '../../bias/meaning/shape-record.ts';
import { RECORD_PLAN, thrownRolls, type ThrownRolls } from '../../bias/meaning/thrown-rolls.ts';
import { BLOCK } from '../../bias/throws/throw-blocks.ts';
import { TABLE_NAMES, TABLES } from '../../bias/throws/tables.ts';
import { STACK } from '../../bias/meaning/stack.ts';
import { decimal } from '../kit/format.ts';
import { ThrowRun } from './throw-run.svelte.ts';
import { WhatIf } from './what-if.svelte.ts';

/** An axis that can stand upright in a stack, and its standard uncertainty, mm. */
export interface StackAxis {
  readonly face: number;
  readonly name: string;
  readonly length: number;
  readonly u: number;
}

/** What is looked at of one die's rolls, and all that is typed about them. */
export class RollsRoom {
  readonly read: ReturnType<typeof readShape>;
  readonly whatIf: WhatIf | null;
  readonly throwing = new ThrowRun();
  readonly stackable: readonly StackAxis[];
  table = $state<TableChoice>('unknown');

  dice = $state(String(STACK.dice));
  stackAxes = $state<[number, number]>([0, 1]);
  heights = $state<[string, string]>(['', '']);
  uReading = $state(decimal(0.02, 2));
  spread = $state(String(STACK.dieToDie));

  readonly prediction = $derived.by(() => (this.read.ok ? kernelPrediction(this.read.value, this.table) : this.read));
  /** The best that is known of the measured die: throws of it where the kernel does not serve, as far as they have come. */
  readonly best = $derived.by(() => {
    const { thrown } = this.throwing;
    const atOnce = this.prediction;
    if (!this.read.ok || !atOnce.ok || atOnce.value.beyond.length === 0) return atOnce;
    if (thrown === null || thrown.known !== this.read.value || thrown.plan.table !== this.table) return atOnce;
    return thrown.tally.throws > 0 ? throwsPrediction(thrown.known, this.table, thrown.tally) : atOnce;
  });
  /** The same for what takes time to follow: throws only once they are all there. */
  readonly settled = $derived(this.throwing.running === null ? this.best : this.prediction);
  /** At once for the changed die; as measured where nothing is changed. */
  readonly changedPrediction = $derived.by(() => {
    const shape = this.whatIf?.changed;
    return this.read.ok && shape ? kernelPrediction({ ...this.read.value, shape }, this.table) : this.prediction;
  });

  /** @param record  A measuring result, as it is written to a file. */
  constructor(record: unknown) {
    this.read = readShape(record);
    this.whatIf = this.read.ok ? new WhatIf(this.read.value.shape) : null;
    this.stackable = this.read.ok && this.whatIf ? stackableAxes(this.read.value, this.whatIf) : [];
  }

  /** Whether a record of this die needs throws. */
  get needsThrows(): boolean {
    if (!this.read.ok) return false;
    const atOnce = kernelPrediction(this.read.value, 'unknown');
    return atOnce.ok && atOnce.value.beyond.length > 0;
  }

  /** The throws that this room's chances and a report's are read from; null where there are none, or not all. */
  get recordThrows(): ThrownRolls | null {
    const { thrown, running } = this.throwing;
    if (!this.read.ok || thrown === null || running !== null || !this.needsThrows) return null;
    const { known, plan, tally } = thrown;
    const whole = tally.throws > 0 && tally.throws % (BLOCK * TABLE_NAMES.length) === 0;
    if (known !== this.read.value || plan.table !== 'unknown' || !whole) return null;
    return thrownRolls(known, tally, plan.seed);
  }

  /** Throws what a record needs, where that is still to be done. */
  async throwForRecord(): Promise<ThrownRolls | null> {
    if (this.read.ok && this.recordThrows === null && this.needsThrows)
      await this.throwing.start(this.read.value, RECORD_PLAN, false);
    return this.recordThrows;
  }

  /** Everything typed or chosen here, by name. Heights were measured with a ruler: nobody should have to do it twice. */
  get texts(): Record<string, string> {
    const { dice, heights, uReading, spread, table, stackAxes, whatIf, throwing } = this;
    const own = {
      table,
      dice,
      uReading,
      spread,
      height0: heights[0],
      height1: heights[1],
      axis0: String(stackAxes[0]),
      axis1: String(stackAxes[1]),
      throws: throwing.countText,
      precision: throwing.precisionText,
      seed: throwing.seedText,
      thrownDie: throwing.die,
    };
    return { ...own, ...whatIf?.texts };
  }

  /** Puts back what {@link texts} gave; what is not there, or would be none of the choices, stays. */
  restore(texts: Readonly<Record<string, string>>): void {
    const { table, dice, uReading, spread, height0, height1 } = texts;
    if (table === 'unknown' || (table !== undefined && Object.hasOwn(TABLES, table))) this.table = table as TableChoice;
    this.dice = dice ?? this.dice;
    this.uReading = uReading ?? this.uReading;
    this.spread = spread ?? this.spread;
    this.heights = [height0 ?? this.heights[0], height1 ?? this.heights[1]];
    const axes = [Number(texts['axis0']), Number(texts['axis1'])] as const;
    if (axes.every((i) => Number.isInteger(i) && i >= 0 && i < this.stackable.length)) this.stackAxes = [...axes];
    const { throwing } = this;
    throwing.countText = texts['throws'] ?? throwing.countText;
    throwing.precisionText = texts['precision'] ?? throwing.precisionText;
    throwing.seedText = texts['seed'] ?? throwing.seedText;
    if (texts['thrownDie'] === 'changed') throwing.die = 'changed';
    this.whatIf?.restore(texts);
  }

  /** Standard uncertainty of the difference of two axes, what they share taken out, mm. */
  uDifference(a: StackAxis, b: StackAxis): number {
    return this.read.ok ? uOf(this.read.value, [a.face], [b.face]) : 0;
  }
}

const rooms = new WeakMap<object, RollsRoom>();

/** The room of a record, with all that was typed there before. */
export function roomOf(record: unknown): RollsRoom {
  if (typeof record !== 'object' || record === null) return new RollsRoom(record);
  const kept = rooms.get(record);
  if (kept) return kept;
  // Outside the component that asks first: what is derived must outlive it.
  $effect.root(() => void rooms.set(record, new RollsRoom(record)));
  return rooms.get(record)!;
}

const stackableAxes = (known: KnownShape, { axes }: WhatIf): StackAxis[] =>
  solidFor(known.shape).opposite[0]! < 0 ? [] : axes.map((axis) => ({ ...axis, u: uOf(known, [axis.face], []) }));

/** Standard uncertainty of the sum of axes `plus` less the axes `minus`, each given by one of its faces. */
function uOf({ shape, covariance }: KnownShape, plus: readonly number[], minus: readonly number[]): number {
  if (!covariance) return 0;
  const { opposite } = solidFor(shape);
  const n = shape.distances.length + shape.radii.length;
  const signed = [...plus.map((f) => [f, 1] as const), ...minus.map((f) => [f, -1] as const)];
  const parts = signed.flatMap(([f, sign]) => [[f, sign] as const, [opposite[f]!, sign] as const]);
  const variance = parts.reduce(
    (s, [i, si]) => parts.reduce((t, [j, sj]) => t + si * sj * covariance[i * n + j]!, s),
    0,
  );
  return Math.sqrt(Math.max(0, variance));
}
