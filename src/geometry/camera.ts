import type { Vec3 } from './vec.ts';

/**
 * A pinhole camera with two radial terms and square pixels: `(p, q) = f x (1 + k1 r^2 + k2 r^4)`, `u = cx + p + skew q`,
 * `v = cy + (1 + stretch) q`.
 *
 * Source: the radial part of Brown, "Close-range camera calibration" (1971), in OpenCV's convention: x right, y down, z forward,
 * the centre of the top left pixel is (0, 0). Skew and stretch are what a shutter that reads row by row does to a photo while the camera
 * moves evenly: rows are displaced in proportion to the time of their reading.
 */
export interface Camera {
  /** Focal length, px. */
  readonly f: number;
  /** Principal point, px. */
  readonly cx: number;
  readonly cy: number;
  readonly k1: number;
  readonly k2: number;
  /** Of one photo: displacement along u, and along v, per px of v; left out where the camera was held still. */
  readonly skew?: number;
  readonly stretch?: number;
}

/** A motion: `x_to = rotation . x_from + shift`; rotation row-major 3 x 3, shift in mm. */
export interface Rigid {
  readonly rotation: Float64Array;
  readonly shift: Vec3;
}

export const IDENTITY: Rigid = { rotation: Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1), shift: [0, 0, 0] };

/** Picture position, px, of a point in the camera frame; the point must lie before the camera. */
export const projection = (camera: Camera, p: Vec3): readonly [number, number] =>
  projectInto([0, 0], camera, p[0], p[1], p[2]);

/** The same of a point at [px, py, pz], written into `out`: for whoever asks of many. */
export function projectInto(
  out: [number, number],
  camera: Camera,
  px: number,
  py: number,
  pz: number,
): readonly [number, number] {
  const x = px / pz;
  const y = py / pz;
  const r2 = x * x + y * y;
  const g = camera.f * (1 + r2 * (camera.k1 + camera.k2 * r2));
  out[0] = camera.cx + g * (x + (camera.skew ?? 0) * y);
  out[1] = camera.cy + (1 + (camera.stretch ?? 0)) * g * y;
  return out;
}

/** Undistorted normalised coordinates (x/z, y/z) of a picture position; Newton on the radius. */
export function normalised(camera: Camera, u: number, v: number): readonly [number, number] {
  const dy = (v - camera.cy) / (camera.f * (1 + (camera.stretch ?? 0)));
  const dx = (u - camera.cx) / camera.f - (camera.skew ?? 0) * dy;
  const rd = Math.sqrt(dx * dx + dy * dy);
  if (rd < 1e-12) return [dx, dy];
  let r = rd;
  for (let i = 0; i < 12; i++) {
    const r2 = r * r;
    const step = (r * (1 + r2 * (camera.k1 + camera.k2 * r2)) - rd) / (1 + r2 * (3 * camera.k1 + 5 * camera.k2 * r2));
    r -= step;
    if (Math.abs(step) < 1e-14) break;
  }
  return [(dx * r) / rd, (dy * r) / rd];
}

/** Unit viewing ray of a picture position, camera frame. */
export function viewingRay(camera: Camera, u: number, v: number): Vec3 {
  const p = normalised(camera, u, v);
  const x = p[0];
  const y = p[1];
  const s = 1 / Math.sqrt(1 + x * x + y * y);
  return [x * s, y * s, s];
}

/** `rotation . p`. */
export function turned(r: Float64Array, p: Vec3): Vec3 {
  return [
    r[0]! * p[0] + r[1]! * p[1] + r[2]! * p[2],
    r[3]! * p[0] + r[4]! * p[1] + r[5]! * p[2],
    r[6]! * p[0] + r[7]! * p[1] + r[8]! * p[2],
  ];
}

/** `rotation' . p`, the turn back. */
export function turnedBack(r: Float64Array, p: Vec3): Vec3 {
  return [
    r[0]! * p[0] + r[3]! * p[1] + r[6]! * p[2],
    r[1]! * p[0] + r[4]! * p[1] + r[7]! * p[2],
    r[2]! * p[0] + r[5]! * p[1] + r[8]! * p[2],
  ];
}

export function moved(m: Rigid, p: Vec3): Vec3 {
  const q = turned(m.rotation, p);
  return [q[0] + m.shift[0], q[1] + m.shift[1], q[2] + m.shift[2]];
}

/** Product of two 3 x 3 matrices, row-major. */
export function product(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(9);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++)
      out[3 * i + j] = a[3 * i]! * b[j]! + a[3 * i + 1]! * b[3 + j]! + a[3 * i + 2]! * b[6 + j]!;
  return out;
}

/** `a` after `b`. */
export function composed(a: Rigid, b: Rigid): Rigid {
  return { rotation: product(a.rotation, b.rotation), shift: moved(a, b.shift) };
}

/** Rotation matrix of a rotation vector (axis times angle, radians), by Rodrigues' formula. */
export function rotationOf(w: Vec3): Float64Array {
  const angle = Math.hypot(w[0], w[1], w[2]);
  const s = angle < 1e-9 ? 1 : Math.sin(angle) / angle;
  const c = angle < 1e-9 ? 0.5 : (1 - Math.cos(angle)) / (angle * angle);
  const [x, y, z] = w;
  return Float64Array.of(
    1 - c * (y * y + z * z),
    c * x * y - s * z,
    c * x * z + s * y,
    c * x * y + s * z,
    1 - c * (x * x + z * z),
    c * y * z - s * x,
    c * x * z - s * y,
    c * y * z + s * x,
    1 - c * (x * x + y * y),
  );
}
