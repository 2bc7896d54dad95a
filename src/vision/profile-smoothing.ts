/** A smoothing looks at one cell in so many: a profile that is blurred by a third of a px has nothing finer to average over. */
const SPARSE = 2;
const smoothers = new Map<number, Float64Array>();

/** Half of a Gaussian's weights on every other cell of a grid, from its middle on. */
function smoother(radius: number, cell: number): Float64Array {
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

/** Room for a profile and the widest smoothing beyond both of its ends. */
let padded = new Float64Array(256);

/**
 * Smooths a profile by a Gaussian; beyond its ends it goes on as it ends.
 *
 * @param radius  One standard deviation, px.
 * @param cell    Distance between the profile's values, px.
 */
export function smoothInto(to: Float64Array, from: Float64Array, radius: number, cell: number): void {
  const cells = from.length;
  const kernel = smoother(radius, cell);
  const reach = SPARSE * (kernel.length - 1);
  if (padded.length < cells + 2 * reach) padded = new Float64Array(cells + 2 * reach);
  padded.fill(from[0]!, 0, reach);
  padded.set(from, reach);
  padded.fill(from[cells - 1]!, reach + cells, cells + 2 * reach);
  for (let i = 0; i < cells; i++) {
    const o = i + reach;
    let s = kernel[0]! * padded[o]!;
    for (let j = 1, d = SPARSE; d <= reach; j++, d += SPARSE) s += kernel[j]! * (padded[o - d]! + padded[o + d]!);
    to[i] = s;
  }
}
