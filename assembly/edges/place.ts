import { add, mul, shared } from './lanes';
import * as at from './layout';

/** Averages a table by depth over the cells inside the outline, two cells side by side; weights and first depths are told beforehand. */
export function place(grid: usize, table: usize): void {
  let weights = at.DEPTH_WEIGHTS;
  for (let i: usize = 0; i < <usize>(at.INNER << 3); i += 16) {
    let depth = table + ((<usize>load<f64>(at.FIRST_DEPTHS + (i >> 1))) << 3);
    let v = f64x2.splat(0);
    for (let k = 0; k < at.NEAR_DEPTHS; k++, depth += 8, weights += 16)
      v = add(v, mul(v128.load(weights), shared(depth)));
    v128.store(grid + i, v);
  }
}
