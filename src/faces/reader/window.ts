import { tuple } from '../../maths/tuple.ts';
import type { DieKind } from '../../geometry/solid.ts';

/** A face looked at straight on: what the reader needs of it. */
export interface FacePixels {
  /** Pixels per side. */
  readonly size: number;
  /** Linear light, red green blue per pixel, rows from the top; any scale. */
  readonly light: Float32Array;
  /** Not 0 where the pixel lies on the face. Length size x size. */
  readonly mask: Uint8Array;
}

/** Side of the square grid that every face is brought to, px. */
export const GRID = 64;
/** Half the grid's width in face radii. The radius of a face is that of the circle inside it (for a kite: of a like area). */
export const GRID_REACH = 1.15;

/** Area of a face over the square of its radius; the kite's is that of a d10 with the usual apex. */
const AREA: Readonly<Record<DieKind, number>> = { d4: 5.196, d6: 4, d8: 5.196, d10: 4.15, d12: 3.633, d20: 5.196 };

/** One number per place of the grid: how far it is from its surroundings' even slope, along the colours' widest spread. */
export interface FaceGrid {
  /** GRID x GRID, row by row; 0 outside the face. */
  readonly value: Float32Array;
  /** 1 on the face, 0 elsewhere. */
  readonly mask: Float32Array;
}

/** Where in a face's grid something is printed: centre and half width in grid px, and whether it is the darker. */
export interface Window {
  readonly x: number;
  readonly y: number;
  readonly half: number;
  /** 1 or -1: what the few differ by from the many becomes positive. */
  readonly sign: number;
  readonly mean: number;
  readonly spread: number;
}

/**
 * A face on the reader's grid. Colours are taken by the square root (equal steps of light then look equal), an even slope of light is taken
 * away, and the three channels become one along their widest spread.
 *
 * @param reach  Half the grid's width in face radii.
 * @param centre Of the grid, in face radii from the middle of the face, x to the right, y down.
 * @returns null if the mask holds hardly anything.
 */
export function faceGrid(
  face: FacePixels,
  kind: DieKind,
  reach = GRID_REACH,
  centre: readonly [number, number] = [0, 0],
): FaceGrid | null {
  const place = middle(face);
  if (place.area < 30) return null;
  const radius = Math.sqrt(place.area / AREA[kind]);
  const step = (2 * reach * radius) / GRID;
  const x0 = place.x + (centre[0] - reach) * radius;
  const y0 = place.y + (centre[1] - reach) * radius;
  const rgb = new Float32Array(3 * GRID * GRID);
  const mask = new Float32Array(GRID * GRID);
  const light = face.light;
  const sub = Math.min(4, Math.max(1, Math.round(step)));
  for (let j = 0; j < GRID; j++)
    for (let i = 0; i < GRID; i++) {
      let r = 0;
      let g = 0;
      let b = 0;
      let n = 0;
      for (let v = 0; v < sub; v++)
        for (let u = 0; u < sub; u++) {
          const x = x0 + (i + (u + 0.5) / sub) * step - 0.5;
          const y = y0 + (j + (v + 0.5) / sub) * step - 0.5;
          const left = Math.floor(x);
          const top = Math.floor(y);
          if (left < 0 || top < 0 || left + 1 >= face.size || top + 1 >= face.size) continue;
          const k = top * face.size + left;
          const below = k + face.size;
          if (!face.mask[k] || !face.mask[k + 1] || !face.mask[below] || !face.mask[below + 1]) continue;
          const fx = x - left;
          const fy = y - top;
          const p = (1 - fx) * (1 - fy);
          const q = fx * (1 - fy);
          const s = (1 - fx) * fy;
          const t = fx * fy;
          r += light[3 * k]! * p + light[3 * k + 3]! * q + light[3 * below]! * s + light[3 * below + 3]! * t;
          g += light[3 * k + 1]! * p + light[3 * k + 4]! * q + light[3 * below + 1]! * s + light[3 * below + 4]! * t;
          b += light[3 * k + 2]! * p + light[3 * k + 5]! * q + light[3 * below + 2]! * s + light[3 * below + 5]! * t;
          n++;
        }
      if (2 * n < sub * sub) continue;
      const o = j * GRID + i;
      mask[o] = 1;
      rgb[3 * o] = Math.sqrt(Math.max(0, r / n));
      rgb[3 * o + 1] = Math.sqrt(Math.max(0, g / n));
      rgb[3 * o + 2] = Math.sqrt(Math.max(0, b / n));
    }
  return { value: widest(rgb, mask), mask };
}

