/** Training of the reader's net: forward, backward and steps (Adam: Kingma and Ba 2015) over batches. */
import { CLASSES } from '../../src/faces/reader/classes.ts';
import { firstRows, LAYER_SIZES, NET, PATCH, squareRows, type Layer } from '../../src/faces/reader/net.ts';
import { seededNormal, seededRandom } from '../../src/maths/random.ts';
import { Products } from './product.ts';

/** How a step is taken; the defaults, and the only place that states them. */
export const STEPS = { batch: 64, rate: 2e-3, mean: 0.9, square: 0.999, decay: 1e-4 } as const;

/** One layer while it learns. */
interface Learning {
  readonly inputs: number;
  readonly outputs: number;
  /** Places of the layer in one patch. */
  readonly places: number;
  readonly weights: Float32Array;
  readonly offsets: Float32Array;
  readonly rows: Float32Array;
  readonly out: Float32Array;
  /** Gradients of what stands above. */
  readonly byOut: Float32Array;
  readonly byRows: Float32Array;
  readonly byWeights: Float32Array;
  readonly byOffsets: Float32Array;
  readonly turned: Float32Array;
  readonly back: Float32Array;
  readonly moments: readonly Float32Array[];
}

/** A net that learns. */
export class Pupil {
  readonly #products: Products;
  readonly #layers: readonly Learning[];
  readonly #halved: Float32Array;
  readonly #from: Uint8Array;
  readonly #byHalved: Float32Array;
  #steps = 0;

