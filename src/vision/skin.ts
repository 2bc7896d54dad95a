import { hypot2 } from '../maths/hypot.ts';
import type { BandPixels } from './band.ts';

/** Segments to each side over which the change of the skin's light along the outline is averaged. */
const AROUND = 2;
/** The smaller of two neighbouring differences is this much smaller than their root mean square, for normal ones that hang together by half. */
const OF_SMALLER = 1.5;

/**
 * How fast the die's own light changes beside each segment of an outline, display values per px: from the pixels along it.
 *
 * A pattern (swirls, speckles, a number near the edge) has no direction: as its light changes along the outline it changes across it, so
 * this is what the slope across is believed to be up to. Where one face ends and the next begins light jumps once: of the differences to
 * both neighbours the smaller counts.
 *
 * @param every  One segment in so many was looked at.
 * @param deep   Pixels further inside than this show the skin alone, px (negative).
 * @param xy     A point of each segment, px.
 */
export function skinSlopes(
  pixels: BandPixels,
  count: number,
  every: number,
  deep: number,
  xy: Float64Array,
): Float64Array {
  const total = Math.ceil(count / every);
  const level = new Float64Array(total);
  for (let i = 0; i < total; i++) level[i] = skinLevel(pixels, i * every, deep);
  const slope = new Float64Array(total);
  for (let i = 0; i < total; i++) slope[i] = between(level, xy, every, i, (i + 1) % total);
  const out = new Float64Array(count);
  for (let i = 0; i < total; i++) {
    let [sum, n] = [0, 0];
    for (let j = i - AROUND; j <= i + AROUND; j++) {
      const k = (j + total) % total;
      // Math.min of NaN is NaN: a segment with one neighbour alone says nothing.
      const v = Math.min(slope[(k + total - 1) % total]!, slope[k]!);
      if (Number.isNaN(v)) continue;
      sum += v * v;
      n++;
    }
    if (n > 0) out[i * every] = OF_SMALLER * Math.sqrt(sum / n);
  }
  return out;
}

/** Mean of a segment's pixels that show the skin alone; NaN where there are too few. */
function skinLevel({ start, s, y }: BandPixels, segment: number, deep: number): number {
  let [sum, n] = [0, 0];
  for (let m = start[segment]!; m < start[segment + 1]!; m++)
    if (s[m]! < deep) {
      sum += y[m]!;
      n++;
    }
  return n >= 4 ? sum / n : NaN;
}

/** Change of the level per px from one segment that was looked at to another; NaN where they are no neighbours. */
function between(level: Float64Array, xy: Float64Array, every: number, i: number, j: number): number {
  const [a, b] = [2 * i * every, 2 * j * every];
  const way = hypot2(xy[a]! - xy[b]!, xy[a + 1]! - xy[b + 1]!);
  return way > 0 && way < MOST_WAY * every ? Math.abs(level[i]! - level[j]!) / way : NaN;
}

/** Segments further apart than this are no neighbours, px. */
const MOST_WAY = 20;
