/** A smoothing looks at one cell in so many, here and in `assembly/edges/smooth.ts`: a profile that is blurred by a third of a px has nothing finer to average over. */
export const SPARSE = 2;
const smoothers = new Map<number, Float64Array>();

/**
 * Half of a Gaussian's weights on every other cell of a grid, from its middle on.
 *
 * @param radius  One standard deviation, px.
 * @param cell    Distance between the grid's values, px.
 */
export function smoother(radius: number, cell: number): Float64Array {
  const key = 1000 * Math.round(radius * 100) + Math.round(cell * 100);
  let kernel = smoothers.get(key);
  if (!kernel) {
    const reach = Math.ceil((3.5 * radius) / (SPARSE * cell));
    const g = Float64Array.from({ length: reach + 1 }, (_, j) =>
      Math.exp(-((j * SPARSE * cell) ** 2) / (2 * radius * radius)),
    );
    const total = g.reduce((s, v, j) => s + (j === 0 ? v : 2 * v), 0);
    kernel = g.map((v) => v / total);
    smoothers.set(key, kernel);
  }
  return kernel;
}
