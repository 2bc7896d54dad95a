import type { Camera } from '../geometry/camera.ts';
import type { Vec3 } from '../geometry/vec.ts';
import type { Crop } from '../vision/picture.ts';
import { faceMemory } from './face-memory.ts';

/** Bytes that the module needs for each two samples of a row: for their places, and for their column. */
const PLACE = 48 + 48;

/**
 * Linear light of a plane's square piece as a camera sees it, three numbers per pixel in rows from the top; 0 where the mask is.
 *
 * @param middle   Of the piece, camera frame, mm; `right` and `down` lead from one of its pixels to the next.
 * @param mask     1 where light is asked for, `size` x `size`.
 * @param samples  Along each side of a pixel, whose light is their mean; at most 4.
 * @returns        A new array; null where the crop does not hold all that is asked for.
 */
export function sampledLight(
  { data, width, height, channels, left, top }: Crop,
  { f, cx, cy, k1, k2, skew = 0, stretch = 0 }: Camera,
  [middle, right, down]: readonly [middle: Vec3, right: Vec3, down: Vec3],
  mask: Uint8Array,
  size: number,
  samples: number,
): Float32Array | null {
  const memory = faceMemory();
  const crop = memory.hold(data);
  const row = PLACE * size * Math.ceil(samples ** 2 / 2);
  const places = memory.room(row + 13 * mask.length);
  const out = places + row;
  const shown = out + 12 * mask.length;
  memory.bytes(shown, mask.length).set(mask);
  memory.tell(f, cx, cy, k1, k2, skew, stretch, ...middle, ...right, ...down, left, top, width, height);
  if (memory.run.sampled(size, samples, channels, width * channels, crop, shown, out, places) === 0) return null;
  return memory.floats(out, 3 * mask.length).slice();
}
