import { takeBackdrop } from './backdrop.ts';
import { departures } from './departure.ts';
import { GRID, GRID_REACH } from './grid.ts';
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

/** Area of a face over the square of its radius; the kite's is that of a d10 with the usual apex. */
const AREA: Readonly<Record<DieKind, number>> = { d4: 5.196, d6: 4, d8: 5.196, d10: 4.15, d12: 3.633, d20: 5.196 };

/** Two numbers per place of the grid: how far it is from the light behind print, along the colours' widest spread; and from all that skin is. */
export interface FaceGrid {
  /** GRID x GRID, row by row; 0 outside the face. */
  readonly value: Float32Array;
  /** How far each place departs from the skin's own colours, 0 to 3; see {@link departures}. */
  readonly off: Float32Array;
  /** 1 on the face, 0 elsewhere. */
  readonly mask: Float32Array;
  /** 1 where a place and those right of it, below and below right are on the face: what lies between them can be told. */
  readonly whole: Uint8Array;
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
 * A face on the reader's grid. Colours are taken by the square root (equal steps of light then look equal), the light behind print is taken
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
  takeBackdrop(rgb, mask);
  return { value: widest(rgb, mask), off: departures(rgb, mask), mask, whole: wholeOf(mask) };
}

function wholeOf(mask: Float32Array): Uint8Array {
  const whole = new Uint8Array(mask.length);
  for (let k = 0; k + GRID + 1 < mask.length; k++)
    if (mask[k] && mask[k + 1] && mask[k + GRID] && mask[k + GRID + 1]) whole[k] = 1;
  return whole;
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

/** Differences from the light behind along the direction of colour in which they spread most (power iteration on three by three). */
function widest(rgb: Float32Array, mask: Float32Array): Float32Array {
  let [xx, xy, xz, yy, yz, zz] = [0, 0, 0, 0, 0, 0];
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) continue;
    const r = rgb[3 * k]!;
    const g = rgb[3 * k + 1]!;
    const b = rgb[3 * k + 2]!;
    xx += r * r;
    xy += r * g;
    xz += r * b;
    yy += g * g;
    yz += g * b;
    zz += b * b;
  }
  let [x, y, z] = [1, 1, 1];
  for (let turn = 0; turn < 12; turn++) {
    const p = xx * x + xy * y + xz * z;
    const q = xy * x + yy * y + yz * z;
    const r = xz * x + yz * y + zz * z;
    const size = Math.hypot(p, q, r);
    if (size === 0) break;
    [x, y, z] = [p / size, q / size, r / size];
  }
  const up = x + y + z < 0 ? -1 : 1;
  const value = new Float32Array(mask.length);
  for (let k = 0; k < mask.length; k++)
    if (mask[k]) value[k] = up * (rgb[3 * k]! * x + rgb[3 * k + 1]! * y + rgb[3 * k + 2]! * z);
  return value;
}
