import { hypot2 } from '../maths/hypot.ts';

/** Polygons are [x, y] per point, closed, the first point not repeated. */

/** Area of a polygon. */
export const areaOf = (xy: ArrayLike<number>): number => {
  let s = 0;
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    s += xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
  }
  return Math.abs(s) / 2;
};

/** The upright box round points. */
export function boxAround(xy: ArrayLike<number>): {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
} {
  let left = Infinity;
  let top = Infinity;
  let right = -Infinity;
  let bottom = -Infinity;
  for (let k = 0; k < xy.length; k += 2) {
    left = Math.min(left, xy[k]!);
    right = Math.max(right, xy[k]!);
    top = Math.min(top, xy[k + 1]!);
    bottom = Math.max(bottom, xy[k + 1]!);
  }
  return { left, top, right, bottom };
}

/** Whether a convex outline contains a point; either winding. */
export function contains(hull: ArrayLike<number>, x: number, y: number): boolean {
  const n = hull.length;
  let isLeft = false;
  let isRight = false;
  for (let i = 0, px = hull[n - 2]!, py = hull[n - 1]!; i < n; i += 2) {
    const qx = hull[i]!;
    const qy = hull[i + 1]!;
    const t = (qx - px) * (y - py) - (qy - py) * (x - px);
    if (t > 0) isLeft = true;
    else if (t < 0) isRight = true;
    if (isLeft && isRight) return false;
    px = qx;
    py = qy;
  }
  return true;
}

/** Middle of the box round an outline. */
export function middleOf(xy: ArrayLike<number>): [number, number] {
  const { left, top, right, bottom } = boxAround(xy);
  return [(left + right) / 2, (top + bottom) / 2];
}

/** The same outline with points a unit apart along each side, from its first end on. */
export function resampled(hull: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const length = hypot2(hull[j]! - hull[i]!, hull[j + 1]! - hull[i + 1]!);
    for (let s = 0; s < length; s++) {
      const t = s / length;
      out.push(hull[i]! + t * (hull[j]! - hull[i]!), hull[i + 1]! + t * (hull[j + 1]! - hull[i + 1]!));
    }
  }
  return out;
}

/** Each point moved towards the middle of the box. */
export function drawnIn(xy: ArrayLike<number>, by: number): number[] {
  const [cx, cy] = middleOf(xy);
  return drawnTowards(xy, cx, cy, by);
}

/** Each point moved towards a place. */
export function drawnTowards(xy: ArrayLike<number>, cx: number, cy: number, by: number): number[] {
  const out: number[] = [];
  for (let i = 0; i < xy.length; i += 2) {
    const x = xy[i]!;
    const y = xy[i + 1]!;
    const d = hypot2(x - cx, y - cy) || 1;
    out.push(x - (by * (x - cx)) / d, y - (by * (y - cy)) / d);
  }
  return out;
}

/** Where a picture's row v enters and leaves a convex border, px; Infinity and -Infinity where it passes by. */
export function crossedAt(border: readonly number[], v: number): readonly [left: number, right: number] {
  const n = border.length / 2;
  let left = Infinity;
  let right = -Infinity;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const ya = border[2 * i + 1]!;
    const yb = border[2 * j + 1]!;
    if (ya > v === yb > v) continue;
    const x = border[2 * i]! + ((v - ya) / (yb - ya)) * (border[2 * j]! - border[2 * i]!);
    left = Math.min(left, x);
    right = Math.max(right, x);
  }
  return [left, right];
}
