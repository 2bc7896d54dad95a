import { CLASSES } from './classes.ts';

/** Side of the square patch that the net looks at, px. */
export const PATCH = 28;
/** Values of each of its places: print as the colours spread most, and how far the place departs from skin. */
export const PLANES = 2;
/** Values of one patch. */
export const PATCH_VALUES = PLANES * PATCH * PATCH;

/** One convolution: square kernel, step and zeros around; channels stand last everywhere. `halved`: the largest of each 2 x 2 goes on. */
export interface Convolution {
  readonly kernel: number;
  readonly step: number;
  readonly pad: number;
  readonly from: number;
  readonly to: number;
  /** Sides of what goes in and of what comes out. */
  readonly side: number;
  readonly out: number;
  readonly halved: boolean;
}

/** The net: four convolutions and two full layers; what is negative is cut to 0 after each but the last. */
export const CONVOLUTIONS: readonly Convolution[] = [
  { kernel: 5, step: 2, pad: 2, from: PLANES, to: 16, side: PATCH, out: 14, halved: false },
  { kernel: 3, step: 1, pad: 1, from: 16, to: 32, side: 14, out: 14, halved: true },
  { kernel: 3, step: 1, pad: 0, from: 32, to: 64, side: 7, out: 5, halved: false },
  { kernel: 3, step: 1, pad: 0, from: 64, to: 88, side: 5, out: 3, halved: false },
];

const LAST = CONVOLUTIONS.at(-1)!;
const HIDDEN = 80;
/** Outputs, padded to a whole number of eights; only the first `CLASSES.length` count. */
export const OUTPUTS = Math.ceil(CLASSES.length / 8) * 8;

/** One layer's weights, [inputs x outputs] row by row, and its offsets. */
export interface Layer {
  readonly inputs: number;
  readonly outputs: number;
  readonly weights: Float32Array;
  readonly offsets: Float32Array;
}

/** Inputs and outputs of the layers. */
export const LAYER_SIZES: readonly (readonly [inputs: number, outputs: number])[] = [
  ...CONVOLUTIONS.map((c) => [c.kernel ** 2 * c.from, c.to] as const),
  [LAST.out ** 2 * LAST.to, HIDDEN],
  [HIDDEN, OUTPUTS],
];

/**
 * The values under each place of a convolution's kernel, one row per place; outside is 0.
 *
 * @param from  [side x side x channels] from `start` on.
 * @param width Length of a row of `rows`, at least the kernel's values; what is left over is not touched.
 */
export function unrolled(
  c: Convolution,
  from: Float32Array,
  start: number,
  rows: Float32Array,
  at: number,
  width: number,
): void {
  const { kernel, step, pad, side, out, from: channels } = c;
  const run = kernel * channels;
  let row = at;
  for (let y = 0; y < out; y++)
    for (let x = 0; x < out; x++, row += width) {
      const left = x * step - pad;
      const inside = left >= 0 && left + kernel <= side;
      let to = row;
      for (let j = 0; j < kernel; j++) {
        const v = y * step + j - pad;
        if (v < 0 || v >= side) {
          for (let i = 0; i < run; i++) rows[to++] = 0;
          continue;
        }
        const k = start + (v * side + left) * channels;
        if (inside) for (let i = 0; i < run; i++) rows[to++] = from[k + i]!;
        else
          for (let i = 0; i < run; i++) {
            const u = left + Math.floor(i / channels);
            rows[to++] = u < 0 || u >= side ? 0 : from[k + i]!;
          }
      }
    }
}

/** The largest of each 2 x 2 values of one patch's [out x out x to], and which of the four it was. */
export function halve(
  { out, to }: Convolution,
  from: Float32Array,
  start: number,
  half: Float32Array,
  which: Uint8Array,
  at: number,
): void {
  const side = out >> 1;
  let o = at;
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++)
      for (let c = 0; c < to; c++, o++) {
        const k = start + (2 * y * out + 2 * x) * to + c;
        let best = from[k]!;
        let q = 0;
        for (let t = 1; t < 4; t++) {
          const v = from[k + ((t >> 1) * out + (t & 1)) * to]!;
          if (v > best) [best, q] = [v, t];
        }
        half[o] = best;
        which[o] = q;
      }
}
