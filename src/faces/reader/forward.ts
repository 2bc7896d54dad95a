import { CLASSES } from './classes.ts';
import { CONVOLUTIONS, halve, LAYER_SIZES, PATCH_VALUES, unrolled, type Layer } from './net.ts';
import { Products } from './product.ts';

/** One layer at work on a batch of patches. */
export interface Stage {
  /** Inputs padded to whole fours, as the gradient's product needs them. */
  readonly inputs: number;
  readonly outputs: number;
  /** Places of the layer in one patch. */
  readonly places: number;
  readonly weights: Float32Array;
  readonly offsets: Float32Array;
  /** [batch x places x inputs], [batch x places x outputs], rows padded to whole fours. */
  readonly rows: Float32Array;
  readonly out: Float32Array;
  /** The larger halves of `out` where the layer is followed by them, and which of four each was. */
  readonly halved: Float32Array | null;
  readonly which: Uint8Array;
}

const padded = (n: number): number => Math.ceil(n / 4) * 4;

/** The net at work on so many patches at once, in memory that is taken once. */
export class Forward {
  readonly batch: number;
  readonly products: Products;
  readonly stages: readonly Stage[];

  /** @param more Further numbers that the memory must have room for. */
  constructor(batch: number, more = 0) {
    this.batch = batch;
    const sizes = LAYER_SIZES.map(([inputs, outputs], k) => ({
      inputs: padded(inputs),
      outputs,
      places: CONVOLUTIONS[k] ? CONVOLUTIONS[k].out ** 2 : 1,
    }));
    const floats = sizes.reduce(
      (s, l) => s + l.inputs * l.outputs + padded(batch * l.places) * (l.inputs + l.outputs),
      0,
    );
    this.products = new Products(floats + more + 1000);
    this.stages = sizes.map((l, k): Stage => {
      const halved = CONVOLUTIONS[k]?.halved ? (batch * l.places * l.outputs) / 4 : 0;
      return {
        ...l,
        weights: this.products.array(l.inputs * l.outputs),
        offsets: new Float32Array(l.outputs),
        rows: this.products.array(padded(batch * l.places) * l.inputs),
        out: this.products.array(padded(batch * l.places) * l.outputs),
        halved: halved > 0 ? new Float32Array(halved) : null,
        which: new Uint8Array(halved),
      };
    });
  }

  /** Takes over the weights of layers. */
  set layers(layers: readonly Layer[]) {
    this.stages.forEach((stage, k) => {
      stage.weights.set(layers[k]!.weights);
      stage.offsets.set(layers[k]!.offsets);
    });
  }

  /** Runs `batch` patches, PATCH_VALUES each, through the net; the last stage's `out` holds what comes out. */
  run(patches: Float32Array): void {
    let from = patches;
    let size = PATCH_VALUES;
    this.stages.forEach((stage, k) => {
      const { inputs, places, rows, out, halved, which } = stage;
      const c = CONVOLUTIONS[k];
      if (c) for (let p = 0; p < this.batch; p++) unrolled(c, from, p * size, rows, p * places * inputs, inputs);
      else rows.set(from.length > rows.length ? from.subarray(0, rows.length) : from);
      this.#apply(stage, k + 1 < this.stages.length);
      from = out;
      size = places * stage.outputs;
      if (!c || !halved) return;
      for (let p = 0; p < this.batch; p++) halve(c, out, p * size, halved, which, (p * size) / 4);
      from = halved;
      size /= 4;
    });
  }

  #apply({ out, offsets, outputs, inputs, rows, weights }: Stage, cut: boolean): void {
    for (let k = 0; k < out.length; k += outputs) out.set(offsets, k);
    this.products.add(out.length / outputs, outputs, inputs, rows, weights, out);
    if (cut) for (let k = 0; k < out.length; k++) if (out[k]! < 0) out[k] = 0;
  }
}

/** Nets at work, one per number of patches; whose weights each holds. */
const rooms = new Map<number, { readonly forward: Forward; layers: readonly Layer[] | null }>();

/**
 * Log-probability of each class for each of some patches.
 *
 * @param patches PATCH_VALUES each, row by row.
 * @returns One array of length `CLASSES.length` per patch, natural logarithm, before any temperature; new arrays.
 */
export function classLogs(layers: readonly Layer[], patches: Float32Array): Float64Array[] {
  const count = patches.length / PATCH_VALUES;
  let room = rooms.get(count);
  if (!room) rooms.set(count, (room = { forward: new Forward(count), layers: null }));
  if (room.layers !== layers) {
    room.forward.layers = layers;
    room.layers = layers;
  }
  room.forward.run(patches);
  const { out, outputs } = room.forward.stages.at(-1)!;
  return Array.from({ length: count }, (_, k) => normalized(out.subarray(k * outputs, k * outputs + CLASSES.length)));
}

/** Log-probabilities from what a net gives out. */
function normalized(raw: Float32Array): Float64Array {
  const logs = Float64Array.from(raw);
  const top = Math.max(...logs);
  let sum = 0;
  for (const l of logs) sum += Math.exp(l - top);
  const norm = top + Math.log(sum);
  return logs.map((l) => l - norm);
}
