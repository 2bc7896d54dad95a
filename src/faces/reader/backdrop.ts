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
  const { sums, off, weight } = room;
  backdrop(rgb, mask);
  let [sum, n] = [0, 0];
  for (let k = 0; k < mask.length; k++) {
    if (mask[k] === 0) continue;
    const share = sums[4 * k + 3]!;
    let square = 0;
    for (let c = 0; c < 3; c++) square += (rgb[3 * k + c]! - sums[4 * k + c]! / share) ** 2;
    off[k] = square;
    sum += square;
    n++;
  }
  const limit = (BACKDROP.off ** 2 * sum) / Math.max(1, n);
  for (let k = 0; k < mask.length; k++) weight[k] = mask[k] === 0 ? 0 : off[k]! > limit ? BACKDROP.least : 1;
  backdrop(rgb, weight);
  for (let k = 0; k < mask.length; k++)
    for (let c = 0; c < 3; c++)
      rgb[3 * k + c] = mask[k] === 0 ? 0 : rgb[3 * k + c]! - sums[4 * k + c]! / sums[4 * k + 3]!;
}

const plane = (values: number): Float32Array => new Float32Array(values * GRID * GRID);
/** `sums`, `between`: four values per place, those of the channels and of the weights. */
const room = { sums: plane(4), between: plane(4), off: plane(1), weight: plane(1) };

/** Weighted sums over the soft window, per channel, and of the weights, into `room`: running means, three times over, near enough a Gaussian. */
function backdrop(rgb: Float32Array, weight: Float32Array): void {
  const { sums, between } = room;
  for (let k = 0; k < weight.length; k++) {
    const w = weight[k]!;
    for (let c = 0; c < 3; c++) sums[4 * k + c] = w * rgb[3 * k + c]!;
    sums[4 * k + 3] = w;
  }
  for (let t = 0; t < BACKDROP.times; t++) {
    run(sums, between, 4, 4 * GRID);
    run(between, sums, 4 * GRID, 4);
  }
}

/** One running mean of four values each: places `along` apart in a line, lines `across` apart; outside counts as 0. */
function run(from: Float32Array, to: Float32Array, along: number, across: number): void {
  const { half } = BACKDROP;
  const share = 1 / (2 * half + 1);
  for (let line = 0; line < GRID; line++) {
    // Four sums side by side: one alone would wait for itself.
    let [a, b, c, d] = [0, 0, 0, 0];
    const start = line * across;
    for (let k = -half, at = start; k < GRID; k++) {
      if (k + half < GRID) {
        const next = start + (k + half) * along;
        a += from[next]!;
        b += from[next + 1]!;
        c += from[next + 2]!;
        d += from[next + 3]!;
      }
      if (k < 0) continue;
      if (k > half) {
        const last = start + (k - half - 1) * along;
        a -= from[last]!;
        b -= from[last + 1]!;
        c -= from[last + 2]!;
        d -= from[last + 3]!;
      }
      to[at] = a * share;
      to[at + 1] = b * share;
      to[at + 2] = c * share;
      to[at + 3] = d * share;
      at += along;
    }
  }
}