/** Middle and area of the mask, px. */
function middle({ size, mask }: FacePixels): { x: number; y: number; area: number } {
  let area = 0;
  let x = 0;
  let y = 0;
  for (let j = 0; j < size; j++)
    for (let i = 0; i < size; i++)
      if (mask[j * size + i]) {
        area++;
        x += i;
        y += j;
      }
  return { x: x / area + 0.5, y: y / area + 0.5, area };
}

/** Differences from the even slope along the direction of colour in which they spread most (power iteration on three by three). */
function widest(rgb: Float32Array, mask: Float32Array): Float32Array {
  for (let c = 0; c < 3; c++) takeSlope(rgb, mask, 3, c);
  const s = new Float64Array(9);
  for (let k = 0; k < mask.length; k++)
    if (mask[k])
      for (let a = 0; a < 3; a++) for (let b = 0; b < 3; b++) s[3 * a + b]! += rgb[3 * k + a]! * rgb[3 * k + b]!;
  let d = [1, 1, 1];
  for (let turn = 0; turn < 12; turn++) {
    const next = [0, 1, 2].map((a) => s[3 * a]! * d[0]! + s[3 * a + 1]! * d[1]! + s[3 * a + 2]! * d[2]!);
    const size = Math.hypot(...next);
    if (size === 0) break;
    d = next.map((v) => v / size);
  }
  const up = d[0]! + d[1]! + d[2]! < 0 ? -1 : 1;
  const value = new Float32Array(mask.length);
  for (let k = 0; k < mask.length; k++)
    if (mask[k]) value[k] = up * (rgb[3 * k]! * d[0]! + rgb[3 * k + 1]! * d[1]! + rgb[3 * k + 2]! * d[2]!);
  return value;
}

/**
 * Takes an even slope away in place: a plane through what lies on the mask, fitted three times, each time without what lies far off it.
 *
 * @param step   Values per place.
 * @param channel Which of them.
 */
export function takeSlope(values: Float32Array, mask: Float32Array, step = 1, channel = 0): void {
  let p = [0, 0, 0];
  let limit = Infinity;
  const m = new Float64Array(9);
  for (let round = 0; round < 3; round++) {
    const [level, right, down] = p as [number, number, number];
    let [n, sx, sy, xx, xy, yy, sv, vx, vy, rest] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    for (let j = 0, k = 0; j < GRID; j++) {
      const y = j / GRID - 0.5;
      for (let i = 0; i < GRID; i++, k++) {
        if (mask[k] === 0) continue;
        const x = i / GRID - 0.5;
        const v = values[step * k + channel]!;
        const off = v - level - right * x - down * y;
        if (off > limit || off < -limit) continue;
        rest += off * off;
        n++;
        sx += x;
        sy += y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        sv += v;
        vx += v * x;
        vy += v * y;
      }
    }
    m.set([sx, sy, xx, xy, yy, sv, vx, vy]);
    p = plane(n, m) ?? p;
    // Squares about the first plane follow from the sums.
    if (round === 0) rest = Math.max(0, rest - p[0]! * sv - p[1]! * vx - p[2]! * vy);
    limit = 1.4 * Math.sqrt(rest / Math.max(1, n));
  }
  for (let j = 0, k = 0; j < GRID; j++)
    for (let i = 0; i < GRID; i++, k++)
      if (mask[k] !== 0) values[step * k + channel]! -= p[0]! + p[1]! * (i / GRID - 0.5) + p[2]! * (j / GRID - 0.5);
}

/** Level and slopes from the sums of `takeSlope` (Cramer's rule); null where the places do not span a plane. */
function plane(n: number, m: Float64Array): number[] | null {
  const [sx, sy, xx, xy, yy, v, vx, vy] = tuple(m, 8);
  const det = n * (xx * yy - xy * xy) - sx * (sx * yy - xy * sy) + sy * (sx * xy - xx * sy);
  if (!(Math.abs(det) > 1e-9)) return null;
  return [
    (v * (xx * yy - xy * xy) - sx * (vx * yy - xy * vy) + sy * (vx * xy - xx * vy)) / det,
    (n * (vx * yy - xy * vy) - v * (sx * yy - xy * sy) + sy * (sx * vy - vx * sy)) / det,
    (n * (xx * vy - vx * xy) - sx * (sx * vy - vx * sy) + v * (sx * xy - xx * sy)) / det,
  ];
}
