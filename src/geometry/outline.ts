import { hypot2 } from '../maths/hypot.ts';
import { middleOf } from './polygon.ts';
import { vec3At } from './vec.ts';
import { projectInto, type Camera } from './camera.ts';
import type { SeenBalls } from './hull.ts';

/** Points of a die's outline as measured in one photo: what `vision` hands to `fit`. */
export interface Outline {
  /** [u, v] per point, px. */
  readonly xy: Float64Array;
  /** Outward unit normal of the outline per point, picture frame. */
  readonly normal: Float64Array;
  /** Standard uncertainty along the normal, px. */
  readonly sigma: Float64Array;
  /**
   * How far the light beside each point slopes, over what is believed of it: where it does, models of the light are least good, and a
   * whole stretch may lie off by so many times as much. Without it all count as 1.
   */
  readonly strain?: Float64Array;
  /** How far the thing's own light changes along the outline, over what is believed of it on plain skin; without it not at all. */
  readonly skin?: Float64Array;
  /** How many times further than in other photos stretches of this one may lie off: it is blurred where they are not. Without it once. */
  readonly loose?: number;
  /** Movement of each point along its normal by each thing it hangs on besides the pixels, `terms` per point, px. */
  readonly byTerm: Float64Array;
  readonly terms: number;
  /** What points beside faces seen edge-on hang on besides, and what they tell of those faces' crowns; none where left out. */
  readonly grazing?: Grazing;
}

/** What an outline's points tell of crowns. */
export interface Grazing {
  /** The face that each point grazes, or -1. */
  readonly face: Int32Array;
  /** Movement of the residual by that face's crown beyond what the solid's own contact says, px per mm. */
  readonly byCrown: Float64Array;
  /** What the light beside the edge says of crowns, a face each. */
  readonly crowns: readonly CrownEvidence[];
}

/** One face's crown as the light of one photo's grazing stretch shows it, all else held. */
export interface CrownEvidence {
  readonly face: number;
  /** The crown from which it is counted, mm: the one that was believed while measuring. */
  readonly believed: number;
  /** How much higher it is, and the standard uncertainty of that, mm. */
  readonly change: number;
  readonly u: number;
}

/** A predicted outline, walked at even steps. */
export interface OutlineCurve {
  readonly count: number;
  /** Mean distance between neighbours along the curve, px. */
  readonly step: number;
  /** [u, v] per point, px, and the outward unit normal there, picture frame. */
  readonly xy: Float64Array;
  readonly normal: Float64Array;
  /** Ball whose own outline the point lies on, -1 between two. */
  readonly ball: Int32Array;
}

/** Directions in which each ball's rim is sampled: its outline is then true to 1e-3 of its radius. */
const RIM = 72;

/**
 * The outline of a hull of balls as a camera sees it: closed, clockwise as drawn (y down), first point not repeated.
 *
 * Walked in the plane at unit distance, where straight edges are straight, and bent by the lens point by point. Good to a thousandth of
 * a corner's radius: edges are searched from here, and fitted to the exact solid.
 *
 * @param step  Wanted distance between points, px.
 */
export function outlineOf(balls: SeenBalls, camera: Camera, step: number): OutlineCurve {
  const rim = rimsOf(balls);
  const order = hullOrder(rim, outside(balls, rim));
  const hull = placed(rim, order);
  const m = order.length;
  const along = new Float64Array(m + 1);
  for (let k = 0; k < m; k++) {
    const n = (k + 1) % m;
    along[k + 1] = along[k]! + hypot2(hull[2 * n]! - hull[2 * k]!, hull[2 * n + 1]! - hull[2 * k + 1]!);
  }
  const length = along[m]!;
  const count = Math.max(8, Math.round((length * camera.f) / step));
  const xy = new Float64Array(2 * count);
  const ball = new Int32Array(count);
  const place: [number, number] = [0, 0];
  for (let k = 0, e = 0; k < count; k++) {
    const s = ((k + 0.5) * length) / count;
    while (along[e + 1]! < s) e++;
    const t = (s - along[e]!) / (along[e + 1]! - along[e]!);
    const n = e + 1 === m ? 0 : e + 1;
    const x = hull[2 * e]! * (1 - t) + hull[2 * n]! * t;
    const y = hull[2 * e + 1]! * (1 - t) + hull[2 * n + 1]! * t;
    projectInto(place, camera, x, y, 1);
    xy[2 * k] = place[0];
    xy[2 * k + 1] = place[1];
    const owner = Math.floor(order[e]! / RIM);
    ball[k] = owner < balls.count && owner === Math.floor(order[n]! / RIM) ? owner : -1;
  }
  const normal = new Float64Array(2 * count);
  let walked = 0;
  for (let k = 0; k < count; k++) {
    const p = k === 0 ? count - 1 : k - 1;
    const q = k + 1 === count ? 0 : k + 1;
    const tx = xy[2 * q]! - xy[2 * p]!;
    const ty = xy[2 * q + 1]! - xy[2 * p + 1]!;
    const il = 1 / Math.sqrt(tx * tx + ty * ty);
    walked += hypot2(xy[2 * q]! - xy[2 * k]!, xy[2 * q + 1]! - xy[2 * k + 1]!);
    normal[2 * k] = ty * il;
    normal[2 * k + 1] = -tx * il;
  }
  return { count, step: walked / count, xy, normal, ball };
}

