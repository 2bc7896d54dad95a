import * as at from './layout';

const LINE: usize = 4 * at.SIDE;

/** Means of the grid's values over three by three places of which any are on the face, in single precision; 0 outside the face and at the grid's edge. */
export function smoothed(): void {
  memory.fill(at.SMOOTH, 0, LINE * at.SIDE);
  for (let j: usize = 1; j + 1 < at.SIDE; j++)
    for (let k = j * at.SIDE + 1; k + 1 < (j + 1) * at.SIDE; k += 2) {
      const here = k << 2;
      const first = load<f32>(at.HELD_MASK + here);
      const second = load<f32>(at.HELD_MASK + here, 4);
      if (first + second == 0) continue;
      let sum = f64x2.splat(0);
      let count = sum;
      for (let place = here - LINE - 4; place < here + 2 * LINE - 4; place += LINE)
        for (let beside: usize = 0; beside < 12; beside += 4) {
          sum = f64x2.add(sum, f64x2.promote_low_f32x4(v128.load64_zero(at.HELD_VALUE + place + beside)));
          count = f64x2.add(count, f64x2.promote_low_f32x4(v128.load64_zero(at.HELD_MASK + place + beside)));
        }
      const means = f32x4.demote_f64x2_zero(f64x2.div(sum, count));
      if (first != 0) store<f32>(at.SMOOTH + here, f32x4.extract_lane(means, 0));
      if (second != 0) store<f32>(at.SMOOTH + here, f32x4.extract_lane(means, 1), 4);
    }
}

/** How many places on the face lie within a circle of the grid, and the sums of their values, squares and cubes; of the smoothed values or not. */
export function circleSums(smooth: bool, x: f64, y: f64, reach: f64): void {
  const values = smooth ? at.SMOOTH : at.HELD_VALUE;
  const most = reach * reach;
  let n = 0;
  let sums = f64x2.splat(0);
  let cubes: f64 = 0;
  for (let j: usize = 0; j < at.SIDE; j++) {
    const dy = <f64>j - y;
    const down = dy * dy;
    if (down > most) continue;
    for (let i: usize = 0; i < at.SIDE; i++) {
      const k = (j * at.SIDE + i) << 2;
      const dx = <f64>i - x;
      if (load<f32>(at.HELD_MASK + k) == 0 || dx * dx + down > most) continue;
      const v = <f64>load<f32>(values + k);
      const square = v * v;
      n++;
      sums = f64x2.add(sums, f64x2.replace_lane(f64x2.splat(v), 1, square));
      cubes += square * v;
    }
  }
  store<f64>(at.RESULTS, n);
  v128.store(at.RESULTS, sums, 8);
  store<f64>(at.RESULTS, cubes, 24);
}
