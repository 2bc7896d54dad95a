import type { DieSolid } from './solid.ts';
import type { SeenDie } from './standing.ts';

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

/** Numbers per edge: axis point, axis, radii and products that do not depend on the ray. */
const EDGE = 9;

/**
 * Finds where viewing rays from the camera's centre enter the hull of a die's balls: first of all its faces' lands, the skins between
 * neighbouring balls (cones, where their radii differ) and the balls themselves.
 *
 * Source of the ray against a cone with two round ends: the quadratic that the distance to the moving sphere's envelope gives.
 */
export function rayCaster(die: SeenDie, solid: DieSolid): (dx: number, dy: number, dz: number, out: Hit) => void {
  const { count, centres, radii, body } = die;
  const r = die.cameraFromBody.rotation;
  const t = die.cameraFromBody.shift;
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
  const ends: number[] = [];
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
      const [ax, ay, az] = [centres[3 * i]!, centres[3 * i + 1]!, centres[3 * i + 2]!];
      const [bx, by, bz] = [centres[3 * j]! - ax, centres[3 * j + 1]! - ay, centres[3 * j + 2]! - az];
      const m0 = bx * bx + by * by + bz * bz;
      if (m0 < 1e-10) continue;
      edges.push(
        bx,
        by,
        bz,
        m0,
        -(bx * ax + by * ay + bz * az),
        ax * ax + ay * ay + az * az,
        radii[i]! - radii[j]!,
        radii[i]!,
        i,
      );
      ends.push(i, j);
    }
  const balls = Array.from({ length: count }, (_, b) => b).filter((b) =>
    [0, 1, 2].some((c) => seen[body.faces[3 * b + c]!]),
  );
  void t;
  return (dx, dy, dz, out) => {
    let best = Infinity;
    out.cosine = NaN;
    const take = (distance: number, nx: number, ny: number, nz: number): void => {
      best = distance;
      out.nx = nx;
      out.ny = ny;
      out.nz = nz;
      out.cosine = -(nx * dx + ny * dy + nz * dz);
    };
    for (const { n, offset, sides } of lands) {
      const towards = n[0] * dx + n[1] * dy + n[2] * dz;
      if (towards > -1e-9) continue;
      const distance = offset / towards;
      if (distance >= best) continue;
      const [x, y, z] = [distance * dx, distance * dy, distance * dz];
      let within = true;
      for (let k = 0; k < sides.length; k += 4)
        if (sides[k]! * x + sides[k + 1]! * y + sides[k + 2]! * z < sides[k + 3]! - 1e-9) {
          within = false;
          break;
        }
      if (within) take(distance, n[0], n[1], n[2]);
    }
    for (const b of balls) {
      const [cx, cy, cz, q] = [centres[3 * b]!, centres[3 * b + 1]!, centres[3 * b + 2]!, radii[b]!];
      const along = dx * cx + dy * cy + dz * cz;
      const h = along * along - (cx * cx + cy * cy + cz * cz - q * q);
      if (h <= 0) continue;
      const distance = along - Math.sqrt(h);
      if (distance < best) take(distance, (distance * dx - cx) / q, (distance * dy - cy) / q, (distance * dz - cz) / q);
    }
    for (let e = 0; e < edges.length; e += EDGE) {
      const [bx, by, bz, m0, m1, m5, rr, ra, i] = [
        edges[e]!,
        edges[e + 1]!,
        edges[e + 2]!,
        edges[e + 3]!,
        edges[e + 4]!,
        edges[e + 5]!,
        edges[e + 6]!,
        edges[e + 7]!,
        edges[e + 8]!,
      ];
      const [ax, ay, az] = [centres[3 * i]!, centres[3 * i + 1]!, centres[3 * i + 2]!];
      const d2 = m0 - rr * rr;
      const m2 = bx * dx + by * dy + bz * dz;
      const m3 = -(dx * ax + dy * ay + dz * az);
      const k2 = d2 - m2 * m2;
      const k1 = d2 * m3 - m1 * m2 + m2 * rr * ra;
      const k0 = d2 * m5 - m1 * m1 + m1 * rr * ra * 2 - m0 * ra * ra;
      const h = k1 * k1 - k0 * k2;
      if (h <= 0 || k2 <= 0) continue;
      const distance = (-Math.sqrt(h) - k1) / k2;
      if (distance >= best) continue;
      const y = m1 - ra * rr + distance * m2;
      if (y <= 0 || y >= d2) continue;
      const nx = d2 * (distance * dx - ax) - bx * y;
      const ny = d2 * (distance * dy - ay) - by * y;
      const nz = d2 * (distance * dz - az) - bz * y;
      const il = 1 / Math.hypot(nx, ny, nz);
      take(distance, nx * il, ny * il, nz * il);
    }
  };
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
