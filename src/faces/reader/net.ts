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
