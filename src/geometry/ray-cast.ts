import { hypot3 } from '../maths/hypot.ts';
import type { DieSolid } from './solid.ts';
import { turned } from './camera.ts';
import { enterCrown, type SeenCrown } from './crown.ts';
import type { SeenDie } from './standing.ts';
import { dot, inOrderOf, vec3At, type Vec3 } from './vec.ts';

/** Where a viewing ray enters a rounded die. Filled anew by each call. */
export interface Hit {
  /** Cosine between the surface normal and the way back to the camera; NaN where the ray misses. */
  cosine: number;
  /** Along the ray, mm; Infinity where it misses. */
  distance: number;
  /** Outward unit normal, camera frame. */
  nx: number;
  ny: number;
  nz: number;
}

export const newHit = (): Hit => ({ cosine: NaN, distance: Infinity, nx: 0, ny: 0, nz: 0 });

/** Numbers per edge: axis, products that do not depend on the ray, axis point; and per ball. */
const EDGE = 10;
const BALL = 5;

/**
 * Finds where viewing rays from the camera's centre enter the hull of a die's balls: first of all its faces' lands, the skins between
 * neighbouring balls (cones, where their radii differ) and the balls themselves.
 *
 * Source of the ray against a cone with two round ends: the quadratic that the distance to the moving sphere's envelope gives.
 */
export class RayCaster {
  readonly #lands: readonly SeenLand[];
  readonly #crowns: readonly SeenCrown[];
  readonly #balls: Float64Array;
  readonly #skins: Float64Array;
  /** Which balls and skins are asked, and how many of each. */
  readonly #nearBalls: Int32Array;
  readonly #nearSkins: Int32Array;
  #ballCount: number;
  #skinCount: number;
  readonly #met = { distance: 0, nx: 0, ny: 0, nz: 0 };

