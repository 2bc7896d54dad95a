/** Multiples of a step from -reach to reach, zero exactly among them. */
export function ticksAround(reach: number, step: number): number[] {
  const n = Math.floor(reach / step + 1e-9);
  return Array.from({ length: 2 * n + 1 }, (_, i) => (i - n) * step);
}
