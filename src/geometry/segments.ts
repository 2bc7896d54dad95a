import type { OutlineCurve } from './outline.ts';

/** Length of the segments in which an outline is looked at, px: longer where it is straight, since nothing changes along them there. */
export const SEGMENT_PX = { curved: 4, straight: 8 } as const;

/** An outline cut into segments; a few samples at its end may belong to none. */
export interface Segments {
  readonly count: number;
  /** Sample in the middle of each. */
  readonly middle: Int32Array;
  /** Segment of each sample, or -1. */
  readonly of: Int32Array;
}

export function segmentsOf(curve: OutlineCurve): Segments {
  const [short, long] = [SEGMENT_PX.curved, SEGMENT_PX.straight].map((px) =>
    Math.max(1, Math.round(px / curve.step)),
  ) as [number, number];
  const of = new Int32Array(curve.count).fill(-1);
  const middle: number[] = [];
  let from = 0;
  while (from + short <= curve.count) {
    let straight = 0;
    while (straight < long && from + straight < curve.count && curve.ball[from + straight]! < 0) straight++;
    const length = straight === long ? long : short;
    of.fill(middle.length, from, from + length);
    middle.push(from + (length >> 1));
    from += length;
  }
  return { count: middle.length, middle: Int32Array.from(middle), of };
}
