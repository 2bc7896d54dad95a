import type { DieKind } from '../../geometry/solid.ts';
import { tuple } from '../../maths/tuple.ts';
import { faceMemory, type FaceMemory } from '../face-memory.ts';
import { takeBackdrop } from './backdrop.ts';
import { departures } from './departure.ts';
import { GRID, GRID_REACH } from './grid.ts';

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
  const memory = faceMemory();
  const light = memory.room(13 * face.mask.length);
  const mask = light + 12 * face.mask.length;
  memory.floats(light, face.light.length).set(face.light);
  memory.bytes(mask, face.mask.length).set(face.mask);
  memory.run.gridded(face.size, light, mask, Math.min(4, Math.max(1, Math.round(step))), x0, y0, step);
  takeBackdrop(memory);
  takeWidest(memory);
  return {
    value: memory.floats('VALUE', GRID * GRID).slice(),
    off: departures(memory),
    mask: memory.floats('MASK', GRID * GRID).slice(),
    whole: memory.bytes('WHOLE', GRID * GRID).slice(),
  };
}

/** Middle and area of the mask, px. */
function middle({ size, mask }: FacePixels): { x: number; y: number; area: number } {
  let area = 0;
  let x = 0;
  let y = 0;
  for (let j = 0; j < size; j++) {
    takeRow(mask, j * size, size);
    area += ROW[0]!;
    x += ROW[1]!;
    y += j * ROW[0]!;
  }
  return { x: x / area + 0.5, y: y / area + 0.5, area };
}

/** How many pixels a row of a mask has, and the sum of their columns. */
const ROW = new Int32Array(2);

function takeRow(mask: Uint8Array, from: number, size: number): void {
  let count = 0;
  let sum = 0;
  for (let i = 0; i < size; i++)
    if (mask[from + i] !== 0) {
      count++;
      sum += i;
    }
  ROW[0] = count;
  ROW[1] = sum;
}

/** Brings the memory's colours, differences from the light behind, along the direction in which they spread most (power iteration on three by three). */
function takeWidest(memory: FaceMemory): void {
  memory.run.colourSums();
  const [xx, xy, xz, yy, yz, zz] = tuple(memory.numbers('RESULTS', 6), 6);
  let [x, y, z] = [1, 1, 1];
  for (let turn = 0; turn < 12; turn++) {
    const p = xx * x + xy * y + xz * z;
    const q = xy * x + yy * y + yz * z;
    const r = xz * x + yz * y + zz * z;
    const size = Math.hypot(p, q, r);
    if (size === 0) break;
    [x, y, z] = [p / size, q / size, r / size];
  }
  memory.run.alongWay(x + y + z < 0 ? -1 : 1, x, y, z);
}
