import { LAYER_SIZES, type Layer } from './net.ts';

/** Weights as they are kept: each layer's numbers as one character of {@link LEVELS} each, one scale per output; and what the probabilities are divided by. */
export interface WeightsFile {
  readonly seed: number;
  /** Log-probabilities are divided by it; fitted on founts that were not trained on. */
  readonly temperature: number;
  readonly layers: readonly {
    readonly scales: readonly number[];
    readonly offsets: readonly number[];
    readonly steps: string;
  }[];
}

/** Characters of -{@link MOST} to {@link MOST} steps, in order: six bits a weight (the letters are those of RFC 4648's base 64, of which the last is not used). */
const LEVELS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+';
const MOST = 31;
const LEVEL_AT: ReadonlyMap<string, number> = new Map([...LEVELS].map((c, k) => [c, k - MOST]));

/** Shares of an output's largest weight that are tried for its last step: cutting a lone large weight makes all steps finer. */
const SHARES = Array.from({ length: 21 }, (_, k) => 1 - 0.03 * k);

/** The layers that a file holds. @throws {RangeError} if its sizes are not the net's. */
export function unpackedLayers(file: WeightsFile): Layer[] {
  return LAYER_SIZES.map(([inputs, outputs], k) => {
    const { scales, offsets, steps } = file.layers[k]!;
    if (steps.length !== inputs * outputs || scales.length !== outputs || offsets.length !== outputs)
      throw new RangeError(`weights of layer ${k}: ${steps.length} seen, ${inputs * outputs} needed`);
    const weights = Float32Array.from(steps, (c, i) => (LEVEL_AT.get(c) ?? 0) * scales[i % outputs]!);
    return { inputs, outputs, weights, offsets: Float32Array.from(offsets) };
  });
}

/** The layers as kept: each output's steps are as wide as leaves the least squared error. */
export function packedLayers(layers: readonly Layer[]): WeightsFile['layers'] {
  return layers.map(({ outputs, weights, offsets }) => {
    const scales = Array.from(offsets, (_, o) =>
      Number(stepOf(weights.filter((_, i) => i % outputs === o)).toPrecision(4)),
    );
    return {
      scales,
      offsets: Array.from(offsets, (o) => Number(o.toPrecision(5))),
      steps: Array.from(weights, (w, i) => LEVELS[rounded(w, scales[i % outputs]!) + MOST]!).join(''),
    };
  });
}

const rounded = (w: number, step: number): number => Math.max(-MOST, Math.min(MOST, Math.round(w / (step || 1))));

/** The step in which weights are kept with the least squared error. */
function stepOf(weights: Float32Array): number {
  const most = weights.reduce((m, w) => Math.max(m, Math.abs(w)), 0) / MOST;
  const error = (step: number): number => weights.reduce((s, w) => s + (rounded(w, step) * step - w) ** 2, 0);
  return SHARES.map((share) => share * most).reduce((p, q) => (error(q) < error(p) ? q : p));
}
