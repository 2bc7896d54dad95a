/** Room for corners and for the stretches that are still to be parted (first and last point), kept from call to call. */
const roomOf = (points: number) => ({ corners: new Int32Array(2 * points), stretches: new Int32Array(4 * points) });
let room = roomOf(1024);

/**
 * The corners of a closed chain of points, such that none of them lies further than `tolerance` from the lines between: [x, y] each.
 *
 * Source: Douglas and Peucker 1973, from two points far apart, and corners between two that are almost in line left out, as OpenCV's `approxPolyDP` has it.
 *
 * @param points  [x, y] each, whole; the first `count` of them.
 */
export function fewCorners(points: Int32Array, count: number, tolerance: number): Int32Array {
  if (room.corners.length < 2 * count) room = roomOf(count);
  const squared = tolerance * tolerance;
  const found = parted(points, count, squared);
  return room.corners.slice(0, 2 * withoutStraight(found, squared));
}

/** Leaves the corners in the room; returns how many. */
function parted(points: Int32Array, count: number, squared: number): number {
  const { corners, stretches } = room;
  const start = farEnd(points, count, farEnd(points, count, 0));
  const far = farEnd(points, count, start);
  let found = 0;
  let open = 0;
  if (far !== start && squaredDistance(points, start, far) > squared) {
    stretches.set([far, start, start, far]);
    open = 2;
  } else {
    corners.set([points[2 * start]!, points[2 * start + 1]!]);
    found = 1;
  }
  while (open > 0) {
    open--;
    const [from, to] = [stretches[2 * open]!, stretches[2 * open + 1]!];
    const split = furthest(points, count, from, to, squared);
    if (split < 0) {
      corners[2 * found] = points[2 * from]!;
      corners[2 * found++ + 1] = points[2 * from + 1]!;
    } else {
      stretches[2 * open] = split;
      stretches[2 * open + 1] = to;
      stretches[2 * open + 2] = from;
      stretches[2 * open + 3] = split;
      open += 2;
    }
  }
  return found;
}

function squaredDistance(points: Int32Array, a: number, b: number): number {
  const dx = points[2 * b]! - points[2 * a]!;
  const dy = points[2 * b + 1]! - points[2 * a + 1]!;
  return dx * dx + dy * dy;
}

/** The first point, from one on, that is as far from it as any. */
function farEnd(points: Int32Array, count: number, from: number): number {
  let [most, far] = [0, from];
  for (let j = 1, k = from + 1; j < count; j++, k++) {
    if (k === count) k = 0;
    const distance = squaredDistance(points, from, k);
    if (distance > most) [most, far] = [distance, k];
  }
  return far;
}

/** The point of a stretch that lies furthest from the line between its ends; -1 where it is near enough, or there is none. */
function furthest(points: Int32Array, count: number, from: number, to: number, squared: number): number {
  const [x, y] = [points[2 * from]!, points[2 * from + 1]!];
  const dx = points[2 * to]! - x;
  const dy = points[2 * to + 1]! - y;
  let most = 0;
  let far = -1;
  for (let k = from + 1 === count ? 0 : from + 1; k !== to; k = k + 1 === count ? 0 : k + 1) {
    const off = Math.abs((points[2 * k + 1]! - y) * dx - (points[2 * k]! - x) * dy);
    if (off > most) {
      most = off;
      far = k;
    }
  }
  return most * most <= squared * (dx * dx + dy * dy) ? -1 : far;
}

/** Leaves out corners between two that are almost in line; returns how many are left. */
function withoutStraight(count: number, squared: number): number {
  const { corners: c } = room;
  let left = count;
  let to = 0;
  let [sx, sy] = [c[2 * count - 2]!, c[2 * count - 1]!];
  let [px, py] = [c[0]!, c[1]!];
  let next = count > 1 ? 1 : 0;
  for (let i = 0; i < count && left > 2; i++) {
    const [ex, ey] = [c[2 * next]!, c[2 * next + 1]!];
    next = next + 1 >= count ? 0 : next + 1;
    const [dx, dy] = [ex - sx, ey - sy];
    const off = Math.abs((px - sx) * dy - (py - sy) * dx);
    const isOn = (px - sx) * (ex - px) + (py - sy) * (ey - py) >= 0;
    const isStraight = off * off <= 0.5 * squared * (dx * dx + dy * dy) && dx !== 0 && dy !== 0 && isOn;
    [sx, sy] = isStraight ? [ex, ey] : [px, py];
    c[2 * to] = sx;
    c[2 * to + 1] = sy;
    to = to + 1 >= count ? 0 : to + 1;
    if (isStraight) {
      left--;
      i++;
      [px, py] = [c[2 * next]!, c[2 * next + 1]!];
      next = next + 1 >= count ? 0 : next + 1;
    } else [px, py] = [ex, ey];
  }
  return left;
}
