export const areaOf = (xy: ArrayLike<number>): number => {
  let s = 0;
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    s += xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
  }
  return Math.abs(s) / 2;
};

/** Whether a convex outline contains a point; either winding. */
export function contains(hull: ArrayLike<number>, x: number, y: number): boolean {
  let sign = 0;
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const t = (hull[j]! - hull[i]!) * (y - hull[i + 1]!) - (hull[j + 1]! - hull[i + 1]!) * (x - hull[i]!);
    if (t === 0) continue;
    if (sign !== 0 && Math.sign(t) !== sign) return false;
    sign = Math.sign(t);
  }
  return true;
}

/** Middle of the box round an outline. */
export function middleOf(xy: readonly number[]): [number, number] {
  const u = xy.filter((_, i) => i % 2 === 0);
  const v = xy.filter((_, i) => i % 2 === 1);
  return [(Math.min(...u) + Math.max(...u)) / 2, (Math.min(...v) + Math.max(...v)) / 2];
}

export function resampled(hull: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const length = Math.hypot(hull[j]! - hull[i]!, hull[j + 1]! - hull[i + 1]!);
    for (let s = 0; s < length; s++) {
      const t = s / length;
      out.push(hull[i]! + t * (hull[j]! - hull[i]!), hull[i + 1]! + t * (hull[j + 1]! - hull[i + 1]!));
    }
  }
  return out;
}

export function drawnIn(xy: readonly number[], by: number): number[] {
  const [cx, cy] = middleOf(xy);
  return xy.map((v, k) => {
    const i = k >> 1;
    const d = Math.hypot(xy[2 * i]! - cx, xy[2 * i + 1]! - cy) || 1;
    return v - (by * (v - (k % 2 === 0 ? cx : cy))) / d;
  });
}
