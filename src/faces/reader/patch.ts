import { tuple } from '../../maths/tuple.ts';
import type { FaceMemory } from '../face-memory.ts';
import { GRID, GRID_REACH } from './grid.ts';
import { withGrid } from './held-grid.ts';
import { PATCH, PATCH_VALUES } from './net.ts';
import type { FaceGrid, Window } from './window.ts';

/** How far print may lie off the middle and how large it may be, in face radii; and how much wider than its print a window is. */
const LOOK = { middle: 0.62, smallest: 0.36, largest: 1.08, wider: 2.3 } as const;

/**
 * Print stands near the middle of its face and takes about so much of it (half width in face radii); what is seen to differ counts for a share.
 * On drawn faces what differs lies 0.12 radii (one in ten 0.32) off the print's middle, the face's own middle 0.06 (0.10).
 */
const USUAL = { half: 0.62, seenHalf: 0.65, seenMiddle: 0.5 } as const;

/** Grid px per face radius. */
const RADIUS = GRID / 2 / GRID_REACH;

/**
 * Where the print of a face stands, by what differs from the rest: twice the middle and the spread of what lies far off the mean, the second
 * time looking only near the first. Texture without print gives a window as large as the face.
 *
 * @param trust How far off the face's middle print is taken to stand, as a share of what is seen.
 */
export function printWindow(grid: FaceGrid, trust: number = USUAL.seenMiddle): Window {
  const memory = withGrid(grid);
  memory.run.smoothed();
  const value = memory.floats('SMOOTH', GRID * GRID);
  const { mask } = grid;
  let x = GRID / 2 - 0.5;
  let y = x;
  let reach: number = LOOK.middle * RADIUS;
  let half: number = LOOK.largest * RADIUS;
  for (let round = 0; round < 3; round++) {
    const { mean, spread } = within(memory, true, x, y, Math.max(reach * 1.6, 0.7 * RADIUS));
    takeFarOff(value, mask, x, y, reach, mean, spread);
    const [sum, sx, sy, ss] = tuple(FAR_OFF, 4);
    if (!(sum > 0)) break;
    const size = Math.sqrt(Math.max(0, ss / sum - (sx * sx + sy * sy) / (sum * sum)));
    x += sx / sum;
    y += sy / sum;
    half = Math.min(LOOK.largest, Math.max(LOOK.smallest, (LOOK.wider * size) / RADIUS)) * RADIUS;
    reach = Math.max(0.3 * RADIUS, 0.85 * half);
  }
  const middle = GRID / 2 - 0.5;
  x = middle + trust * (x - middle);
  y = middle + trust * (y - middle);
  half = half ** USUAL.seenHalf * (USUAL.half * RADIUS) ** (1 - USUAL.seenHalf);
  return { x, y, half, ...within(memory, false, x, y, half * 1.15) };
}

/** What {@link takeFarOff} found: weights, times how far right and down they lie, and times the square of that. */
const FAR_OFF = new Float64Array(4);

/**
 * Sums over what lies far off the mean, each place counting by how far, and less the farther it lies from (x, y).
 *
 * What can be told not to count without a quotient is left out before one is asked for: hardly a place in ten does.
 */
function takeFarOff(
  value: Float32Array,
  mask: Float32Array,
  x: number,
  y: number,
  reach: number,
  mean: number,
  spread: number,
): void {
  const least = 1.09 * spread;
  const most = 2.001 * reach;
  const [left, right] = [Math.max(0, Math.ceil(x - most)), Math.min(GRID - 1, Math.floor(x + most))];
  const [top, bottom] = [Math.max(0, Math.ceil(y - most)), Math.min(GRID - 1, Math.floor(y + most))];
  let sum = 0;
  let sx = 0;
  let sy = 0;
  let ss = 0;
  for (let j = top; j <= bottom; j++) {
    const dy = j - y;
    for (let i = left; i <= right; i++) {
      const k = j * GRID + i;
      const from = Math.abs(value[k]! - mean);
      if (from < least || mask[k] === 0) continue;
      const off = from / spread - 1.1;
      if (off <= 0) continue;
      const dx = i - x;
      const far = (dx * dx + dy * dy) / (reach * reach);
      if (far > 4) continue;
      const w = off * off * Math.exp(-0.5 * far * far);
      sum += w;
      sx += w * dx;
      sy += w * dy;
      ss += w * (dx * dx + dy * dy);
    }
  }
  FAR_OFF[0] = sum;
  FAR_OFF[1] = sx;
  FAR_OFF[2] = sy;
  FAR_OFF[3] = ss;
}

/** Half width of the window that holds all pips a face can bear, face radii. */
const WIDE = 0.9;

/** A window about the face's middle that holds whatever pips stand on it, wherever they are seen. */
export function wideWindow(grid: FaceGrid): Window {
  const x = GRID / 2 - 0.5;
  const half = WIDE * RADIUS;
  return { x, y: x, half, ...within(withGrid(grid), false, x, x, half * 1.15) };
}

/** Mean, spread and the side of the few, inside a circle of the grid; smoothed or not. */
function within(
  memory: FaceMemory,
  smooth: boolean,
  x: number,
  y: number,
  reach: number,
): { mean: number; spread: number; sign: number } {
  memory.run.circleSums(smooth, x, y, reach);
  const [n, s, ss, sss] = tuple(memory.numbers('RESULTS', 4), 4);
  if (n === 0) return { mean: 0, spread: 1, sign: 1 };
  const mean = s / n;
  const skew = sss / n - (3 * mean * ss) / n + 2 * mean ** 3;
  return { mean, spread: Math.sqrt(Math.max(1e-12, ss / n - mean * mean)), sign: skew < 0 ? -1 : 1 };
}

/**
 * What the net sees of a face for print whose top points `turn` degrees counter-clockwise from the picture's up.
 *
 * @returns PATCH x PATCH places into `out` from `at` on, two values each: difference from the mean by the spread, at most 3 either way, the
 *          few positive; and departure from skin, 0 to 3.
 */
export function turnedPatch(grid: FaceGrid, window: Window, turn: number, out: Float32Array, at = 0): void {
  const { x, y, half, mean, sign, spread } = window;
  const memory = withGrid(grid);
  const step = (2 * half) / PATCH;
  const c = step * Math.cos((turn * Math.PI) / 180);
  const s = step * Math.sin((turn * Math.PI) / 180);
  const room = memory.room(4 * PATCH_VALUES);
  memory.run.turnedPatch(PATCH, x, y, c, s, mean, sign / spread / 4, room);
  out.set(memory.floats(room, PATCH_VALUES), at);
}
