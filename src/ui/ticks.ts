/** A round step, 1, 2 or 5 times a power of ten, of which `count` or fewer fit into `span`. */
export function roundStep(span: number, count: number): number {
  const rough = span / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((m) => m * power).find((step) => step >= rough * (1 - 1e-9))!;
}

/** Multiples of a step from -reach to reach, zero exactly among them. */
export function ticksAround(reach: number, step: number): number[] {
  const n = Math.floor(reach / step + 1e-9);
  return Array.from({ length: 2 * n + 1 }, (_, i) => (i - n) * step);
}
