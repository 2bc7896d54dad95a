/** Multiples of a step from -reach to reach, zero exactly among them. */
export function ticksAround(reach: number, step: number): number[] {
  const n = Math.floor(reach / step + 1e-9);
  return Array.from({ length: 2 * n + 1 }, (_, i) => (i - n) * step);
}

/** The least of 1, 2 or 5 times a power of ten that is not below `value`, which is above 0. */
export function roundedUp(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return [1, 2, 5, 10].map((k) => k * power).find((round) => round >= value * (1 - 1e-9))!;
}