/** Places, at unit distance, of all rims' samples, RIM a ball, and of crowns' points behind them. */
function rimsOf(balls: SeenBalls): Float64Array {
  const { count } = balls;
  const points = balls.crowns?.points ?? NONE;
  const out = new Float64Array(2 * RIM * count + (2 * points.length) / 3);
  for (let i = 0; i < count; i++) rimOf(balls, i, out, 2 * RIM * i);
  for (let i = 0, at = 2 * RIM * count; i < points.length; i += 3, at += 2) {
    out[at] = points[i]! / points[i + 2]!;
    out[at + 1] = points[i + 1]! / points[i + 2]!;
  }
  return out;
}

/** Points, at unit distance, of the circle in which the tangent cone from the camera touches a ball. */
function rimOf({ centres, radii }: SeenBalls, i: number, out: Float64Array, at: number): void {
  const c = vec3At(centres, i);
  const r = radii[i]!;
  const d2 = c[0] * c[0] + c[1] * c[1] + c[2] * c[2];
  const k = 1 - (r * r) / d2;
  const rr = r * Math.sqrt(k);
  const d = Math.sqrt(d2);
  const [zx, zy, zz] = [c[0] / d, c[1] / d, c[2] / d];
  const il = 1 / hypot2(zz, zx);
  const [ax, az] = [zz * il, -zx * il];
  const [bx, by, bz] = [zy * az, zz * ax - zx * az, -zy * ax];
  for (let q = 0; q < RIM; q++) {
    const co = rr * COS[q]!;
    const si = rr * SIN[q]!;
    const iz = 1 / (c[2] * k + co * az + si * bz);
    out[at + 2 * q] = (c[0] * k + co * ax + si * bx) * iz;
    out[at + 2 * q + 1] = (c[1] * k + si * by) * iz;
  }
}

/** Over what is left between two directions a ball that carries the hull there is passed by others by less than this share of the die's width. */
const REACH = 0.1;
/** Places nearer to the middle than this share of where the hull is nearest lie inside it by far more than rounding. */
const INSIDE = 1 - 1e-6;

/** Places that the hull may have, ascending: those that lie surely inside it, which are most, need not be put in order. */
function outside({ count, centres, radii }: SeenBalls, rim: Float64Array): Int32Array {
  const reach = new Float64Array(RIM * count);
  const furthest = new Float64Array(RIM).fill(-Infinity);
  for (let i = 0, at = 0; i < count; i++) {
    const [x, y, z] = [centres[3 * i]!, centres[3 * i + 1]!, centres[3 * i + 2]!];
    const r = radii[i]!;
    // None of a ball that does not lie before the camera.
    const w = z > r ? z * z - r * r : NaN;
    for (let q = 0; q < RIM; q++, at++) {
      // The line of this direction whose plane with the camera touches the ball.
      const along = COS[q]! * x + SIN[q]! * y;
      const far = (along * z + r * Math.sqrt(along * along + w)) / w;
      reach[at] = far;
      if (far > furthest[q]!) furthest[q] = far;
    }
  }
  let width = 0;
  for (let q = 0; q < RIM / 2; q++) width = Math.max(width, furthest[q]! + furthest[q + RIM / 2]!);
  const out = new Int32Array(rim.length >> 1);
  const near = new Uint8Array(RIM);
  let kept = 0;
  for (let i = 0, at = 0; i < count; i++, at += RIM) {
    const beside = leaning(centres, i, radii[i]!);
    near.fill(0);
    for (let q = 0; q < RIM; q++)
      // What is no number is no more surely inside than outside.
      if (!(reach[at + q]! < furthest[q]! - REACH * width))
        for (let k = q - beside; k <= q + beside; k++) near[(k + RIM) % RIM] = 1;
    for (let q = 0; q < RIM; q++) if (near[q] === 1) out[kept++] = at + q;
  }
  return withPoints(rim, RIM * count, out, kept);
}

/** By how many samples the direction of a rim at a sample may be another one than the sample's: off the camera's axis a ball is seen as an ellipse. */
function leaning(centres: Float64Array, i: number, r: number): number {
  const [x, y, z] = [centres[3 * i]!, centres[3 * i + 1]!, centres[3 * i + 2]!];
  const off = x * x + y * y;
  const angle = z > r ? off / (z * z - r * r) + (2 * r * Math.sqrt(off)) / (z * z) : NaN;
  return angle < Math.PI ? Math.min(RIM / 2, 1 + Math.ceil((angle * RIM) / (2 * Math.PI))) : RIM / 2;
}

