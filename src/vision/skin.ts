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
  const level = new Float64Array(count).fill(NaN);
  const asked: number[] = [];
  for (let segment = 0; segment < count; segment += every) {
    asked.push(segment);
    let [sum, n] = [0, 0];
    for (let m = pixels.start[segment]!; m < pixels.start[segment + 1]!; m++)
      if (pixels.s[m]! < deep) {
        sum += pixels.y[m]!;
        n++;
      }
    if (n >= 4) level[segment] = sum / n;
  }
  const total = asked.length;
  const at = (i: number): number => asked[(i + total) % total]!;
  const slope = (a: number, b: number): number => {
    const way = Math.hypot(xy[2 * a]! - xy[2 * b]!, xy[2 * a + 1]! - xy[2 * b + 1]!);
    return way > 0 && way < MOST_WAY * every ? Math.abs(level[a]! - level[b]!) / way : NaN;
  };
  const own = Float64Array.from(asked, (k, i) => Math.min(slope(k, at(i - 1)), slope(k, at(i + 1))));
  const out = new Float64Array(count);
  asked.forEach((k, i) => {
    let [sum, n] = [0, 0];
    for (let j = i - AROUND; j <= i + AROUND; j++) {
      const v = own[(j + total) % total]!;
      if (Number.isNaN(v)) continue;
      sum += v * v;
      n++;
    }
    if (n > 0) out[k] = OF_SMALLER * Math.sqrt(sum / n);
  });
  return out;
}

/** Segments further apart than this are no neighbours, px. */
const MOST_WAY = 20;
