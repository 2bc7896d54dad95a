/** Training of the reader's net: forward, backward and steps (Adam: Kingma and Ba 2015) over batches. */
import { CLASSES } from '../../src/faces/reader/classes.ts';
import { Forward, type Stage } from '../../src/faces/reader/forward.ts';
import { CONVOLUTIONS, LAYER_SIZES, type Convolution, type Layer } from '../../src/faces/reader/net.ts';
import { seededNormal, seededRandom } from '../../src/maths/random.ts';

/** How a step is taken; the defaults, and the only place that states them. */
export const STEPS = { batch: 64, rate: 2e-3, mean: 0.9, square: 0.999, decay: 1e-4 } as const;

/** What a stage needs besides to learn. */
interface Learning extends Stage {
  /** [batch x places x inputs]: what lies under the kernel at each place. */
  readonly rows: Float32Array;
  /** Gradients of what stands in the stage. */
  readonly byOut: Float32Array;
  readonly byRows: Float32Array;
  readonly byWeights: Float32Array;
  readonly byOffsets: Float32Array;
  readonly byHalved: Float32Array;
  readonly turned: Float32Array;
  readonly back: Float32Array;
  readonly moments: readonly Float32Array[];
}

const extra = (s: { inputs: number; outputs: number; places: number }): number =>
  2 * s.inputs * s.outputs + STEPS.batch * s.places * (3 * s.inputs + s.outputs);

/** A net that learns. */
export class Pupil {
  readonly #forward: Forward;
  readonly #stages: readonly Learning[];
  #steps = 0;

  constructor(seed: number) {
    const more = LAYER_SIZES.reduce(
      (s, [inputs, outputs], k) =>
        s + extra({ inputs: inputs + 4, outputs, places: CONVOLUTIONS[k] ? CONVOLUTIONS[k].out ** 2 : 1 }),
      0,
    );
    const forward = new Forward(STEPS.batch, more);
    this.#forward = forward;
    const normal = seededNormal(seededRandom(seed));
    this.#stages = forward.stages.map((l, k) => {
      const array = (length: number): Float32Array => forward.products.array(length);
      const real = LAYER_SIZES[k]![0];
      for (let i = 0; i < real * l.outputs; i++) l.weights[i] = normal() * Math.sqrt(2 / real);
      const rows = array(l.starts.length * l.inputs);
      return {
        ...l,
        rows,
        byOut: array(l.out.length),
        byRows: array(rows.length),
        byWeights: array(l.weights.length),
        byOffsets: new Float32Array(l.outputs),
        byHalved: new Float32Array(l.halved?.length ?? 0),
        turned: array(rows.length),
        back: array(l.weights.length),
        moments: [0, 1, 2, 3].map((m) => new Float32Array(m < 2 ? l.weights.length : l.outputs)),
      };
    });
  }

  /** The layers as the reader takes them. */
  get layers(): Layer[] {
    return this.#stages.map((l, k) => ({
      inputs: LAYER_SIZES[k]![0],
      outputs: l.outputs,
      weights: l.weights.slice(0, LAYER_SIZES[k]![0] * l.outputs),
      offsets: l.offsets.slice(),
    }));
  }

  /** Learns from one batch at a share of the full rate. @returns mean loss, natural logarithm, and share that was right. */
  learn(patches: Float32Array, classes: Uint8Array, rate: number): { loss: number; right: number } {
    this.#forward.run(patches);
    const told = this.#judge(classes);
    this.#backward();
    this.#step(rate * STEPS.rate);
    return told;
  }

  /** Loss, and its gradient by the outputs. */
  #judge(classes: Uint8Array): { loss: number; right: number } {
    const last = this.#stages.at(-1)!;
    let loss = 0;
    let right = 0;
    last.byOut.fill(0);
    for (let k = 0; k < STEPS.batch; k++) {
      const logits = last.out.subarray(k * last.outputs, k * last.outputs + CLASSES.length);
      const top = logits.reduce((a, b) => Math.max(a, b));
      let sum = 0;
      for (const l of logits) sum += Math.exp(l - top);
      loss -= logits[classes[k]!]! - top - Math.log(sum);
      if (logits[classes[k]!] === top) right++;
      logits.forEach((l, c) => {
        last.byOut[k * last.outputs + c] = (Math.exp(l - top) / sum - (c === classes[k] ? 1 : 0)) / STEPS.batch;
      });
    }
    return { loss: loss / STEPS.batch, right: right / STEPS.batch };
  }

  #backward(): void {
    for (let k = this.#stages.length - 1; k >= 0; k--) {
      const stage = this.#stages[k]!;
      this.#gradient(stage, k > 0);
      if (k === 0) return;
      const below = this.#stages[k - 1]!;
      const to = below.halved ? below.byHalved : below.byOut;
      const c = CONVOLUTIONS[k];
      if (c) {
        to.fill(0);
        gather(c, stage.byRows, stage.inputs, to);
      } else to.set(stage.byRows);
      if (below.halved) scatter(CONVOLUTIONS[k - 1]!, below);
      cutWhere(below.out, below.byOut);
    }
  }

  #gradient(layer: Learning, below: boolean): void {
    const { inputs, outputs, rows, byOut, turned, byWeights, byOffsets, byRows, weights, back } = layer;
    const count = byOut.length / outputs;
    const products = this.#forward.products;
    unroll(layer);
    transpose(rows, count, inputs, turned);
    byWeights.fill(0);
    products.add(inputs, outputs, count, turned, byOut, byWeights);
    byOffsets.fill(0);
    for (let r = 0; r < count; r++) for (let c = 0; c < outputs; c++) byOffsets[c]! += byOut[r * outputs + c]!;
    if (!below) return;
    transpose(weights, inputs, outputs, back);
    byRows.fill(0);
    products.add(count, inputs, outputs, byOut, back, byRows);
  }

  #step(rate: number): void {
    this.#steps++;
    const a = 1 - STEPS.mean ** this.#steps;
    const b = 1 - STEPS.square ** this.#steps;
    const move = (x: Float32Array, by: Float32Array, m: Float32Array, v: Float32Array, decay: number): void => {
      for (let k = 0; k < x.length; k++) {
        const g = by[k]!;
        m[k] = STEPS.mean * m[k]! + (1 - STEPS.mean) * g;
        v[k] = STEPS.square * v[k]! + (1 - STEPS.square) * g * g;
        x[k]! -= rate * (m[k]! / a / (Math.sqrt(v[k]! / b) + 1e-8) + decay * x[k]!);
      }
    };
    for (const l of this.#stages) {
      move(l.weights, l.byWeights, l.moments[0]!, l.moments[1]!, STEPS.decay);
      move(l.offsets, l.byOffsets, l.moments[2]!, l.moments[3]!, 0);
    }
  }
}

