import { GRID } from './grid.ts';

/** What counts as the light behind print: half width of the window that it is the mean over, and how far print must stand off it, spreads. */
export const BACKDROP = { half: 8, times: 3, off: 1.2, least: 0.08 } as const;

/**
 * Takes the light behind print away in place: sheen, shade, and clouds larger than a stroke.
 *
 * The mean over a wide soft window, twice, the second time hardly counting what stands far off the first: print would else have a halo.
 *
 * @param rgb  Three values per place of the grid, 0 outside `mask`.
 */
export function takeBackdrop(rgb: Float32Array, mask: Float32Array): void {
  backdrop(rgb, mask);
  let [sum, n] = [0, 0];
  for (let k = 0; k < mask.length; k++) {
    if (mask[k] === 0) continue;
    const share = room.share[k]!;
    let off = 0;
    for (let c = 0; c < 3; c++) off += (rgb[3 * k + c]! - room.plane[c]![k]! / share) ** 2;
    room.off[k] = off;
    sum += off;
    n++;
  }
  const limit = (BACKDROP.off ** 2 * sum) / Math.max(1, n);
  for (let k = 0; k < mask.length; k++) room.weight[k] = mask[k] === 0 ? 0 : room.off[k]! > limit ? BACKDROP.least : 1;
  backdrop(rgb, room.weight);
  for (let k = 0; k < mask.length; k++)
    for (let c = 0; c < 3; c++)
      rgb[3 * k + c] = mask[k] === 0 ? 0 : rgb[3 * k + c]! - room.plane[c]![k]! / room.share[k]!;
}

const plane = (): Float32Array => new Float32Array(GRID * GRID);
const room = { plane: [plane(), plane(), plane()], share: plane(), off: plane(), weight: plane(), between: plane() };

/** Weighted sums over the soft window, a plane per channel, and of the weights, into `room`. */
function backdrop(rgb: Float32Array, weight: Float32Array): void {
  room.plane.forEach((p, c) => {
    for (let k = 0; k < p.length; k++) p[k] = weight[k]! * rgb[3 * k + c]!;
    soften(p);
  });
  room.share.set(weight);
  soften(room.share);
}

/** Running means along rows and columns, three times over: near enough a Gaussian. */
function soften(values: Float32Array): void {
  for (let t = 0; t < BACKDROP.times; t++) {
    run(values, room.between, 1, GRID);
    run(room.between, values, GRID, 1);
  }
}

/** One running mean: places `along` apart in a line, lines `across` apart; outside counts as 0. */
function run(from: Float32Array, to: Float32Array, along: number, across: number): void {
  const { half } = BACKDROP;
  const share = 1 / (2 * half + 1);
  for (let line = 0; line < GRID; line++) {
    const start = line * across;
    let sum = 0;
    for (let k = 0; k < half; k++) sum += from[start + k * along]!;
    for (let k = 0; k < GRID; k++) {
      if (k + half < GRID) sum += from[start + (k + half) * along]!;
      if (k > half) sum -= from[start + (k - half - 1) * along]!;
      to[start + k * along] = sum * share;
    }
  }
}
