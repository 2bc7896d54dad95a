import { turned, type Rigid } from './camera.ts';
import type { Balls, DieSolid } from './solid.ts';
import { dot, inOrderOf, minus, norm, scaled, vec3At, type Vec3 } from './vec.ts';

/**
 * A crowned face rises from its land's sides to its middle as a parabola: b (1 - g^2), where g is 0 in the middle and 1 on the sides.
 *
 * Between middle and one side it is a parabolic cylinder, which is steep towards that side alone; two cylinders meet in a ridge from
 * the middle to a corner. So the hull of the ridges is the face, and points on them carry every contact: its support function.
 */
export interface Lands {
  /** Middle of each land less normal times distance, [x, y, z] per face, body frame, mm. */
  readonly middles: Float64Array;
  /** From the middle to the land's corners in order round it, per face; none where a face has no land. */
  readonly corners: readonly (readonly Vec3[])[];
}

/** Points on a ridge from the middle to a corner: their chords lie within 1/256 of the crown under it. */
const RIDGE = 8;
/** Crowns lower than this are flat, mm. */
const LEAST_CROWN = 2e-4;
/** Faces further than this from edge-on show nothing of their crowns in the outline, radians. */
const NEAR_EDGE_ON = 0.06;

/** The lands of a die of balls. */
export function landsOf(solid: DieSolid, body: Balls): Lands {
  const middles = new Float64Array(3 * solid.labels.length);
  const corners: Vec3[][] = [];
  for (let f = 0; f < solid.labels.length; f++) corners.push(landOf(solid, body, f, middles));
  return { middles, corners };
}

/** From a land's middle, which is written to `middles`, to its corners; none where it has no land. */
function landOf(solid: DieSolid, body: Balls, f: number, middles: Float64Array): Vec3[] {
  const n = vec3At(solid.normals, f);
  const points: Vec3[] = [];
  for (const [corner, { faces }] of solid.corners.entries()) {
    const place = faces.includes(f) ? cornerPlace(body, f, corner, n) : null;
    if (place) points.push(place);
  }
  if (points.length < 3) return [];
  const middle = middleOf(points);
  middles.set(middle, 3 * f);
  const arms: Vec3[] = [];
  for (const p of points) arms.push(minus(p, middle));
  return inRing(arms, n);
}

const plus = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];

function middleOf(points: readonly Vec3[]): Vec3 {
  let sum = points[0]!;
  for (let i = 1; i < points.length; i++) sum = plus(sum, points[i]!);
  return scaled(sum, 1 / points.length);
}

/**
 * Where a corner's balls touch a face, in its plane through the origin; null where none does. A corner whose planes do not meet in a point has several
 * balls: their middle stands for it.
 */
function cornerPlace(body: Balls, face: number, corner: number, n: Vec3): Vec3 | null {
  const { count, corner: of, faces, centres } = body;
  const flat: Vec3[] = [];
  for (let b = 0, o = 0; b < count; b++, o += 3) {
    if (of[b] !== corner || (faces[o] !== face && faces[o + 1] !== face && faces[o + 2] !== face)) continue;
    const c = vec3At(centres, b);
    flat.push(minus(c, scaled(n, dot(c, n))));
  }
  return flat.length === 0 ? null : middleOf(flat);
}

function inRing(points: readonly Vec3[], n: Vec3): Vec3[] {
  const x = scaled(points[0]!, 1 / norm(points[0]!));
  const y: Vec3 = [n[1] * x[2] - n[2] * x[1], n[2] * x[0] - n[0] * x[2], n[0] * x[1] - n[1] * x[0]];
  const angles: number[] = [];
  for (const p of points) angles.push(Math.atan2(dot(p, y), dot(p, x)));
  return inOrderOf(angles, points);
}

/** One side of a crowned land as it is seen: the cylinder between it and the middle. */
export interface CrownSide {
  /** Along the side's outward normal in the face's plane, over the side's distance from the middle, 1 / mm. */
  readonly outward: Vec3;
}

/** A crowned face as it is seen; camera frame, mm. */
export interface SeenCrown {
  readonly face: number;
  readonly crown: number;
  readonly normal: Vec3;
  /** Middle of the land, in the plane of its sides. */
  readonly middle: Vec3;
  readonly sides: readonly CrownSide[];
}

/** The crowned faces that a camera sees nearly edge-on, and the points on their ridges that join the hull. */
export interface SeenCrowns {
  readonly faces: readonly SeenCrown[];
  readonly count: number;
  /** [x, y, z] per point; the place in `faces` it belongs to, and its height over the crown's. */
  readonly points: Float64Array;
  readonly of: Int32Array;
  readonly share: Float64Array;
}

