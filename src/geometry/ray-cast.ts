import type { DieSolid } from './solid.ts';
import { enterCrown } from './crown.ts';
import type { SeenDie } from './standing.ts';
import { vec3At, type Vec3 } from './vec.ts';

/** Where a viewing ray enters a rounded die. Filled anew by each call. */
export interface Hit {
  /** Cosine between the surface normal and the way back to the camera; NaN where the ray misses. */
  cosine: number;
  /** Outward unit normal, camera frame. */
  nx: number;
  ny: number;
  nz: number;
}

export const newHit = (): Hit => ({ cosine: NaN, nx: 0, ny: 0, nz: 0 });

/** Numbers per edge: axis, products that do not depend on the ray, axis point. */
const EDGE = 10;

/**
 * Finds where viewing rays from the camera's centre enter the hull of a die's balls: first of all its faces' lands, the skins between
 * neighbouring balls (cones, where their radii differ) and the balls themselves.
 *
 * Source of the ray against a cone with two round ends: the quadratic that the distance to the moving sphere's envelope gives.
 */
// Long because it is hot: lands, skins and balls share their arrays from ray to ray.
export function rayCaster(die: SeenDie, solid: DieSolid): (dx: number, dy: number, dz: number, out: Hit) => void {
  const { count, centres, radii, body, crowns } = die;
  const r = die.cameraFromBody.rotation;
  const faceCount = solid.labels.length;
  // Faces that look towards the camera, with their lands' corners in order.
  const lands: { n: [number, number, number]; offset: number; sides: Float64Array }[] = [];
  const seen = new Uint8Array(faceCount);
  for (let f = 0; f < faceCount; f++) {
    const n = [0, 1, 2].map(
      (c) =>
        r[3 * c]! * solid.normals[3 * f]! +
        r[3 * c + 1]! * solid.normals[3 * f + 1]! +
        r[3 * c + 2]! * solid.normals[3 * f + 2]!,
    ) as [number, number, number];
    const points: [number, number, number][] = [];
    for (let b = 0; b < count; b++) {
      if (body.faces[3 * b] !== f && body.faces[3 * b + 1] !== f && body.faces[3 * b + 2] !== f) continue;
      points.push([
        centres[3 * b]! + radii[b]! * n[0],
        centres[3 * b + 1]! + radii[b]! * n[1],
        centres[3 * b + 2]! + radii[b]! * n[2],
      ]);
    }
    if (points.length < 3) continue;
    const offset = n[0] * points[0]![0] + n[1] * points[0]![1] + n[2] * points[0]![2];
    if (offset >= 0) continue;
    seen[f] = 1;
    lands.push({ n, offset, sides: landSides(points, n) });
  }
  const edges: number[] = [];
  for (let i = 0; i < count; i++)
    for (let j = 0; j < i; j++) {
      let shared = 0;
      let visible = false;
      for (let p = 0; p < 3; p++)
        for (let q = 0; q < 3; q++)
          if (body.faces[3 * i + p] === body.faces[3 * j + q]) {
            shared++;
            visible ||= seen[body.faces[3 * i + p]!] === 1;
          }
      if (shared < 2 || !visible) continue;
      addSkin(edges, vec3At(centres, i), radii[i]!, vec3At(centres, j), radii[j]!);
    }
  const balls = Array.from({ length: count }, (_, b) => b).filter((b) =>
    [0, 1, 2].some((c) => seen[body.faces[3 * b + c]!]),
  );
  const ends = edges.length;
  const edge = Float64Array.from(edges);
  const ball = new Float64Array(5 * balls.length);
  balls.forEach((b, k) => {
    const [x, y, z, q] = [centres[3 * b]!, centres[3 * b + 1]!, centres[3 * b + 2]!, radii[b]!];
    ball.set([x, y, z, x * x + y * y + z * z - q * q, 1 / q], 5 * k);
  });
  const met = { distance: 0, nx: 0, ny: 0, nz: 0 };
  return (dx, dy, dz, out) => {
    let best = Infinity;
    let nx = NaN;
    let ny = NaN;
    let nz = NaN;
    for (const { n, offset, sides } of lands) {
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
    if (crowns !== undefined)
      for (const crown of crowns.faces) {
        const distance = enterCrown(crown, [dx, dy, dz], met);
        if (distance >= best) continue;
        best = distance;
        nx = met.nx;
        ny = met.ny;
        nz = met.nz;
      }
    for (let k = 0; k < ball.length; k += 5) {
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
    for (let e = 0; e < ends; e += EDGE) {
      if (!meetSkin(edge, e, dx, dy, dz, best, met)) continue;
      best = met.distance;
      nx = met.nx;
      ny = met.ny;
      nz = met.nz;
    }
    out.nx = nx;
    out.ny = ny;
    out.nz = nz;
    out.cosine = -(nx * dx + ny * dy + nz * dz);
  };
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

/** Half planes [x, y, z, offset] whose intersection with the face's plane is its land. */
function landSides(points: readonly [number, number, number][], n: readonly [number, number, number]): Float64Array {
  const m = points.length;
  const c = [0, 1, 2].map((k) => points.reduce((s, p) => s + p[k]!, 0) / m) as [number, number, number];
  const e = points.reduce((a, p) =>
    Math.hypot(p[0] - c[0], p[1] - c[1], p[2] - c[2]) > Math.hypot(a[0] - c[0], a[1] - c[1], a[2] - c[2]) ? p : a,
  );
  const a = [e[0] - c[0], e[1] - c[1], e[2] - c[2]] as const;
  const b = [n[1] * a[2] - n[2] * a[1], n[2] * a[0] - n[0] * a[2], n[0] * a[1] - n[1] * a[0]] as const;
  const angle = (p: readonly [number, number, number]): number =>
    Math.atan2(
      (p[0] - c[0]) * b[0] + (p[1] - c[1]) * b[1] + (p[2] - c[2]) * b[2],
      (p[0] - c[0]) * a[0] + (p[1] - c[1]) * a[1] + (p[2] - c[2]) * a[2],
    );
  const ring = [...points].sort((p, q) => angle(p) - angle(q));
  const out: number[] = [];
  for (let k = 0; k < m; k++) {
    const p = ring[k]!;
    const q = ring[(k + 1) % m]!;
    const s = [q[0] - p[0], q[1] - p[1], q[2] - p[2]] as const;
    if (Math.hypot(...s) < 1e-6) continue;
    const x = n[1] * s[2] - n[2] * s[1];
    const y = n[2] * s[0] - n[0] * s[2];
    const z = n[0] * s[1] - n[1] * s[0];
    out.push(x, y, z, x * p[0] + y * p[1] + z * p[2]);
  }
  return Float64Array.from(out);
}
