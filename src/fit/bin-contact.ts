import type { Contact } from '../geometry/hull.ts';
import type { CardView, TruePose } from './bin-pose.ts';

/** Contacts of viewing rays with a rounded true die. */
export interface OutlineWalk {
  /** Puts the die where the next rays shall meet it. */
  place(view: CardView, pose: TruePose): void;
  /** Middle of a corner's ball, camera frame: 3 numbers from `3 * corner` on, until the die is placed anew. */
  readonly centres: Float64Array;
  /** As {@link contactFinder}'s: where a unit ray comes nearest. Rays in the order of an outline are found fastest. */
  find(dx: number, dy: number, dz: number, out: Contact): void;
}

/** Numbers per edge of the outline: a ball's middle, the direction to the next, and the moment of their line. */
const EDGE = 9;

/**
 * Finds contacts along the outline of a true die whose corners are all rounded alike.
 *
 * Balls of one radius about the corners of a convex body: the distance from a ray is that from the body's outline, less the radius. The
 * outline's corners are those of the sharp die, as its faces are the rounded one's; a ray's nearest edge is that of the ray before it, or
 * a few further on. Unlike the search among any balls, the answer hangs on pose and ray alone, inside the outline too.
 *
 * @param vertices  Upright corners at inradius 1, [x, y, z] each, card axes.
 */
export function outlineWalk(vertices: Float64Array): OutlineWalk {
  const n = vertices.length / 3;
  const centres = new Float64Array(3 * n);
  const seen = new Float64Array(2 * n);
  const corner = new Int32Array(n + 1);
  const edge = new Float64Array(EDGE * n);
  const length = new Float64Array(n);
  const start = new Float64Array(n);
  let count = 0;
  let radius = 0;
  let last = -1;
  // Of the edge looked at: the ray's share along its direction, the ray's foot on it, mm, and its squared sine.
  let foot = 0;
  let sine2 = 1;
  const look = (e: number, dx: number, dy: number, dz: number): void => {
    const o = EDGE * e;
    const along = dx * edge[o + 3]! + dy * edge[o + 4]! + dz * edge[o + 5]!;
    const depth = dx * edge[o]! + dy * edge[o + 1]! + dz * edge[o + 2]!;
    sine2 = 1 - along * along;
    foot = (depth * along - start[e]!) / sine2;
  };
  /** Signed distance of a ray from the line of an edge, mm; positive outside. */
  const beside = (e: number, dx: number, dy: number, dz: number): number => {
    const o = EDGE * e;
    const along = dx * edge[o + 3]! + dy * edge[o + 4]! + dz * edge[o + 5]!;
    return (dx * edge[o + 6]! + dy * edge[o + 7]! + dz * edge[o + 8]!) / Math.sqrt(1 - along * along);
  };
  const outermost = (dx: number, dy: number, dz: number): number => {
    let best = 0;
    let most = -Infinity;
    for (let e = 0; e < count; e++) {
      const d = beside(e, dx, dy, dz);
      if (d > most) [most, best] = [d, e];
    }
    return best;
  };
  const atCorner = (e: number, dx: number, dy: number, dz: number, out: Contact): void => {
    const o = EDGE * e;
    const [x, y, z] = [edge[o]!, edge[o + 1]!, edge[o + 2]!];
    const depth = dx * x + dy * y + dz * z;
    out.ux = depth * dx - x;
    out.uy = depth * dy - y;
    out.uz = depth * dz - z;
    const far = Math.max(1e-12, Math.sqrt(out.ux * out.ux + out.uy * out.uy + out.uz * out.uz));
    out.ux /= far;
    out.uy /= far;
    out.uz /= far;
    out.distance = far - radius;
    out.first = out.second = corner[e]!;
    out.share = 1;
  };
  const onEdge = (e: number, dx: number, dy: number, dz: number, off: number, out: Contact): void => {
    const o = EDGE * e;
    const is = 1 / Math.sqrt(sine2);
    out.ux = (dy * edge[o + 5]! - dz * edge[o + 4]!) * is;
    out.uy = (dz * edge[o + 3]! - dx * edge[o + 5]!) * is;
    out.uz = (dx * edge[o + 4]! - dy * edge[o + 3]!) * is;
    out.distance = off - radius;
    out.first = corner[e]!;
    out.second = corner[e + 1]!;
    out.share = 1 - foot / length[e]!;
  };
  return {
    centres,
    place(view, pose) {
      ({ radius } = pose);
      placed(vertices, view, pose, centres, seen);
      count = wrapped(seen, corner);
      last = -1;
      for (let e = 0; e < count; e++) setEdge(centres, corner[e]!, corner[e + 1]!, e, edge, length, start);
    },
    find(dx, dy, dz, out) {
      let e = last < 0 ? outermost(dx, dy, dz) : last;
      // Enough to go all round twice.
      for (let step = 0; step < 2 * count; step++) {
        look(e, dx, dy, dz);
        last = e;
        const off = beside(e, dx, dy, dz);
        if (foot >= 0 && foot <= length[e]! && off >= 0) return onEdge(e, dx, dy, dz, off, out);
        const over = foot < 0 ? (e === 0 ? count - 1 : e - 1) : foot > length[e]! ? (e === count - 1 ? 0 : e + 1) : -1;
        if (over >= 0) {
          const [beyond, end] = [foot > 0, foot < 0 ? e : over];
          look(over, dx, dy, dz);
          const meets = beyond ? foot < 0 : foot > length[over]!;
          if (!meets) {
            e = over;
            continue;
          }
          if (off >= 0 || beside(over, dx, dy, dz) >= 0) return atCorner(end, dx, dy, dz, out);
        }
        // Inside, or behind: every edge has to be asked.
        const best = outermost(dx, dy, dz);
        if (best === e) break;
        e = best;
      }
      look(e, dx, dy, dz);
      onEdge(e, dx, dy, dz, beside(e, dx, dy, dz), out);
    },
  };
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

function setEdge(
  centres: Float64Array,
  a: number,
  b: number,
  e: number,
  edge: Float64Array,
  length: Float64Array,
  start: Float64Array,
): void {
  const [x, y, z] = [centres[3 * a]!, centres[3 * a + 1]!, centres[3 * a + 2]!];
  const [dx, dy, dz] = [centres[3 * b]! - x, centres[3 * b + 1]! - y, centres[3 * b + 2]! - z];
  const long = Math.sqrt(dx * dx + dy * dy + dz * dz);
  const [ex, ey, ez] = [dx / long, dy / long, dz / long];
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
  length[e] = long;
  start[e] = x * ex + y * ey + z * ez;
}
