import type { FaceMemory } from '../face-memory.ts';

/** What counts as the light behind print: half width of the window that it is the mean over, and how far print must stand off it, spreads. */
const BACKDROP = { half: 8, times: 3, off: 1.2, least: 0.08 } as const;

/**
 * Takes the light behind print off the colours that lie in the memory: sheen, shade, and clouds larger than a stroke.
 *
 * The mean over a wide soft window, twice, the second time hardly counting what stands far off the first: print would else have a halo. The
 * window is a running mean, three times over, near enough a Gaussian.
 */
export function takeBackdrop({ run }: FaceMemory): void {
  run.takeBackdrop(BACKDROP.half, BACKDROP.times, BACKDROP.off ** 2, BACKDROP.least);
}