/** The values under each place of a layer's kernel, one row per place; what a row is longer than them is not touched. */
function unroll({ starts, from, run, lines, skip, rows, inputs }: Learning): void {
  for (let r = 0; r < starts.length; r++) {
    let [at, to] = [(starts[r]! - from.byteOffset) / 4, r * inputs];
    for (let line = 0; line < lines; line++, at += skip) for (let i = 0; i < run; i++) rows[to++] = from[at++]!;
  }
}

/** The reverse of halving: what came from the largest of four, the first of them that are alike, goes back to it alone. */
function scatter({ out: side, to }: Convolution, { byHalved, byOut, out }: Learning): void {
  byOut.fill(0);
  let o = 0;
  for (let line = 0; line < (STEPS.batch * side) / 2; line++)
    for (let x = 0; x < side / 2; x++)
      for (let c = 0; c < to; c++, o++) {
        const first = 2 * (line * side + x) * to + c;
        let best = first;
        for (const k of [first + to, first + side * to, first + (side + 1) * to]) if (out[k]! > out[best]!) best = k;
        byOut[best] = byHalved[o]!;
      }
}

/** What was cut to 0 hands no gradient on. */
function cutWhere(out: Float32Array, by: Float32Array): void {
  for (let i = 0; i < out.length; i++) if (!(out[i]! > 0)) by[i] = 0;
}

function transpose(from: Float32Array, rows: number, columns: number, to: Float32Array): void {
  for (let c = 0; c < columns; c++) for (let r = 0; r < rows; r++) to[c * rows + r] = from[r * columns + c]!;
}

/** The reverse of unrolling: each row's gradients added to the places that it was made of, patch after patch. */
function gather(
  { kernel, step, pad, side, out, from }: Convolution,
  by: Float32Array,
  width: number,
  to: Float32Array,
): void {
  let row = 0;
  for (let k = 0; k < STEPS.batch; k++)
    for (let y = 0; y < out; y++)
      for (let x = 0; x < out; x++, row += width)
        for (let j = 0; j < kernel; j++) {
          const v = y * step + j - pad;
          if (v < 0 || v >= side) continue;
          const first = Math.max(0, pad - x * step);
          const end = Math.min(kernel, side + pad - x * step);
          const at = ((k * side + v) * side + x * step - pad) * from;
          const p = row + j * kernel * from;
          for (let i = first * from; i < end * from; i++) to[at + i]! += by[p + i]!;
        }
}
