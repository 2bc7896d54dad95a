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

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** The layers that a file holds. @throws {RangeError} if its sizes are not the net's. */
export function unpackedLayers(file: WeightsFile): Layer[] {
  return LAYER_SIZES.map(([inputs, outputs], k) => {
    const { scales, offsets, bytes } = file.layers[k]!;
    const packed = fromBase64(bytes);
    if (packed.length !== inputs * outputs || scales.length !== outputs || offsets.length !== outputs)
      throw new RangeError(`weights of layer ${k}: ${packed.length} seen, ${inputs * outputs} needed`);
    return {
      inputs,
      outputs,
      weights: Float32Array.from(packed, (v, i) => v * scales[i % outputs]!),
      offsets: Float32Array.from(offsets),
    };
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
      bytes: toBase64(Int8Array.from(weights, (w, i) => Math.round(w / (scales[i % outputs]! || 1)))),
    };
  });
}

function toBase64(bytes: Int8Array): string {
  let text = '';
  for (let k = 0; k < bytes.length; k += 3) {
    const n = ((bytes[k]! & 255) << 16) | (((bytes[k + 1] ?? 0) & 255) << 8) | ((bytes[k + 2] ?? 0) & 255);
    for (let j = 0; j < 4; j++) text += k + j <= bytes.length ? LETTERS[(n >> (18 - 6 * j)) & 63]! : '=';
  }
  return text;
}

function fromBase64(text: string): Int8Array {
  const bare = text.replace(/=+$/, '');
  const bytes = new Int8Array(Math.floor((bare.length * 3) / 4));
  let held = 0;
  let bits = 0;
  let to = 0;
  for (const c of bare) {
    held = ((held << 6) | LETTERS.indexOf(c)) & 0xffff;
    bits += 6;
    if (bits >= 8) bytes[to++] = (held >> (bits -= 8)) & 255;
  }
  return bytes;
}
