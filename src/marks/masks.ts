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
