import type { Mm, Radians } from '../units.ts';
import type { Camera, Rigid } from '../geometry/camera.ts';

/** A true die: one distance for all faces, one radius for all corners, standing on a face. */
export interface TruePose {
  /** Common face distance (inradius). */
  readonly size: Mm;
  readonly radius: Mm;
  /** Where its middle stands, card frame. */
  readonly x: Mm;
  readonly y: Mm;
  /** Turn about the upward axis from the upright turn of `trueShot` (pose.ts). */
  readonly yaw: Radians;
}

/** How a camera sees the card. */
export interface CardView {
  readonly camera: Camera;
  readonly cameraFromCard: Rigid;
}
/** Numbers per edge of the outline: a ball's middle, the direction to the next, the moment of their line, length, the foot of the origin. */
const EDGE = 11;

/**
 * Finds contacts of viewing rays along the outline of a true die whose corners are all rounded alike.
 *
 * Balls of one radius about the corners of a convex body: the distance from a ray is that from the body's outline, less the radius. The
 * outline's corners are those of the sharp die, as its faces are the rounded one's; a ray's nearest edge is that of the ray before it, or
 * a few further on. Unlike the search among any balls, the answer hangs on pose and ray alone, inside the outline too.
 *
 * Numbers go from function to function in arrays, which are filled anew by each call: anything else would be put on the heap at every ray.
 */
export class OutlineWalk {
  /** Middle of a corner's ball, camera frame, mm: 3 numbers from `3 * corner` on. */
  readonly centres: Float64Array;
  /** Of the contact: signed distance, mm, positive outside; outward unit normal, camera frame; share of the first corner. */
  readonly met = new Float64Array(5);
  /** The two corners that carry it; the same twice where one does alone. */
  readonly ends = new Int32Array(2);
  private readonly vertices: Float64Array;
  private readonly seen: Float64Array;
  /** Corners in the outline's order, the first repeated at the end, and its edges from each to the next. */
  private readonly corner: Int32Array;
  private readonly edge: Float64Array;
  private readonly ray = new Float64Array(3);
  /** Foot of the ray on the edge looked at, mm from its first corner, and the ray's signed distance from its line. */
  private readonly looked = new Float64Array(2);
  private readonly radius = new Float64Array(1);
  private count = 0;
  /** Edge of the ray before; none where -1. */
  private last = -1;

  /** @param vertices  Upright corners at inradius 1, [x, y, z] each, card axes. */
  constructor(vertices: Float64Array) {
    const n = vertices.length / 3;
    this.vertices = vertices;
    this.centres = new Float64Array(3 * n);
    this.seen = new Float64Array(2 * n);
    this.corner = new Int32Array(n + 1);
    this.edge = new Float64Array(EDGE * n);
  }

  /** Puts the die where the next rays shall meet it. */
  place(view: CardView, pose: TruePose): void {
    const { centres, seen, corner, edge } = this;
    this.radius[0] = pose.radius;
    placed(this.vertices, view, pose, centres, seen);
    this.count = wrapped(seen, corner);
    this.last = -1;
    for (let e = 0; e < this.count; e++) setEdge(centres, corner[e]!, corner[e + 1]!, e, edge);
  }

  /** Where ray `k` of the unit `rays` (6 numbers each, 3 of which are looked at) comes nearest; of rays in an outline's order soon found. */
  find(rays: Float64Array, k: number): void {
    const { edge, ray, looked, count } = this;
    for (let c = 0; c < 3; c++) ray[c] = rays[6 * k + c]!;
    let e = this.last < 0 ? this.outermost() : this.last;
    // Enough to go all round twice.
    for (let step = 0; step < 2 * count; step++) {
      look(edge, e, ray, looked);
      this.last = e;
      const before = looked[0]! < 0;
      const behind = looked[0]! > edge[EDGE * e + 9]!;
      const outside = looked[1]! >= 0;
      if (outside && !before && !behind) return this.meetEdge(e);
      if (before || behind) {
        const over = before ? (e === 0 ? count - 1 : e - 1) : e === count - 1 ? 0 : e + 1;
        look(edge, over, ray, looked);
        const turnsBack = before ? looked[0]! > edge[EDGE * over + 9]! : looked[0]! < 0;
        if (!turnsBack) {
          e = over;
          continue;
        }
        if (outside || looked[1]! >= 0) return this.meetCorner(before ? e : over);
      }
      // Inside, or behind: every edge has to be asked.
      const best = this.outermost();
      if (best === e) break;
      e = best;
    }
    this.meetEdge(e);
  }

  private outermost(): number {
    const { edge, ray, looked } = this;
    let best = 0;
    let most = -Infinity;
    for (let e = 0; e < this.count; e++) {
      look(edge, e, ray, looked);
      if (!(looked[1]! > most)) continue;
      most = looked[1]!;
      best = e;
    }
    return best;
  }

  private meetEdge(e: number): void {
    look(this.edge, e, this.ray, this.looked);
    onEdge(this.edge, e, this.ray, this.looked, this.radius[0]!, this.met);
    this.ends[0] = this.corner[e]!;
    this.ends[1] = this.corner[e + 1]!;
  }

  private meetCorner(e: number): void {
    atCorner(this.edge, e, this.ray, this.radius[0]!, this.met);
    this.ends[0] = this.ends[1] = this.corner[e]!;
  }
}

