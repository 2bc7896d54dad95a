import { faceMemory } from '../faces/face-memory.ts';

/** Masks are 1 or 0 per pixel of a square picture, rows from the top; outside it they are 0. */

/** Grown by a square of `by` pixels each way. */
export const dilated = (mask: Uint8Array, size: number, by: number): Uint8Array => spread(mask, size, by, true);

/** Shrunk by a square of `by` pixels each way. */
export const eroded = (mask: Uint8Array, size: number, by: number): Uint8Array => spread(mask, size, by, false);

/** Bytes behind a mask that the module writes or looks at. */
const SPARE = 16;

function spread(mask: Uint8Array, size: number, by: number, grow: boolean): Uint8Array {
  if (!mask.includes(1)) return new Uint8Array(mask.length);
  const memory = faceMemory();
  const room = mask.length + SPARE;
  const at = memory.room(3 * room);
  memory.bytes(at, mask.length).set(mask);
  memory.run.spread(size, at, by, grow, at + room, at + 2 * room);
  return memory.bytes(at + 2 * room, mask.length).slice();
}

/** Leaves of a mask, which is no part of another array, what another one has, too. */
export function leave(mask: Uint8Array, other: Uint8Array): void {
  leaveTurned(mask, other, 0);
}

/** A mask less another one. */
export function without(mask: Uint8Array, other: Uint8Array): Uint8Array {
  const out = mask.slice();
  leaveTurned(out, other, 0x01010101);
  return out;
}

/** Leaves of a mask what another one has, each of its bits turned where those of `turned` are 1. Four pixels at a time, as far as these lie alike. */
function leaveTurned(mask: Uint8Array, other: Uint8Array, turned: number): void {
  const words = other.byteOffset % 4 === 0 ? mask.length >> 2 : 0;
  if (words > 0)
    leaveWords(new Int32Array(mask.buffer, 0, words), new Int32Array(other.buffer, other.byteOffset, words), turned);
  for (let k = 4 * words; k < mask.length; k++) mask[k]! &= other[k]! ^ (turned & 1);
}

function leaveWords(mask: Int32Array, other: Int32Array, turned: number): void {
  for (let k = 0; k < mask.length; k++) mask[k]! &= other[k]! ^ turned;
}

/** Connected things (eight neighbours) of a mask, each as its pixels. */
export function parts(mask: Uint8Array, size: number): number[][] {
  const left = mask.slice();
  const found: number[][] = [];
  for (let k = left.indexOf(1); k >= 0; k = left.indexOf(1, k)) {
    const part: number[] = [];
    const todo = [k];
    left[k] = 0;
    for (let at = todo.pop(); at !== undefined; at = todo.pop()) {
      part.push(at);
      const x = at % size;
      const y = Math.floor(at / size);
      for (let j = Math.max(0, y - 1); j <= Math.min(size - 1, y + 1); j++)
        for (let i = Math.max(0, x - 1); i <= Math.min(size - 1, x + 1); i++)
          if (left[j * size + i] === 1) {
            left[j * size + i] = 0;
            todo.push(j * size + i);
          }
    }
    found.push(part);
  }
  return found;
}
