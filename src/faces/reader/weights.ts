import { base64, fromBase64 } from '../../formats/base64.ts';
import { LAYER_SIZES, type Layer } from './net.ts';

/** Weights as they are kept: each layer's numbers as signed bytes in base64, one scale per output; and what the probabilities are divided by. */
export interface WeightsFile {
  readonly seed: number;
  /** Log-probabilities are divided by it; fitted on founts that were not trained on. */
  readonly temperature: number;
  readonly layers: readonly {
    readonly scales: readonly number[];
    readonly offsets: readonly number[];
    readonly bytes: string;
  }[];
}

/** The layers that a file holds. @throws {RangeError} if its sizes are not the net's. */
export function unpackedLayers(file: WeightsFile): Layer[] {
  return LAYER_SIZES.map(([inputs, outputs], k) => {
    const { scales, offsets, bytes } = file.layers[k]!;
    const packed = new Int8Array(fromBase64(bytes) ?? []);
    if (packed.length !== inputs * outputs || scales.length !== outputs || offsets.length !== outputs)
      throw new RangeError(`weights of layer ${k}: ${packed.length} seen, ${inputs * outputs} needed`);
    const weights = new Float32Array(packed.length);
    for (let i = 0; i < inputs; i++)
      for (let o = 0; o < outputs; o++) weights[i * outputs + o] = packed[i * outputs + o]! * scales[o]!;
    return { inputs, outputs, weights, offsets: Float32Array.from(offsets) };
  });
}

/** The layers as kept: each output's largest weight becomes 127. */
export function packedLayers(layers: readonly Layer[]): WeightsFile['layers'] {
  return layers.map(({ outputs, weights, offsets }) => {
    const most = new Float64Array(outputs);
    weights.forEach((w, i) => (most[i % outputs] = Math.max(most[i % outputs]!, Math.abs(w))));
    const scales = Array.from(most, (m) => Number((m / 127).toPrecision(6)));
    return {
      scales,
      offsets: Array.from(offsets, (o) => Number(o.toPrecision(6))),
      bytes: base64(new Uint8Array(Int8Array.from(weights, (w, i) => Math.round(w / (scales[i % outputs]! || 1))))),
    };
  });
}
