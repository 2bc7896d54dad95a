import { aligned } from './pixel-memory.ts';
import type { Picture } from './picture.ts';

/** A picture's bytes as a list of one kind: only such lists are copied at once, and what reads them is compiled for no other. */
export const bytesOf = ({ data }: Picture): Uint8Array =>
  data instanceof Uint8Array ? data : new Uint8Array(data.buffer, data.byteOffset, data.length);

/** Rows of `w` blocks of `factor` x `factor` pixels, the first at (x0, y0), of each of which four pixels are looked at. */
export class BlockRows {
  readonly #data: Uint8Array;
  readonly #first: number;
  /** From a row of blocks to the next, and from the upper of its two rows of pixels to the lower one, bytes. */
  readonly #across: number;
  readonly #down: number;
  /** From a block's first pixel to the others, px. */
  readonly step: number;
  /** Of a row of pixels, from the first to the last that is looked at, bytes. */
  readonly #taken: number;
  /** What a row of pixels asks for, bytes. */
  readonly room: number;

  constructor(
    picture: Picture,
    { x0, y0, w, factor }: { readonly x0: number; readonly y0: number; readonly w: number; readonly factor: number },
  ) {
    const { channels } = picture;
    const stride = picture.width * channels;
    this.#data = bytesOf(picture);
    this.#first = y0 * stride + x0 * channels;
    this.#across = factor * stride;
    this.step = Math.max(1, factor >> 1);
    this.#down = this.step * stride;
    this.#taken = ((w - 1) * factor + this.step + 1) * channels;
    this.room = aligned(this.#taken + 8);
  }

  /** Copies the upper row of pixels to about `at`; returns where its first pixel is. */
  copyUpper(y: number, to: Uint8Array, at: number): number {
    return this.#copy(this.#first + y * this.#across, to, at);
  }

  copyLower(y: number, to: Uint8Array, at: number): number {
    return this.#copy(this.#first + y * this.#across + this.#down, to, at);
  }

  /** Shared memory is copied by words only where both sides lie alike in them, else by bytes. */
  #copy(from: number, to: Uint8Array, at: number): number {
    const before = from & 7;
    to.set(this.#data.subarray(from - before, from + this.#taken), at);
    return at + before;
  }
}