  constructor(die: SeenDie, solid: DieSolid) {
    this.#lands = landsTowards(die, solid);
    const seen = new Uint8Array(solid.labels.length);
    for (const { face } of this.#lands) seen[face] = 1;
    this.#crowns = die.crowns?.faces ?? [];
    this.#balls = ballsBeside(die, seen);
    this.#skins = skinsBeside(die, seen);
    this.#ballCount = this.#balls.length / BALL;
    this.#skinCount = this.#skins.length / EDGE;
    this.#nearBalls = Int32Array.from({ length: this.#ballCount }, (_, i) => i * BALL);
    this.#nearSkins = Int32Array.from({ length: this.#skinCount }, (_, i) => i * EDGE);
  }

  /**
   * From here on asks only what the rays of a fan can meet, those through (x + t p, y + t q, 1) with t from 0 to `most`: whether one meets a ball or an
   * endless skin is a quadratic in t.
   */
  aim(x: number, y: number, p: number, q: number, most: number): void {
    const [balls, skins] = [this.#balls, this.#skins];
    const e0 = x * x + y * y + 1;
    const e1 = x * p + y * q;
    const e2 = p * p + q * q;
    let count = 0;
    for (let k = 0; k < balls.length; k += BALL) {
      const a = x * balls[k]! + y * balls[k + 1]! + balls[k + 2]!;
      const b = p * balls[k]! + q * balls[k + 1]!;
      const square = balls[k + 3]!;
      const size = a * a + Math.abs(square) * e0;
      if (isAbove(-MISSED * size, a * a - square * e0, a * b - square * e1, b * b - square * e2, most))
        this.#nearBalls[count++] = k;
    }
    this.#ballCount = count;
    count = 0;
    for (let k = 0; k < skins.length; k += EDGE) {
      const m0 = x * skins[k]! + y * skins[k + 1]! + skins[k + 2]!;
      const m1 = p * skins[k]! + q * skins[k + 1]!;
      const d2 = skins[k + 3]!;
      const fall = skins[k + 4]!;
      const a = m0 * fall - d2 * (x * skins[k + 7]! + y * skins[k + 8]! + skins[k + 9]!);
      const b = m1 * fall - d2 * (p * skins[k + 7]! + q * skins[k + 8]!);
      const k0 = skins[k + 5]!;
      const size = a * a + Math.abs(k0) * (d2 * e0 + m0 * m0);
      const [h0, h1] = [a * a - k0 * (d2 * e0 - m0 * m0), a * b - k0 * (d2 * e1 - m0 * m1)];
      if (isAbove(-MISSED * size, h0, h1, b * b - k0 * (d2 * e2 - m1 * m1), most)) this.#nearSkins[count++] = k;
    }
    this.#skinCount = count;
  }

  /** Fills where a ray from the camera's centre, a unit vector, enters. */
  // Long because it is hot: lands, balls and skins are asked in one pass, nothing put on the heap for a ray.
  cast(dx: number, dy: number, dz: number, out: Hit): void {
    const met = this.#met;
    let best = Infinity;
    let nx = NaN;
    let ny = NaN;
    let nz = NaN;
    for (const { n, offset, sides } of this.#lands) {
      const towards = n[0] * dx + n[1] * dy + n[2] * dz;
      if (towards > -1e-9) continue;
      const distance = offset / towards;
      if (distance >= best) continue;
      const x = distance * dx;
      const y = distance * dy;
      const z = distance * dz;
      let k = 0;
      while (k < sides.length && sides[k]! * x + sides[k + 1]! * y + sides[k + 2]! * z >= sides[k + 3]! - 1e-9) k += 4;
      if (k < sides.length) continue;
      best = distance;
      nx = n[0];
      ny = n[1];
      nz = n[2];
    }
    for (const crown of this.#crowns) {
      const distance = enterCrown(crown, [dx, dy, dz], met);
      if (distance >= best) continue;
      best = distance;
      nx = met.nx;
      ny = met.ny;
      nz = met.nz;
    }
    const ball = this.#balls;
    const nearBalls = this.#nearBalls;
    for (let i = 0; i < this.#ballCount; i++) {
      const k = nearBalls[i]!;
      const cx = ball[k]!;
      const cy = ball[k + 1]!;
      const cz = ball[k + 2]!;
      const along = dx * cx + dy * cy + dz * cz;
      const h = along * along - ball[k + 3]!;
      if (h <= 0) continue;
      const distance = along - Math.sqrt(h);
      if (distance >= best) continue;
      best = distance;
      const iq = ball[k + 4]!;
      nx = (distance * dx - cx) * iq;
      ny = (distance * dy - cy) * iq;
      nz = (distance * dz - cz) * iq;
    }
    const edge = this.#skins;
    const nearSkins = this.#nearSkins;
    for (let i = 0; i < this.#skinCount; i++) {
      if (!meetSkin(edge, nearSkins[i]!, dx, dy, dz, best, met)) continue;
      best = met.distance;
      nx = met.nx;
      ny = met.ny;
      nz = met.nz;
    }
    out.distance = best;
    out.nx = nx;
    out.ny = ny;
    out.nz = nz;
    out.cosine = -(nx * dx + ny * dy + nz * dz);
  }
}

/** A ball or skin is passed by where the quadratic that tells it stays below 0 by more than this share of its terms: rounding is far below. */
const MISSED = 1e-9;

/** Whether a + 2 b t + c t^2 comes above a level for t from 0 to `most`. */
function isAbove(level: number, a: number, b: number, c: number, most: number): boolean {
  if (a > level || a + most * (2 * b + most * c) > level) return true;
  const highest = -b / c;
  return c < 0 && highest > 0 && highest < most && a + b * highest > level;
}

/** A face's land that looks towards the camera: its normal and offset, camera frame, mm, and the half planes that bound it. */
interface SeenLand {
  readonly face: number;
  readonly n: Vec3;
  readonly offset: number;
  readonly sides: Float64Array;
}

function landsTowards(die: SeenDie, solid: DieSolid): SeenLand[] {
  const out: SeenLand[] = [];
  for (let face = 0; face < solid.labels.length; face++) {
    const land = landTowards(die, solid, face);
    if (land) out.push(land);
  }
  return out;
}

function landTowards(
  { count, centres, radii, body, cameraFromBody }: SeenDie,
  solid: DieSolid,
  face: number,
): SeenLand | null {
  const n = turned(cameraFromBody.rotation, vec3At(solid.normals, face));
  const points: Vec3[] = [];
  for (let b = 0, o = 0; b < count; b++, o += 3) {
    if (!touches(body.faces, b, face)) continue;
    const r = radii[b]!;
    points.push([centres[o]! + r * n[0], centres[o + 1]! + r * n[1], centres[o + 2]! + r * n[2]]);
  }
  if (points.length < 3) return null;
  const offset = dot(n, points[0]!);
  return offset >= 0 ? null : { face, n, offset, sides: landSides(points, n) };
}

/** Whether one of the three faces of ball `b` is `face`. */
const touches = (faces: ArrayLike<number>, b: number, face: number): boolean =>
  faces[3 * b] === face || faces[3 * b + 1] === face || faces[3 * b + 2] === face;

/** Skins between balls that share two faces, one of which is seen: {@link EDGE} numbers each. */
function skinsBeside({ count, centres, radii, body: { faces } }: SeenDie, seen: Uint8Array): Float64Array {
  const skins: number[] = [];
  for (let i = 0; i < count; i++)
    for (let j = 0; j < i; j++) {
      let shared = 0;
      let visible = false;
      for (let p = 3 * i; p < 3 * i + 3; p++) {
        if (!touches(faces, j, faces[p]!)) continue;
        shared++;
        visible ||= seen[faces[p]!] === 1;
      }
      if (shared < 2 || !visible) continue;
      addSkin(skins, vec3At(centres, i), radii[i]!, vec3At(centres, j), radii[j]!);
    }
  return Float64Array.from(skins);
}

/** Balls at faces that are seen: middle, square of its distance less that of the radius, and 1 over the radius; 5 numbers each. */
function ballsBeside({ count, centres, radii, body: { faces } }: SeenDie, seen: Uint8Array): Float64Array {
  const balls: number[] = [];
  for (let b = 0; b < count; b++) {
    if (seen[faces[3 * b]!] !== 1 && seen[faces[3 * b + 1]!] !== 1 && seen[faces[3 * b + 2]!] !== 1) continue;
    const [[x, y, z], q] = [vec3At(centres, b), radii[b]!];
    balls.push(x, y, z, x * x + y * y + z * z - q * q, 1 / q);
  }
  return Float64Array.from(balls);
}

/** Adds the skin between two balls: what of it does not hang on the ray. */
function addSkin(list: number[], [ax, ay, az]: Vec3, ra: number, b: Vec3, rb: number): void {
  const [bx, by, bz] = [b[0] - ax, b[1] - ay, b[2] - az];
  const m0 = bx * bx + by * by + bz * bz;
  if (m0 < 1e-10) return;
  const m1 = -(bx * ax + by * ay + bz * az);
  const m5 = ax * ax + ay * ay + az * az;
  const rr = ra - rb;
  const d2 = m0 - rr * rr;
  const k0 = d2 * m5 - m1 * m1 + m1 * rr * ra * 2 - m0 * ra * ra;
  list.push(bx, by, bz, d2, rr * ra - m1, k0, m1 - ra * rr, ax, ay, az);
}

/** Where a ray enters a skin before `best`, and the skin's unit normal there; false where it does not. */
function meetSkin(
  edge: Float64Array,
  e: number,
  dx: number,
  dy: number,
  dz: number,
  best: number,
  out: { distance: number; nx: number; ny: number; nz: number },
): boolean {
  const bx = edge[e]!;
  const by = edge[e + 1]!;
  const bz = edge[e + 2]!;
  const ax = edge[e + 7]!;
  const ay = edge[e + 8]!;
  const az = edge[e + 9]!;
  const d2 = edge[e + 3]!;
  const m2 = bx * dx + by * dy + bz * dz;
  const k2 = d2 - m2 * m2;
  if (k2 <= 0) return false;
  const k1 = -d2 * (dx * ax + dy * ay + dz * az) + m2 * edge[e + 4]!;
  const h = k1 * k1 - edge[e + 5]! * k2;
  if (h <= 0) return false;
  const distance = (-Math.sqrt(h) - k1) / k2;
  if (distance >= best) return false;
  const y = edge[e + 6]! + distance * m2;
  if (y <= 0 || y >= d2) return false;
  const nx = d2 * (distance * dx - ax) - bx * y;
  const ny = d2 * (distance * dy - ay) - by * y;
  const nz = d2 * (distance * dz - az) - bz * y;
  const il = 1 / Math.sqrt(nx * nx + ny * ny + nz * nz);
  out.distance = distance;
  out.nx = nx * il;
  out.ny = ny * il;
  out.nz = nz * il;
  return true;
}

/** Angle of a point about `c` from `a` towards `b`. */
const angleAbout = (c: Vec3, a: Vec3, b: Vec3, p: Vec3): number =>
  Math.atan2(
    (p[0] - c[0]) * b[0] + (p[1] - c[1]) * b[1] + (p[2] - c[2]) * b[2],
    (p[0] - c[0]) * a[0] + (p[1] - c[1]) * a[1] + (p[2] - c[2]) * a[2],
  );

/** Half planes [x, y, z, offset] whose intersection with the face's plane is its land. */
function landSides(points: readonly Vec3[], n: Vec3): Float64Array {
  const m = points.length;
  const c = [0, 1, 2].map((k) => points.reduce((s, p) => s + p[k]!, 0) / m) as [number, number, number];
  const e = points.reduce((a, p) =>
    hypot3(p[0] - c[0], p[1] - c[1], p[2] - c[2]) > hypot3(a[0] - c[0], a[1] - c[1], a[2] - c[2]) ? p : a,
  );
  const a = [e[0] - c[0], e[1] - c[1], e[2] - c[2]] as const;
  const b = [n[1] * a[2] - n[2] * a[1], n[2] * a[0] - n[0] * a[2], n[0] * a[1] - n[1] * a[0]] as const;
  const angles: number[] = [];
  for (const p of points) angles.push(angleAbout(c, a, b, p));
  const ring = inOrderOf(angles, points);
  const out: number[] = [];
  for (let k = 0; k < m; k++) {
    const p = ring[k]!;
    const q = ring[(k + 1) % m]!;
    const s = [q[0] - p[0], q[1] - p[1], q[2] - p[2]] as const;
    if (hypot3(s[0], s[1], s[2]) < 1e-6) continue;
    const x = n[1] * s[2] - n[2] * s[1];
    const y = n[2] * s[0] - n[0] * s[2];
    const z = n[0] * s[1] - n[1] * s[0];
    out.push(x, y, z, x * p[0] + y * p[1] + z * p[2]);
  }
  return Float64Array.from(out);
}