/** Some places and, of those from `first` on, which are points of crowns, the ones that do not lie surely inside the others' hull. */
function withPoints(rim: Float64Array, first: number, out: Int32Array, some: number): Int32Array {
  const hull = first < out.length ? placed(rim, hullOrder(rim, out.slice(0, some))) : [];
  const [mx, my] = middleOf(hull);
  let nearest = Infinity;
  for (let k = 0; k < hull.length; k += 2) {
    const n = k + 2 === hull.length ? 0 : k + 2;
    const [x, y] = [hull[k]! - mx, hull[k + 1]! - my];
    const [sx, sy] = [hull[n]! - hull[k]!, hull[n + 1]! - hull[k + 1]!];
    nearest = Math.min(nearest, (x * sy - y * sx) / hypot2(sx, sy));
  }
  const least = nearest > 0 && nearest < Infinity ? (INSIDE * nearest) ** 2 : 0;
  let kept = some;
  for (let p = first; p < out.length; p++) {
    const x = rim[2 * p]! - mx;
    const y = rim[2 * p + 1]! - my;
    if (!(x * x + y * y < least)) out[kept++] = p;
  }
  return out.subarray(0, kept);
}

const NONE = new Float64Array(0);
const COS = Float64Array.from({ length: RIM }, (_, q) => Math.cos((2 * Math.PI * q) / RIM));
const SIN = Float64Array.from({ length: RIM }, (_, q) => Math.sin((2 * Math.PI * q) / RIM));

/** Convex hull of [x, y] pairs, clockwise as drawn (y down) (Andrew 1979). */
export const convexHull = (xy: ArrayLike<number>): number[] => placed(xy, hullOrder(xy, allOf(xy)));

const allOf = (xy: ArrayLike<number>): Int32Array => {
  const out = new Int32Array(xy.length >> 1);
  for (let i = 0; i < out.length; i++) out[i] = i;
  return out;
};

function placed(xy: ArrayLike<number>, order: readonly number[]): number[] {
  const out: number[] = [];
  for (const i of order) out.push(xy[2 * i]!, xy[2 * i + 1]!);
  return out;
}

/** The same as places in the list, of those of some of them. */
function hullOrder(xy: ArrayLike<number>, some: Int32Array): number[] {
  const order = fromLeft(xy, some);
  const out: number[] = [];
  addHalf(xy, order, out);
  addHalf(xy, order.reverse(), out);
  return out;
}

/** Adds the half of a hull that is passed on the way through points that are in order, without the last of them. */
function addHalf(xy: ArrayLike<number>, order: Int32Array, out: number[]): void {
  const first = out.length;
  for (const p of order) {
    while (out.length >= first + 2) {
      const a = out[out.length - 2]!;
      const b = out[out.length - 1]!;
      const turn =
        (xy[2 * b]! - xy[2 * a]!) * (xy[2 * p + 1]! - xy[2 * a + 1]!) -
        (xy[2 * b + 1]! - xy[2 * a + 1]!) * (xy[2 * p]! - xy[2 * a]!);
      if (turn > 0) break;
      out.pop();
    }
    out.push(p);
  }
  out.pop();
}

/** Some places of [x, y] pairs, which are overwritten, by x, where it is equal by y: merged, since a sort that is told how to compare is several times slower. */
function fromLeft(xy: ArrayLike<number>, some: Int32Array): Int32Array {
  const n = some.length;
  let from: Int32Array = some;
  let to: Int32Array = new Int32Array(n);
  for (let width = 1; width < n; width *= 2) {
    for (let start = 0; start < n; start += 2 * width) merge(xy, from, to, start, width);
    [from, to] = [to, from];
  }
  return from;
}

/** Merges two neighbouring stretches of `width` places that are in order each. */
function merge(xy: ArrayLike<number>, from: Int32Array, to: Int32Array, start: number, width: number): void {
  const middle = Math.min(from.length, start + width);
  const end = Math.min(from.length, middle + width);
  let [i, j] = [start, middle];
  for (let k = start; k < end; k++) {
    const a = i < middle ? from[i]! : -1;
    const b = j < end ? from[j]! : -1;
    const isSecond = a < 0 || (b >= 0 && isRightOf(xy, a, b));
    to[k] = isSecond ? b : a;
    if (isSecond) j++;
    else i++;
  }
}

function isRightOf(xy: ArrayLike<number>, a: number, b: number): boolean {
  const apart = xy[2 * a]! - xy[2 * b]!;
  return apart > 0 || (apart === 0 && xy[2 * a + 1]! > xy[2 * b + 1]!);
}
