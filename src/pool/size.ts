/** What workers that look at photos may take. */
export const POOL = {
  /** Memory that one of them needs at its peak, MB: OpenCV's own and the pixels of a photo of 12 MP in its several forms. */
  each: 300,
  /** Share of the machine's memory that all of them together may take. */
  share: 0.25,
  /** More gain nothing: a set has rarely more photos than that, and what cannot be shared out then lasts longest. */
  most: 8,
} as const;

/**
 * How many photos are worked on at once: one per core, as far as memory goes.
 *
 * @param cores   Threads that the machine runs at once.
 * @param memory  MB of the machine, or of what the process may take.
 */
export function poolSize(cores: number, memory: number): number {
  const fit = Math.floor((POOL.share * memory) / POOL.each);
  return Math.max(1, Math.min(cores, fit, POOL.most));
}