  constructor(seed: number) {
    const n = STEPS.batch;
    const places = [NET.first.side ** 2, NET.second.side ** 2, NET.third.side ** 2, 1, 1];
    // Inputs padded to whole fours: the product needs it for the gradient's rows.
    const sizes = LAYER_SIZES.map(([inputs, outputs], k) => ({ inputs: Math.ceil(inputs / 4) * 4, outputs, places: places[k]! })); // prettier-ignore
    const floats = sizes.reduce(
      (s, l) => s + 4 * l.inputs * l.outputs + n * l.places * (3 * l.inputs + 2 * l.outputs),
      0,
    );
    this.#products = new Products(floats + 10000);
    const normal = seededNormal(seededRandom(seed));
    this.#layers = sizes.map((l, k) => {
      const array = (length: number): Float32Array => this.#products.array(length);
      const weights = array(l.inputs * l.outputs);
      const real = LAYER_SIZES[k]![0];
      for (let i = 0; i < real * l.outputs; i++) weights[i] = normal() * Math.sqrt(2 / real);
      return {
        ...l,
        weights,
        offsets: new Float32Array(l.outputs),
        rows: array(n * l.places * l.inputs),
        out: array(n * l.places * l.outputs),
        byOut: array(n * l.places * l.outputs),
        byRows: array(n * l.places * l.inputs),
        byWeights: array(l.inputs * l.outputs),
        byOffsets: new Float32Array(l.outputs),
        turned: array(n * l.places * l.inputs),
        back: array(l.inputs * l.outputs),
        moments: [0, 1, 2, 3].map((m) => new Float32Array(m < 2 ? l.inputs * l.outputs : l.outputs)),
      };
    });
    const halved = n * NET.second.halved ** 2 * NET.second.to;
    this.#halved = new Float32Array(halved);
    this.#from = new Uint8Array(halved);
    this.#byHalved = new Float32Array(halved);
  }

  /** The layers as the reader takes them. */
  get layers(): Layer[] {
    return this.#layers.map((l, k) => ({
      inputs: LAYER_SIZES[k]![0],
      outputs: l.outputs,
      weights: l.weights.slice(0, LAYER_SIZES[k]![0] * l.outputs),
      offsets: l.offsets.slice(),
    }));
  }

  /** Learns from one batch at a share of the full rate. @returns mean loss, natural logarithm, and share that was right. */
  learn(patches: Float32Array, classes: Uint8Array, rate: number): { loss: number; right: number } {
    this.#forward(patches);
    const told = this.#judge(classes);
    this.#backward();
    this.#step(rate * STEPS.rate);
    return told;
  }

  #forward(patches: Float32Array): void {
    const n = STEPS.batch;
    const [first, second, third, hidden, out] = this.#layers as [Learning, Learning, Learning, Learning, Learning];
    this.#rowsOfFirst(patches, first);
    this.#apply(first, true);
    for (let k = 0; k < n; k++) squareRows(first.out, NET.first.side, NET.first.to, second.rows, k * first.places * first.outputs, k * second.places * second.inputs); // prettier-ignore
    this.#apply(second, true);
    this.#halve(second);
    const half = NET.second.halved ** 2 * NET.second.to;
    for (let k = 0; k < n; k++) squareRows(this.#halved, NET.second.halved, NET.second.to, third.rows, k * half, k * third.places * third.inputs); // prettier-ignore
    this.#apply(third, true);
    hidden.rows.set(third.out);
    this.#apply(hidden, true);
    out.rows.set(hidden.out);
    this.#apply(out, false);
  }

  #rowsOfFirst(patches: Float32Array, first: Learning): void {
    const real = LAYER_SIZES[0]![0];
    const rows = new Float32Array(first.places * real);
    for (let k = 0; k < STEPS.batch; k++) {
      firstRows(patches, rows, k * PATCH * PATCH);
      for (let r = 0; r < first.places; r++)
        for (let i = 0; i < real; i++) first.rows[(k * first.places + r) * first.inputs + i] = rows[r * real + i]!;
    }
  }

  #apply(layer: Learning, cut: boolean): void {
    const { out, offsets, outputs } = layer;
    for (let k = 0; k < out.length; k += outputs) out.set(offsets, k);
    this.#products.add(out.length / outputs, outputs, layer.inputs, layer.rows, layer.weights, out);
    if (cut) for (let k = 0; k < out.length; k++) if (out[k]! < 0) out[k] = 0;
  }

  /** The largest of 2 x 2, and which it was. */
  #halve(second: Learning): void {
    const { side, halved, to } = NET.second;
    let o = 0;
    for (let k = 0; k < STEPS.batch; k++)
      for (let y = 0; y < halved; y++)
        for (let x = 0; x < halved; x++)
          for (let c = 0; c < to; c++, o++) {
            const at = ((k * side + 2 * y) * side + 2 * x) * to + c;
            let best = 0;
            for (let q = 1; q < 4; q++) if (second.out[at + offset(q)]! > second.out[at + offset(best)]!) best = q;
            this.#from[o] = best;
            this.#halved[o] = second.out[at + offset(best)]!;
          }
  }

  /** Loss, and its gradient by the outputs. */
  #judge(classes: Uint8Array): { loss: number; right: number } {
    const last = this.#layers[4]!;
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
    const [first, second, third, hidden, out] = this.#layers as [Learning, Learning, Learning, Learning, Learning];
    this.#gradient(out, true);
    cutLike(out.byRows, hidden.out, hidden.byOut);
    this.#gradient(hidden, true);
    cutLike(hidden.byRows, third.out, third.byOut);
    this.#gradient(third, true);
    this.#byHalved.fill(0);
    gather(third.byRows, NET.second.halved, NET.second.to, this.#byHalved);
    const { side, halved, to } = NET.second;
    second.byOut.fill(0);
    let o = 0;
    for (let k = 0; k < STEPS.batch; k++)
      for (let y = 0; y < halved; y++)
        for (let x = 0; x < halved; x++)
          for (let c = 0; c < to; c++, o++) {
            const at = ((k * side + 2 * y) * side + 2 * x) * to + c + offset(this.#from[o]!);
            if (second.out[at]! > 0) second.byOut[at] = this.#byHalved[o]!;
          }
    this.#gradient(second, true);
    first.byOut.fill(0);
    gather(second.byRows, NET.first.side, NET.first.to, first.byOut);
    cutLike(first.byOut, first.out, first.byOut);
    this.#gradient(first, false);
  }

  #gradient(layer: Learning, below: boolean): void {
    const { inputs, outputs, rows, byOut, turned, byWeights, byOffsets, byRows, weights, back } = layer;
    const count = byOut.length / outputs;
    transpose(rows, count, inputs, turned);
    byWeights.fill(0);
    this.#products.add(inputs, outputs, count, turned, byOut, byWeights);
    byOffsets.fill(0);
    for (let r = 0; r < count; r++) for (let c = 0; c < outputs; c++) byOffsets[c]! += byOut[r * outputs + c]!;
    if (!below) return;
    transpose(weights, inputs, outputs, back);
    byRows.fill(0);
    this.#products.add(count, inputs, outputs, byOut, back, byRows);
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
    for (const l of this.#layers) {
      move(l.weights, l.byWeights, l.moments[0]!, l.moments[1]!, STEPS.decay);
      move(l.offsets, l.byOffsets, l.moments[2]!, l.moments[3]!, 0);
    }
  }
}

/** Where the q-th of a 2 x 2 square lies from its first. */
function offset(q: number): number {
  return ((q >> 1) * NET.second.side + (q & 1)) * NET.second.to;
}

function cutLike(by: Float32Array, out: Float32Array, to: Float32Array): void {
  for (let k = 0; k < to.length; k++) to[k] = out[k]! > 0 ? by[k]! : 0;
}

function transpose(from: Float32Array, rows: number, columns: number, to: Float32Array): void {
  for (let c = 0; c < columns; c++) for (let r = 0; r < rows; r++) to[c * rows + r] = from[r * columns + c]!;
}

/** The reverse of `squareRows`: each row's gradients added to the places that it was made of, patch after patch. */
function gather(by: Float32Array, side: number, channels: number, to: Float32Array): void {
  const run = 3 * channels;
  let from = 0;
  for (let k = 0; k < STEPS.batch; k++)
    for (let y = 0; y + 2 < side; y++)
      for (let x = 0; x + 2 < side; x++)
        for (let j = 0; j < 3; j++) {
          const at = ((k * side + y + j) * side + x) * channels;
          for (let i = 0; i < run; i++) to[at + i]! += by[from++]!;
        }
}
