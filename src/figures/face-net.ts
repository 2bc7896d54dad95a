import { faceFrames } from '../faces/face-frame.ts';
import { placeOf } from '../faces/face-picture.ts';
import type { BestFace } from '../faces/best-faces.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { dot, minus } from '../geometry/vec.ts';
import { median } from '../maths/linear.ts';
import { SRGB } from '../vision/tone.ts';
import { bestNet } from './net.ts';

/** A picture with transparency: red, green, blue, alpha per pixel, 8 bits each, rows from the top. */
export interface NetPicture {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8ClampedArray<ArrayBuffer>;
  /** Of the die; null where no face is shown. */
  readonly umPerPx: number | null;
}

/** Pixels of a face's longest side, about. */
export const NET_FACE = 96;
const MARGIN = 4;

/** The real die unfolded, each face with its best picture; faces that no photo shows, and rounded edges, stay transparent. */
export function faceNet(solid: DieSolid, best: readonly (BestFace | null)[], facePx: number = NET_FACE): NetPicture {
  const net = bestNet(solid, 1.4);
  const frames = faceFrames(solid);
  const scale = facePx / (2 * frames[0]!.reach);
  const xs = net.flatMap((f) => f.xy.map(([x]) => x));
  const ys = net.flatMap((f) => f.xy.map(([, y]) => y));
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const width = Math.ceil(scale * (Math.max(...xs) - left)) + 2 * MARGIN;
  const height = Math.ceil(scale * (top - Math.min(...ys))) + 2 * MARGIN;
  const data = new Uint8ClampedArray(4 * width * height);
  for (const { face, corners, xy } of net) {
    const shown = best[face];
    if (!shown) continue;
    const { light, mask, size } = shown.picture;
    const { middle, right, up, reach } = frames[face]!;
    const inFace = (c: number): readonly [number, number] => {
      const v = minus(solid.corners[c]!.vertex, middle);
      return [dot(v, right), dot(v, up)];
    };
    // The face's own directions as the net has them, from one of its sides.
    const [[ax, ay], [bx, by]] = [inFace(corners[0]!), inFace(corners[1]!)];
    const [[px, py], [qx, qy]] = [xy[0]!, xy[1]!];
    const turn = Math.atan2(qy - py, qx - px) - Math.atan2(by - ay, bx - ax);
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const [ox, oy] = [px - c * ax + s * ay, py - s * ax - c * ay];
    const reachPx = scale * reach + 1;
    const [mx, my] = [MARGIN + scale * (ox - left), MARGIN + scale * (top - oy)];
    for (let y = Math.max(0, Math.floor(my - reachPx)); y < Math.min(height, my + reachPx); y++)
      for (let x = Math.max(0, Math.floor(mx - reachPx)); x < Math.min(width, mx + reachPx); x++) {
        const [dx, dy] = [(x - mx) / scale, (my - y) / scale];
        const half = (size - 1) / 2;
        const perPx = size / (2 * reach);
        const from = placeOf(size, half + perPx * (c * dx + s * dy), half - perPx * (c * dy - s * dx));
        if (from < 0 || mask[from] === 0) continue;
        const to = 4 * (y * width + x);
        for (let e = 0; e < 3; e++) data[to + e] = SRGB.toDisplay(light[3 * from + e]!);
        data[to + 3] = 255;
      }
  }
  const sizes = best.flatMap((b) => (b ? [(b.picture.umPerPx * b.picture.size) / facePx] : []));
  return { width, height, data, umPerPx: sizes.length > 0 ? median(sizes) : null };
}
