/** Binomial weights 1 2 1 along each way: one pass widens by half a square cell. */
const PASS = [1, 2, 1] as const;

const convolved = (a: readonly number[], b: readonly number[]): number[] =>
  Array.from({ length: a.length + b.length - 1 }, (_, i) => b.reduce((s, v, j) => s + v * (a[i - j] ?? 0), 0));
const power = (a: readonly number[]): number => a.reduce((s, v) => s + v * v, 0);

/**
 * Median size of Sobel's gradient over that of second differences along a row, of white grain after so many passes: the first is Rayleigh's
 * (sqrt(2 ln 2) of one component's deviation), the second half normal (0.6745).
 */
export function gradientOverBends(passes: number): number {
  let kernel: number[] = [1];
  for (let i = 0; i < passes; i++) kernel = convolved(kernel, PASS);
  const gradient = power(convolved(kernel, [1, 0, -1])) * power(convolved(kernel, PASS));
  const bends = power(convolved(kernel, [1, -2, 1])) * power(kernel);
  return (Math.sqrt(2 * Math.LN2) / 0.6745) * Math.sqrt(gradient / bends);
}