function look(edge: Float64Array, e: number, ray: Float64Array, looked: Float64Array): void {
  const o = EDGE * e;
  const dx = ray[0]!;
  const dy = ray[1]!;
  const dz = ray[2]!;
  const along = dx * edge[o + 3]! + dy * edge[o + 4]! + dz * edge[o + 5]!;
  const depth = dx * edge[o]! + dy * edge[o + 1]! + dz * edge[o + 2]!;
  const sine2 = 1 - along * along;
  looked[0] = (depth * along - edge[o + 10]!) / sine2;
  looked[1] = (dx * edge[o + 6]! + dy * edge[o + 7]! + dz * edge[o + 8]!) / Math.sqrt(sine2);
}

function atCorner(edge: Float64Array, e: number, ray: Float64Array, radius: number, met: Float64Array): void {
  const o = EDGE * e;
  const depth = ray[0]! * edge[o]! + ray[1]! * edge[o + 1]! + ray[2]! * edge[o + 2]!;
  let square = 0;
  for (let c = 0; c < 3; c++) {
    const v = depth * ray[c]! - edge[o + c]!;
    met[1 + c] = v;
    square += v * v;
  }
  const far = Math.max(1e-12, Math.sqrt(square));
  for (let c = 1; c < 4; c++) met[c]! /= far;
  met[0] = far - radius;
  met[4] = 1;
}

function onEdge(
  edge: Float64Array,
  e: number,
  ray: Float64Array,
  looked: Float64Array,
  radius: number,
  met: Float64Array,
): void {
  const o = EDGE * e;
  const ex = edge[o + 3]!;
  const ey = edge[o + 4]!;
  const ez = edge[o + 5]!;
  const along = ray[0]! * ex + ray[1]! * ey + ray[2]! * ez;
  const is = 1 / Math.sqrt(1 - along * along);
  met[0] = looked[1]! - radius;
  met[1] = (ray[1]! * ez - ray[2]! * ey) * is;
  met[2] = (ray[2]! * ex - ray[0]! * ez) * is;
  met[3] = (ray[0]! * ey - ray[1]! * ex) * is;
  met[4] = 1 - looked[0]! / edge[o + 9]!;
}

/** Middles of the corners' balls, camera frame, and where the sharp die's corners are seen, at unit distance. */
function placed(
  vertices: Float64Array,
  { cameraFromCard: { rotation: r, shift: t } }: CardView,
  p: TruePose,
  centres: Float64Array,
  seen: Float64Array,
): void {
  const c = Math.cos(p.yaw);
  const s = Math.sin(p.yaw);
  const ox = r[0]! * p.x + r[1]! * p.y + r[2]! * p.size + t[0];
  const oy = r[3]! * p.x + r[4]! * p.y + r[5]! * p.size + t[1];
  const oz = r[6]! * p.x + r[7]! * p.y + r[8]! * p.size + t[2];
  const inner = p.size - p.radius;
  for (let i = 0; i < vertices.length; i += 3) {
    const x = c * vertices[i]! - s * vertices[i + 1]!;
    const y = s * vertices[i]! + c * vertices[i + 1]!;
    const z = vertices[i + 2]!;
    const wx = r[0]! * x + r[1]! * y + r[2]! * z;
    const wy = r[3]! * x + r[4]! * y + r[5]! * z;
    const wz = r[6]! * x + r[7]! * y + r[8]! * z;
    centres[i] = ox + inner * wx;
    centres[i + 1] = oy + inner * wy;
    centres[i + 2] = oz + inner * wz;
    const iz = 1 / (oz + p.size * wz);
    seen[(2 * i) / 3] = (ox + p.size * wx) * iz;
    seen[(2 * i) / 3 + 1] = (oy + p.size * wy) * iz;
  }
}

/** Corners of the convex outline of points, all one way round, the first repeated at the end (Jarvis 1973); returns how many. */
function wrapped(xy: Float64Array, out: Int32Array): number {
  const n = xy.length / 2;
  let first = 0;
  for (let i = 1; i < n; i++) if (xy[2 * i]! > xy[2 * first]!) first = i;
  let count = 0;
  let at = first;
  do {
    out[count++] = at;
    let next = at === 0 ? 1 : 0;
    for (let i = 0; i < n; i++) {
      const ax = xy[2 * next]! - xy[2 * at]!;
      const ay = xy[2 * next + 1]! - xy[2 * at + 1]!;
      const bx = xy[2 * i]! - xy[2 * at]!;
      const by = xy[2 * i + 1]! - xy[2 * at + 1]!;
      const turn = ax * by - ay * bx;
      if (turn > 0 || (turn === 0 && bx * bx + by * by > ax * ax + ay * ay)) next = i;
    }
    at = next;
  } while (at !== first && count < n);
  out[count] = first;
  return count;
}

function setEdge(centres: Float64Array, a: number, b: number, e: number, edge: Float64Array): void {
  const x = centres[3 * a]!;
  const y = centres[3 * a + 1]!;
  const z = centres[3 * a + 2]!;
  const dx = centres[3 * b]! - x;
  const dy = centres[3 * b + 1]! - y;
  const dz = centres[3 * b + 2]! - z;
  const long = Math.sqrt(dx * dx + dy * dy + dz * dz);
  const ex = dx / long;
  const ey = dy / long;
  const ez = dz / long;
  const o = EDGE * e;
  edge[o] = x;
  edge[o + 1] = y;
  edge[o + 2] = z;
  edge[o + 3] = ex;
  edge[o + 4] = ey;
  edge[o + 5] = ez;
  edge[o + 6] = y * ez - z * ey;
  edge[o + 7] = z * ex - x * ez;
  edge[o + 8] = x * ey - y * ex;
  edge[o + 9] = long;
  edge[o + 10] = x * ex + y * ey + z * ez;
}
