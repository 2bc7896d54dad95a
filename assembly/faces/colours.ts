import * as at from './layout';
import { firstTwo, lastTwo } from './lanes';

const PLACE: usize = 16;
/** Mean of skin's colours and inverse of their covariance (xx, xy, xz, yy, yz, zz). */
const MEAN: usize = at.PARAMETERS;
const INVERSE: usize = MEAN + 24;

/** Sums of the squares and products of the colours on the face: xx, xy, xz, yy, yz, zz. */
export function colourSums(): void {
  let xs = f64x2.splat(0);
  let ys = xs;
  let zs = xs;
  for (let c = at.COLOURS; c < at.COLOURS_END; c += PLACE) {
    if (load<f32>(c, 12) == 0) continue;
    const rg = firstTwo(c);
    const b = f64x2.splat(<f64>load<f32>(c, 8));
    xs = f64x2.add(xs, f64x2.mul(i64x2.shuffle(rg, rg, 0, 0), rg));
    ys = f64x2.add(ys, f64x2.mul(rg, i64x2.shuffle(b, rg, 0, 3)));
    zs = f64x2.add(zs, f64x2.mul(i64x2.shuffle(rg, b, 1, 3), b));
  }
  v128.store(at.RESULTS, xs);
  v128.store(at.RESULTS, ys, 16);
  v128.store(at.RESULTS, zs, 32);
}

/** The colours along a direction; where those right of a place, below it and both are on the face like itself is told beside it. */
export function alongWay(up: f64, x: f64, y: f64, z: f64): void {
  const below = at.SIDE * PLACE;
  for (let c = at.COLOURS, k: usize = 0; c < at.COLOURS_END; c += PLACE, k++) {
    const on = load<f32>(c, 12);
    const value: f32 =
      on == 0 ? 0 : <f32>(up * (<f64>load<f32>(c) * x + <f64>load<f32>(c, 4) * y + <f64>load<f32>(c, 8) * z));
    store<f32>(at.VALUE + (k << 2), value);
    store<f32>(at.MASK + (k << 2), on);
    const whole =
      c + below + PLACE < at.COLOURS_END
        ? on * load<f32>(c + PLACE, 12) * load<f32>(c + below, 12) * load<f32>(c + below + PLACE, 12)
        : 0;
    store<u8>(at.WHOLE + k, <u8>whole);
  }
}

/** Squared distance of a colour from skin. */
function squareAt(c: usize): f64 {
  const r = <f64>load<f32>(c) - load<f64>(MEAN);
  const g = <f64>load<f32>(c, 4) - load<f64>(MEAN, 8);
  const b = <f64>load<f32>(c, 8) - load<f64>(MEAN, 16);
  return (
    r * (load<f64>(INVERSE) * r + 2 * (load<f64>(INVERSE, 8) * g + load<f64>(INVERSE, 16) * b)) +
    g * (load<f64>(INVERSE, 24) * g + 2 * load<f64>(INVERSE, 32) * b) +
    load<f64>(INVERSE, 40) * b * b
  );
}

/**
 * Sums over every so-many-th place on the face, each weighted by how near it lies to skin as told, or all alike: places, weights, colours, and
 * their squares and products.
 */
export function skinSums(every: usize, told: bool): void {
  let asked: f64 = 0;
  let nx = f64x2.splat(0);
  let yz = nx;
  let xs = nx;
  let ys = nx;
  let zs = nx;
  for (let c = at.COLOURS; c < at.COLOURS_END; c += PLACE * every) {
    if (load<f32>(c, 12) == 0) continue;
    asked += 1;
    const w: f64 = told ? 4 / (1 + squareAt(c)) : 1;
    const ws = f64x2.splat(w);
    const rg = firstTwo(c);
    const b = f64x2.splat(<f64>load<f32>(c, 8));
    const wrg = f64x2.mul(ws, rg);
    const wb = f64x2.mul(ws, b);
    const wr = i64x2.shuffle(wrg, wrg, 0, 0);
    nx = f64x2.add(nx, i64x2.shuffle(ws, wrg, 0, 2));
    yz = f64x2.add(yz, i64x2.shuffle(wrg, wb, 1, 3));
    xs = f64x2.add(xs, f64x2.mul(wr, rg));
    ys = f64x2.add(ys, f64x2.mul(wrg, i64x2.shuffle(b, rg, 0, 3)));
    zs = f64x2.add(zs, f64x2.mul(i64x2.shuffle(wrg, wb, 1, 3), b));
  }
  store<f64>(at.RESULTS, asked);
  v128.store(at.RESULTS, nx, 8);
  v128.store(at.RESULTS, yz, 24);
  v128.store(at.RESULTS, xs, 40);
  v128.store(at.RESULTS, ys, 56);
  v128.store(at.RESULTS, zs, 72);
}

/** Squared distances from skin of all places on the face; 0 elsewhere. */
export function skinSquares(): void {
  for (let c = at.COLOURS, s = at.SQUARES; c < at.COLOURS_END; c += PLACE, s += 8)
    store<f64>(s, load<f32>(c, 12) == 0 ? 0 : squareAt(c));
}
