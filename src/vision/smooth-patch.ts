import { boxWithin, takeLuma, type Patch, type Picture } from './picture.ts';
import { aligned, passingMemory, type PixelMemory } from './pixel-memory.ts';

/** Below this a Gaussian is no more than its middle pixel, px. */
const LEAST_SIGMA = 0.3;
/** Most weights of a Gaussian on one side of its middle: of 5 px. */
const MOST_WEIGHTS = 16;

/** Where `xx dx^2 + 2 xy dx dy + yy dy^2 < 1`, px from its middle. */
export interface Ellipse {
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
  /** Half its width and height, and its short half axis. */
  readonly width: number;
  readonly height: number;
  readonly short: number;
}

/**
 * A window of a picture's luma, smoothed by a Gaussian (beyond its border the window goes on as it ends), and its gradients. It stands in passing memory: it is
 * done with when that is used again.
 */
export class SmoothPatch implements Patch {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** Its pixels, row by row; more may follow. */
  readonly data: Float32Array;
  readonly #memory: PixelMemory;
  readonly #products: number;
  readonly #apart: number;
  readonly #sums: number;

  /** @param sigma  Of the Gaussian, px, 5 at most. */
  constructor(picture: Picture, left: number, top: number, right: number, bottom: number, sigma: number) {
    const box = boxWithin(picture, left, top, right, bottom);
    ({ left: this.left, top: this.top, width: this.width, height: this.height } = box);
    const { width, height } = box;
    const memory = (this.#memory = passingMemory());
    const plane = aligned(4 * width * height);
    const kernel = 2 * plane;
    const line = kernel + 8 * MOST_WEIGHTS;
    this.#sums = line + aligned(8 * (width + 2 * MOST_WEIGHTS));
    this.#products = this.#sums + 64;
    this.#apart = plane;
    memory.reserve(this.#products + 3 * plane);
    this.data = memory.floats;
    takeLuma(picture, box, memory.floats);
    if (sigma >= LEAST_SIGMA) {
      const reach = putGaussian(memory.doubles, kernel / 8, sigma);
      memory.run.smooth(0, plane, line, kernel, reach, width, height);
    }
    memory.run.products(this.#products, plane, 0, width, height);
  }

  /**
   * Sums over an ellipse round (x, y), which may not reach the window's outermost pixels: of Sobel's gradients' products xx, xy, yy, and of xx dx + xy dy and
   * xy dx + yy dy, by weights that fall to zero at its border. They stand from the place in {@link doubles} on that is returned.
   */
  gradientSums(x: number, y: number, { xx, xy, yy, width, height }: Ellipse): number {
    const first = Math.ceil(x - width);
    const top = Math.ceil(y - height);
    const from = this.#products + 4 * ((top - this.top) * this.width + first - this.left);
    const [last, end] = [Math.floor(x + width), Math.floor(y + height)];
    this.#memory.run.weighted(this.#sums, from, this.#apart, this.width, first, last, top, end, x, y, xx, xy, yy);
    return this.#sums / 8;
  }

  /**
   * Compares it with itself turned by half a turn about (x, y), over an ellipse as above: how many pixels count, and the sums of them, of their squares and of the
   * squares of what they differ by. They stand from the place in {@link doubles} on that is returned.
   */
  halfTurnSums(x: number, y: number, { xx, xy, yy, width, height }: Ellipse): number {
    const { left, top: up, width: w } = this;
    const [first, last] = [Math.ceil(x - width), Math.floor(x + width)];
    const [top, end] = [Math.ceil(y - height), Math.floor(y + height)];
    this.#memory.run.compared(this.#sums, 0, w, left, up, first, last, top, end, x, y, xx, xy, yy);
    return this.#sums / 8;
  }

  get doubles(): Float64Array {
    return this.#memory.doubles;
  }
}

/** Writes a Gaussian's weights from its middle on; returns how many follow that. */
function putGaussian(to: Float64Array, at: number, sigma: number): number {
  const reach = Math.ceil(3 * sigma);
  let total = 0;
  for (let i = -reach; i <= reach; i++) total += Math.exp(-(i ** 2) / (2 * sigma ** 2));
  for (let i = 0; i <= reach; i++) to[at + i] = Math.exp(-(i ** 2) / (2 * sigma ** 2)) / total;
  return reach;
}
