import * as at from './layout';
import { firstTwo, lastTwo, put } from './lanes';

/** Bytes of a place and of a line of them. */
const PLACE: usize = 16;
const LINE: usize = PLACE * at.SIDE;

/**
 * Takes the light behind print off the colours: see `backdrop.ts` of the reader, which states the numbers.
 *
 * @param half   Of the window, places.
 * @param times  That its mean is taken.
 * @param off    Of the mean square, from which a place hardly counts.
 * @param least  What it counts then.
 */
export function takeBackdrop(half: i32, times: i32, off: f64, least: f32): void {
  weigh(Infinity, least);
  spread(half, times);
  const limit = offMean(off);
  weigh(limit, least);
  spread(half, times);
  for (let c = at.COLOURS, s = at.SUMS; c < at.COLOURS_END; c += PLACE, s += PLACE) {
    if (load<f32>(c, 12) == 0) {
      v128.store(c, f64x2.splat(0));
      continue;
    }
    const share = f64x2.splat(<f64>load<f32>(s, 12));
    put(c, f64x2.sub(firstTwo(c), f64x2.div(firstTwo(s), share)), f64x2.sub(lastTwo(c), f64x2.div(lastTwo(s), share)));
    store<f32>(c, 1, 12);
  }
}

/** Colours by their weights: those farther off than the limit count less. */
function weigh(limit: f64, least: f32): void {
  for (let c = at.COLOURS, s = at.SUMS, o = at.OFF; c < at.COLOURS_END; c += PLACE, s += PLACE, o += 4) {
    const on = load<f32>(c, 12);
    const weight: f32 = on == 0 ? 0 : <f64>load<f32>(o) > limit ? least : 1;
    v128.store(s, f32x4.mul(v128.load(c), f32x4.splat(weight)));
  }
}

/** Squares of how far the colours are from their means; what part of their own mean counts as far. */
function offMean(off: f64): f64 {
  let sum: f64 = 0;
  let n: f64 = 0;
  for (let c = at.COLOURS, s = at.SUMS, o = at.OFF; c < at.COLOURS_END; c += PLACE, s += PLACE, o += 4) {
    if (load<f32>(c, 12) == 0) continue;
    const share = f64x2.splat(<f64>load<f32>(s, 12));
    const d = f64x2.sub(firstTwo(c), f64x2.div(firstTwo(s), share));
    const e = f64x2.sub(lastTwo(c), f64x2.div(lastTwo(s), share));
    const squares = f64x2.mul(d, d);
    const square =
      f64x2.extract_lane(squares, 0) + f64x2.extract_lane(squares, 1) + f64x2.extract_lane(f64x2.mul(e, e), 0);
    store<f32>(o, <f32>square);
    sum += square;
    n += 1;
  }
  return (off * sum) / max<f64>(1, n);
}

/** The sums' running means, along lines and across them, so many times. */
function spread(half: usize, times: i32): void {
  for (let t = 0; t < times; t++) {
    run(at.SUMS, at.BETWEEN, PLACE, LINE, half);
    run(at.BETWEEN, at.SUMS, LINE, PLACE, half);
  }
}

/** One running mean: places `along` apart in a line, lines `across` apart; outside counts as 0. Two lines side by side: one sum would wait for itself. */
function run(from: usize, to: usize, along: usize, across: usize, half: usize): void {
  const share = f64x2.splat(1 / <f64>(2 * half + 1));
  const reach = half * along;
  for (let line: usize = 0; line < at.SIDE; line += 2) {
    let p = from + line * across;
    let o = to + line * across;
    const end = p + at.SIDE * along;
    const entering = p + reach;
    let a = f64x2.splat(0);
    let b = a;
    let c = a;
    let d = a;
    for (let next = p; next < entering; next += along) {
      a = f64x2.add(a, firstTwo(next));
      b = f64x2.add(b, lastTwo(next));
      c = f64x2.add(c, firstTwo(next + across));
      d = f64x2.add(d, lastTwo(next + across));
    }
    for (; p < end; p += along, o += along) {
      const next = p + reach;
      if (next < end) {
        a = f64x2.add(a, firstTwo(next));
        b = f64x2.add(b, lastTwo(next));
        c = f64x2.add(c, firstTwo(next + across));
        d = f64x2.add(d, lastTwo(next + across));
      }
      if (p > entering) {
        const last = p - reach - along;
        a = f64x2.sub(a, firstTwo(last));
        b = f64x2.sub(b, lastTwo(last));
        c = f64x2.sub(c, firstTwo(last + across));
        d = f64x2.sub(d, lastTwo(last + across));
      }
      put(o, f64x2.mul(a, share), f64x2.mul(b, share));
      put(o + across, f64x2.mul(c, share), f64x2.mul(d, share));
    }
  }
}
