/** Binomial weights 1 2 1 along each way: one pass widens by half a square cell. */
const PASS = [1, 2, 1] as const;

/** Smooths a plane of sums by one binomial pass, in place; its border cells stay. */
export function smoothPlane(plane: Int16Array, w: number, h: number): void {
  const rows = [new Int32Array(w), new Int32Array(w), new Int32Array(w)];
  const across = (y: number): void => {
    const row = rows[y % 3]!;
    for (let x = 1, k = y * w + 1; x < w - 1; x++, k++) row[x] = plane[k - 1]! + 2 * plane[k]! + plane[k + 1]!;
  };
  if (h < 3) return;
  across(0);
  across(1);
  for (let y = 1; y < h - 1; y++) {
    across(y + 1);
    const [above, here, below] = [rows[(y - 1) % 3]!, rows[y % 3]!, rows[(y + 1) % 3]!];
    for (let x = 1, k = y * w + 1; x < w - 1; x++, k++) plane[k] = (above[x]! + 2 * here[x]! + below[x]! + 8) >> 4;
  }
}

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
