import { faceMemory, type FaceMemory } from '../face-memory.ts';
import type { FaceGrid } from './window.ts';

/** The grid that lies in the memory to be looked at. */
let held: FaceGrid | null = null;

/** The memory of faces with a grid in it: copied there where it is not the one that was asked for before. */
export function withGrid(grid: FaceGrid): FaceMemory {
  const memory = faceMemory();
  if (held === grid) return memory;
  const { value, off, mask, whole } = grid;
  memory.floats('HELD_VALUE', value.length).set(value);
  memory.floats('HELD_MASK', mask.length).set(mask);
  memory.bytes('HELD_WHOLE', whole.length).set(whole);
  const pairs = memory.floats('PAIRS', 2 * value.length);
  for (let k = 0; k < value.length; k++) {
    pairs[2 * k] = value[k]!;
    pairs[2 * k + 1] = off[k]!;
  }
  held = grid;
  return memory;
}
