import { solidFor, type DieShape } from '../../bias/die-shape.ts';
import type { TableChoice } from '../../bias/kernel.ts';
import { kernelPrediction, rollOrder } from '../../bias/prediction.ts';
import { readShape } from '../../bias/shape-record.ts';
import { STACK } from '../../bias/stack.ts';
import { ARGUMENT, axisLength, withAxis, withDistance, withMark, withMassTowards } from '../../bias/what-if.ts';
import { decimal, typedNumber } from '../format.ts';
import { ThrowRun } from './throw-run.svelte.ts';

/** One length that can be changed: an axis, or on a d4 a face's distance twice. */
export interface ChangeableAxis {
  readonly face: number;
  readonly name: string;
  readonly length: number;
  /** As shown before anything is typed. */
  readonly shown: string;
}

/** What is looked at of one die's rolls, and all that is typed about them. */
export class RollsRoom {
  readonly read: ReturnType<typeof readShape>;
  readonly axes: readonly ChangeableAxis[];
  readonly throwing = new ThrowRun();
  table = $state<TableChoice>('unknown');

  axisTexts = $state<string[]>([]);
  radiusText = $state('100');
  markFace = $state('');
  markHeight = $state(String(ARGUMENT.markHeight));
  markWidth = $state(String(ARGUMENT.markWidth));
  massFace = $state('');
  massBy = $state(String(ARGUMENT.mass));

  dice = $state(String(STACK.dice));
  stackAxes = $state<[number, number]>([0, 1]);
  heights = $state<[string, string]>(['', '']);
  uReading = $state('0.02');
  spread = $state(String(STACK.dieToDie));

  readonly prediction = $derived.by(() => (this.read.ok ? kernelPrediction(this.read.value, this.table) : this.read));
  readonly changed: DieShape | null = $derived.by(() => (this.read.ok ? this.#changed(this.read.value.shape) : null));
  readonly changedPrediction = $derived.by(() =>
    this.read.ok && this.changed !== null
      ? kernelPrediction({ ...this.read.value, shape: this.changed }, this.table)
      : this.read.ok
        ? this.prediction
        : this.read,
  );

  /** @param record  A measuring result, as it is written to a file. */
  constructor(record: unknown) {
    this.read = readShape(record);
    this.axes = this.read.ok ? axesOf(this.read.value.shape) : [];
    this.reset();
  }

  /** Takes back all that was changed for "what if". */
  reset(): void {
    this.axisTexts = this.axes.map(({ shown }) => shown);
    this.radiusText = '100';
    this.markFace = '';
    this.massFace = '';
  }

  /** The die as typed; null as long as nothing differs from the measured one. */
  #changed(measured: DieShape): DieShape | null {
    let shape = measured;
    this.axes.forEach(({ face, shown }, i) => {
      const typed = this.axisTexts[i] === shown ? null : number(this.axisTexts[i] ?? '');
      if (typed === null) return;
      shape = measured.kind === 'd4' ? withDistance(shape, face, typed / 2) : withAxis(shape, face, typed);
    });
    const scale = number(this.radiusText);
    if (scale !== null && scale !== 100) shape = { ...shape, radii: shape.radii.map((r) => (r * scale) / 100) };
    const [height, width, by] = [number(this.markHeight), number(this.markWidth), number(this.massBy)];
    if (this.markFace !== '' && height !== null && width !== null)
      shape = withMark(shape, { face: Number(this.markFace), at: [0, 0], height, width });
    if (this.massFace !== '' && by !== null) shape = withMassTowards(shape, Number(this.massFace), by);
    return shape === measured ? null : shape;
  }
}

const number = (text: string): number | null => {
  const typed = typedNumber(text);
  return typed === null || Number.isNaN(typed) ? null : typed;
};

function axesOf(shape: DieShape): ChangeableAxis[] {
  const { opposite } = solidFor(shape);
  const low = [...rollOrder(shape)].sort((a, b) => Number(shape.labels[a]) - Number(shape.labels[b]));
  return low
    .filter((f) => opposite[f]! < 0 || low.indexOf(f) < low.indexOf(opposite[f]!))
    .map((face) => ({
      face,
      name: opposite[face]! < 0 ? shape.labels[face]! : `${shape.labels[face]}-${shape.labels[opposite[face]!]}`,
      length: axisLength(shape, face),
      shown: decimal(axisLength(shape, face), 3),
    }));
}
