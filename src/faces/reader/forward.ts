import { CLASSES } from './classes.ts';
import { CONVOLUTIONS, LAYER_SIZES, PATCH_VALUES, type Convolution, type Layer } from './net.ts';
import { Products, type ListedRows, type Rows } from './product.ts';

/** One layer at work on a batch of patches. */
export interface Stage extends Rows {
  /** Inputs padded to whole fours, as the gradient's product needs them. */
  readonly inputs: number;
  readonly outputs: number;
  /** Places of the layer in one patch. */
  readonly places: number;
  readonly weights: Float32Array;
  readonly offsets: Float32Array;
  /** What goes in: of a convolution the places of each patch with the zeros around them. */
  readonly from: Float32Array;
  /** [batch x places x outputs], rows padded to whole fours. */
  readonly out: Float32Array;
  /** The larger halves of `out` where the layer is followed by them. */
  readonly halved: Float32Array | null;
  /** What goes in as what of it is not 0, where the layer below cut it. */
  readonly listed: ListedRows | null;
}

const padded = (n: number): number => Math.ceil(n / 4) * 4;

/** Side of what goes into a convolution with the zeros around it. */
const wideSide = ({ side, pad }: { readonly side: number; readonly pad: number }): number => side + 2 * pad;

/** The net at work on so many patches at once, in memory that is taken once. */
export class Forward {
  readonly batch: number;
  readonly products: Products;
  readonly stages: readonly Stage[];

  /** @param more Further numbers that the memory must have room for. */
  constructor(batch: number, more = 0) {
    this.batch = batch;
    let floats = more + 1000;
    for (const [k, [inputs, outputs]] of LAYER_SIZES.entries()) {
      const c = CONVOLUTIONS[k];
      const rows = padded(batch * (c ? c.out ** 2 : 1));
      floats += padded(inputs) * outputs + 2 * outputs + rows * (2 * outputs + 2);
      // What goes in, and its list.
      floats += batch * (c ? wideSide(c) ** 2 * (3 * c.from + 1) : 2 * inputs + 1) + 16;
    }
    this.products = new Products(floats);
    const stages: Stage[] = [];
    for (let k = 0; k < LAYER_SIZES.length; k++) stages.push(stageOf(this.products, batch, k, stages[k - 1]));
    this.stages = stages;
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
    for (let k = 0; k < this.stages.length; k++) {
      const stage = this.stages[k]!;
      const c = CONVOLUTIONS[k];
      if (c && from !== stage.from) framed(this.batch, c, from, stage.from);
      const { weights, offsets, out, halved, outputs, listed } = stage;
      const floor = k + 1 < this.stages.length ? 0 : -Infinity;
      if (listed) this.products.listedLayer(stage.from, listed, weights, offsets, floor, out);
      else this.products.layer(stage, weights, offsets, floor, out);
      if (c && halved) this.products.halve((this.batch * c.out) / 2, c.out / 2, outputs, out, halved);
      from = halved ?? out;
    }
  }
}

function stageOf(products: Products, batch: number, k: number, below: Stage | undefined): Stage {
  const [real, outputs] = LAYER_SIZES[k]!;
  const c = CONVOLUTIONS[k];
  const places = c ? c.out ** 2 : 1;
  const before = below && (below.halved ?? below.out);
  // Zeros around, or the patches themselves, ask for memory of their own.
  const from = !c || (c.pad === 0 && before) ? before! : products.array(batch * wideSide(c) ** 2 * c.from);
  const rows = padded(batch * places);
  const starts = products.addresses(rows).fill(from.byteOffset);
  for (let r = 0; r < batch * places; r++) starts[r]! += 4 * (c ? startOf(c, r) : r * real);
  const inputs = padded(real);
  return {
    ...{ inputs, outputs, places, from, starts },
    ...(c
      ? { run: c.kernel * c.from, lines: c.kernel, skip: (wideSide(c) - c.kernel) * c.from }
      : { run: real, lines: 1, skip: 0 }),
    weights: products.array(inputs * outputs),
    offsets: products.array(outputs),
    out: products.array(rows * outputs),
    halved: c?.halved ? products.array((batch * places * outputs) / 4) : null,
    listed: below ? listedRows(products, batch, rows, k) : null,
  };
}

/** The list of what goes into a layer, and its rows; those that only fill the last four look at the first place. */
function listedRows(products: Products, batch: number, rows: number, k: number): ListedRows {
  const c = CONVOLUTIONS[k];
  const real = batch * (c ? c.out ** 2 : 1);
  const first = Array.from({ length: rows }, (_, r) => (r >= real ? 0 : c ? startOf(c, r) / c.from : r));
  if (!c) return products.listedRows(batch, LAYER_SIZES[k]![0], { lines: 1, kernel: 1, side: 0 }, first);
  const side = wideSide(c);
  return products.listedRows(batch * side ** 2, c.from, { lines: c.kernel, kernel: c.kernel, side }, first);
}

/** Where what lies under the kernel begins at the r-th place of all patches. */
function startOf(c: Convolution, r: number): number {
  const side = wideSide(c);
  const patch = Math.floor(r / c.out ** 2);
  const [y, x] = [Math.floor(r / c.out) % c.out, r % c.out];
  return ((patch * side + y * c.step) * side + x * c.step) * c.from;
}

/** Places of so many patches, row after row, laid into the zeros around them. */
function framed(batch: number, c: Convolution, from: Float32Array, to: Float32Array): void {
  const width = c.side * c.from;
  const side = wideSide(c);
  for (let p = 0; p < batch; p++)
    for (let y = 0; y < c.side; y++) {
      const at = (p * c.side + y) * width;
      to.set(from.subarray(at, at + width), ((p * side + y + c.pad) * side + c.pad) * c.from);
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
  const all: Float64Array[] = [];
  for (let k = 0; k < count; k++) all.push(normalized(out, k * outputs));
  return all;
}

/** Log-probabilities from what a net gives out. */
function normalized(raw: Float32Array, at: number): Float64Array {
  const logs = new Float64Array(CLASSES.length);
  let top = -Infinity;
  for (let c = 0; c < logs.length; c++) {
    logs[c] = raw[at + c]!;
    if (logs[c]! > top) top = logs[c]!;
  }
  let sum = 0;
  for (let c = 0; c < logs.length; c++) sum += Math.exp(logs[c]! - top);
  const norm = top + Math.log(sum);
  for (let c = 0; c < logs.length; c++) logs[c]! -= norm;
  return logs;
}
