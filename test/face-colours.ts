import { faceMemory, type FaceMemory } from '../src/faces/face-memory.ts';

/** The memory of faces with colours on its grid, three numbers per place, and where they are on the face. */
export function withColours(rgb: Float32Array, mask: Float32Array): FaceMemory {
  const memory = faceMemory();
  const places = memory.floats('COLOURS', 4 * mask.length);
  mask.forEach((on, k) => places.set([...rgb.subarray(3 * k, 3 * k + 3), on], 4 * k));
  return memory;
}

/** The colours that stand there now. */
export const coloursOf = (memory: FaceMemory, places: number): Float32Array =>
  memory.floats('COLOURS', 4 * places).filter((_, i) => i % 4 < 3);