/** Adds the point of a ridge that lies so far along an arm; returns its height over the crown's. */
function addPoint(points: number[], { crown, normal, middle }: SeenCrown, arm: Vec3, q: number): number {
  const h = 1 - q * q;
  for (let k = 0; k < 3; k++) points.push(middle[k]! + q * arm[k]! + crown * h * normal[k]!);
  return h;
}

/** The side from the end of one arm to the next one's. */
function sideBetween(p: Vec3, q: Vec3, normal: Vec3): CrownSide {
  const along = minus(q, p);
  const out: Vec3 = [
    along[1] * normal[2] - along[2] * normal[1],
    along[2] * normal[0] - along[0] * normal[2],
    along[0] * normal[1] - along[1] * normal[0],
  ];
  return { outward: scaled(out, 1 / dot(out, p)) };
}

/** Sunk and flat faces have no points: an outline does not show them. */
export function seenCrowns(
  { normals }: DieSolid,
  distances: ArrayLike<number>,
  crowns: ArrayLike<number>,
  { middles, corners }: Lands,
  cameraFromBody: Rigid,
): SeenCrowns {
  const { rotation, shift } = cameraFromBody;
  const faces: SeenCrown[] = [];
  const points: number[] = [];
  const of: number[] = [];
  const share: number[] = [];
  for (let face = 0; face < crowns.length; face++) {
    const crown = crowns[face]!;
    const ring = corners[face]!;
    if (!(crown >= LEAST_CROWN) || ring.length < 3) continue;
    const n = vec3At(normals, face);
    const normal = turned(rotation, n);
    const middle = plus(turned(rotation, plus(vec3At(middles, face), scaled(n, distances[face]!))), shift);
    if (Math.abs(dot(normal, middle)) > NEAR_EDGE_ON * norm(middle)) continue;
    const arms: Vec3[] = [];
    for (const p of ring) arms.push(turned(rotation, p));
    const sides: CrownSide[] = [];
    for (let k = 0; k < arms.length; k++) sides.push(sideBetween(arms[k]!, arms[(k + 1) % arms.length]!, normal));
    const seen = { face, crown, normal, middle, sides };
    share.push(addPoint(points, seen, arms[0]!, 0));
    for (const arm of arms) for (let j = 1; j < RIDGE; j++) share.push(addPoint(points, seen, arm, j / RIDGE));
    while (of.length < share.length) of.push(faces.length);
    faces.push(seen);
  }
  return {
    faces,
    count: of.length,
    points: Float64Array.from(points),
    of: Int32Array.from(of),
    share: Float64Array.from(share),
  };
}

/**
 * Where a ray from the camera first enters a crown: the nearest of its cylinders, each within its own part of the land.
 *
 * @returns Distance along the ray, Infinity where it misses; the normal goes into `out`.
 */
export function enterCrown(
  { crown, normal: n, middle, sides }: SeenCrown,
  d: Vec3,
  out: { nx: number; ny: number; nz: number },
): number {
  const nd = dot(n, d);
  const nm = dot(n, middle);
  let best = Infinity;
  for (const { outward: s } of sides) {
    // Height t n.d - n.m = crown (1 - (t s.d - s.m)^2): a quadratic in t.
    const sd = dot(s, d);
    const sm = dot(s, middle);
    const a = crown * sd * sd;
    const half = (nd - 2 * crown * sd * sm) / 2;
    const c = crown * sm * sm - nm - crown;
    const root = half * half - a * c;
    if (root < 0) continue;
    const q = -(half + Math.sign(half || 1) * Math.sqrt(root));
    for (let way = 0; way < 2; way++) {
      const below = way === 0 ? a : q;
      const t = below === 0 ? Infinity : (way === 0 ? q : c) / below;
      if (!(t > 0) || t >= best) continue;
      const g = t * sd - sm;
      // Entered from above, between middle and this side, no other side being nearer.
      if (g < 0 || g > 1 || nd + 2 * crown * g * sd > 0) continue;
      if (isBeyondSide(sides, middle, d, t, g)) continue;
      best = t;
      const x = n[0] + 2 * crown * g * s[0];
      const y = n[1] + 2 * crown * g * s[1];
      const z = n[2] + 2 * crown * g * s[2];
      const il = 1 / Math.sqrt(x * x + y * y + z * z);
      out.nx = x * il;
      out.ny = y * il;
      out.nz = z * il;
    }
  }
  return best;
}

/** Whether a place so far along a ray lies nearer to some side, as a share of the way from the middle, than g. */
function isBeyondSide(sides: readonly CrownSide[], middle: Vec3, d: Vec3, t: number, g: number): boolean {
  const x = d[0] * t;
  const y = d[1] * t;
  const z = d[2] * t;
  for (const { outward: o } of sides)
    if (o[0] * x + o[1] * y + o[2] * z - (o[0] * middle[0] + o[1] * middle[1] + o[2] * middle[2]) > g + 1e-9)
      return true;
  return false;
}
