import { viewingRay, type Camera } from '../geometry/camera.ts';
import { contactFinder, newContact } from '../geometry/hull.ts';
import type { Outline } from '../geometry/outline.ts';
import { baseFace } from '../geometry/standing.ts';
import { placeOf } from '../geometry/rim.ts';
import { seenIn, shapeCount, type DieState, type FitPhoto } from './die-state.ts';

/** One photo's residuals and derivatives. */
export interface PhotoRows {
  readonly count: number;
  /** Measured edge minus model along the outward normal, px. */
  readonly residual: Float64Array;
  /** mm per px along the normal, at the contact. */
  readonly scale: Float64Array;
  /** Sparse derivatives of the residual (px): `WIDTH` entries per row, unused ones have index -1. */
  readonly index: Int32Array;
  readonly value: Float64Array;
  /** Derivatives by the shared camera (5), the photo's focal change (1), its turn (3), shift (3), skew and stretch: CAMERA_WIDTH per row. */
  readonly camera: Float64Array | null;
  /** Height of the contact over the card, mm; radius there, mm. */
  readonly height: Float64Array;
  readonly radius: Float64Array;
  /** Ball indices of the contact and the share of the first. */
  readonly first: Int32Array;
  readonly second: Int32Array;
  readonly share: Float64Array;
  readonly firstCorner: Int32Array;
  readonly secondCorner: Int32Array;
}

/** Derivatives by the camera per row: 5 shared, 9 of the photo. */
export const CAMERA_WIDTH = 14;

/** 2 balls x (3 faces + 1 corner) or a face and its crown for a cap, base face and its crown, x, y, yaw, and the grazed face's crown. */
export const WIDTH = 14;

/** Per point of an outline: unit viewing ray, the change of the ray over one px along the normal, and the balls last met. */
interface Rays {
  readonly camera: Camera;
  readonly data: Float64Array;
  readonly met: Int32Array;
}

const raysCache = new WeakMap<Outline, Rays>();

function raysOf(camera: Camera, outline: Outline): Rays {
  const known = raysCache.get(outline);
  if (known?.camera === camera) return known;
  const n = outline.sigma.length;
  const data = new Float64Array(6 * n);
  for (let k = 0; k < n; k++) {
    const [u, v] = [outline.xy[2 * k]!, outline.xy[2 * k + 1]!];
    const [nu, nv] = [outline.normal[2 * k]! / 2, outline.normal[2 * k + 1]! / 2];
    const d = viewingRay(camera, u, v);
    const e = viewingRay(camera, u + nu, v + nv);
    const f = viewingRay(camera, u - nu, v - nv);
    for (let c = 0; c < 3; c++) {
      data[6 * k + c] = d[c]!;
      data[6 * k + 3 + c] = e[c]! - f[c]!;
    }
  }
  const rays = { camera, data, met: new Int32Array(2 * n).fill(-1) };
  raysCache.set(outline, rays);
  return rays;
}

const newPhotoRows = (n: number, withCamera: boolean) => ({
  count: n,
  residual: new Float64Array(n),
  scale: new Float64Array(n),
  index: new Int32Array(n * WIDTH).fill(-1),
  value: new Float64Array(n * WIDTH),
  camera: withCamera ? new Float64Array(n * CAMERA_WIDTH) : null,
  height: new Float64Array(n),
  radius: new Float64Array(n),
  first: new Int32Array(n),
  second: new Int32Array(n),
  share: new Float64Array(n),
  firstCorner: new Int32Array(n),
  secondCorner: new Int32Array(n),
});

/**
 * Residuals of one photo's outline against the die where `state` puts it, with their derivatives.
 *
 * @param i           The photo's place in the set, whose stand `state` holds.
 * @param withCamera  Whether derivatives by the camera are wanted, and `withShape` those by all else; without, `index` and `value` stay empty.
 */
// Long because it is hot: every unknown of every point in one pass, nothing put on the heap for a point.
export function photoRows(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withCamera: boolean,
  withShape = true,
): PhotoRows {
  const n = outline.sigma.length;
  const die = seenIn(state, photo, i);
  const find = contactFinder(die);
  const at = newContact();
  const faces = state.distances.length;
  const crownsAt = state.crowns ? faces + state.radii.length : -1;
  const standAt = shapeCount(state) + 3 * i;
  const base = baseFace(state.solid, photo.shot.up);
  const { camera, cameraFromCard: pose } = photo;
  const rb = die.cameraFromBody.rotation;
  const rc = pose.rotation;
  const zc = [rc[2]!, rc[5]!, rc[8]!] as const;
  const out = newPhotoRows(n, withCamera);
  const { centres, radii, body, count, crowns: peaks } = die;
  const origin = die.cameraFromBody.shift;
  const { data: rays, met } = raysOf(camera, outline);
  const { faces: ballFaces, inverse, corner } = body;
  const { index, value } = out;
  const grazing = (state.crowns && outline.grazing) ?? null;
  const believed = new Float64Array(faces);
  for (const c of grazing?.crowns ?? []) believed[c.face] = c.believed;
  const yaw = new Float64Array(3);
  for (let k = 0; k < n; k++) {
    const dx = rays[6 * k]!;
    const dy = rays[6 * k + 1]!;
    const dz = rays[6 * k + 2]!;
    find(dx, dy, dz, at, met[2 * k]!, met[2 * k + 1]!);
    const a = at.first;
    const b = at.second;
    met[2 * k] = a;
    met[2 * k + 1] = b;
    const s = at.share;
    const { ux, uy, uz } = at;
    const ca = a < count ? null : peaks!.faces[peaks!.of[a - count]!]!;
    const cb = b < count ? null : peaks!.faces[peaks!.of[b - count]!]!;
    let r: number;
    let qx: number;
    let qy: number;
    let qz: number;
    if (ca === null && cb === null) {
      qx = s * centres[3 * a]! + (1 - s) * centres[3 * b]!;
      qy = s * centres[3 * a + 1]! + (1 - s) * centres[3 * b + 1]!;
      qz = s * centres[3 * a + 2]! + (1 - s) * centres[3 * b + 2]!;
      r = s * radii[a]! + (1 - s) * radii[b]!;
    } else {
      const [p, q] = [placeOf(die, a), placeOf(die, b)];
      qx = s * p[0] + (1 - s) * q[0];
      qy = s * p[1] + (1 - s) * q[1];
      qz = s * p[2] + (1 - s) * q[2];
      r = s * (ca ? 0 : radii[a]!) + (1 - s) * (cb ? 0 : radii[b]!);
    }
    const depth = dx * qx + dy * qy + dz * qz;
    const scale = depth * (ux * rays[6 * k + 3]! + uy * rays[6 * k + 4]! + uz * rays[6 * k + 5]!);
    const w = 1 / scale;
    out.scale[k] = scale;
    out.residual[k] = at.distance * w;
    if (grazing !== null && grazing.face[k]! >= 0)
      out.residual[k]! += grazing.byCrown[k]! * (state.crowns![grazing.face[k]!]! - believed[grazing.face[k]!]!);
    out.first[k] = a;
    out.second[k] = b;
    out.share[k] = s;
    out.firstCorner[k] = ca ? -1 - ca.face : corner[a]!;
    out.secondCorner[k] = cb ? -1 - cb.face : corner[b]!;
    out.radius[k] = r;
    out.height[k] =
      zc[0] * (qx + r * ux - pose.shift[0]) +
      zc[1] * (qy + r * uy - pose.shift[1]) +
      zc[2] * (qz + r * uz - pose.shift[2]);
    if (!withShape) continue;
    const bx = rb[0]! * ux + rb[3]! * uy + rb[6]! * uz;
    const by = rb[1]! * ux + rb[4]! * uy + rb[7]! * uz;
    const bz = rb[2]! * ux + rb[5]! * uy + rb[8]! * uz;
    let o = k * WIDTH;
    for (let end = 0; end < 2; end++) {
      const ball = end === 0 ? a : b;
      const share = end === 0 ? s : 1 - s;
      if (share === 0) continue;
      const cap = end === 0 ? ca : cb;
      if (cap) {
        const facing = cap.normal[0] * ux + cap.normal[1] * uy + cap.normal[2] * uz;
        index[o] = cap.face;
        value[o++] = -share * facing * w;
        index[o] = crownsAt + cap.face;
        value[o++] = -share * facing * peaks!.share[ball - count]! * w;
        continue;
      }
      let sum = 0;
      for (let c = 0; c < 3; c++) {
        const m = 9 * ball + c;
        const g = bx * inverse[m]! + by * inverse[m + 3]! + bz * inverse[m + 6]!;
        sum += g;
        index[o] = ballFaces[3 * ball + c]!;
        value[o++] = -share * g * w;
      }
      index[o] = faces + corner[ball]!;
      value[o++] = -share * (1 - sum) * w;
    }
    index[o] = base;
    value[o++] = -(ux * zc[0] + uy * zc[1] + uz * zc[2]) * w;
    if (crownsAt >= 0 && state.crowns![base]! > 0) {
      index[o] = crownsAt + base;
      value[o] = value[o - 1]!;
      o++;
    }
    index[o] = standAt;
    value[o++] = -(ux * rc[0]! + uy * rc[3]! + uz * rc[6]!) * w;
    index[o] = standAt + 1;
    value[o++] = -(ux * rc[1]! + uy * rc[4]! + uz * rc[7]!) * w;
    // Yaw turns about the card's upward axis through the body's origin.
    yaw[0] = qx - origin[0];
    yaw[1] = qy - origin[1];
    yaw[2] = qz - origin[2];
    index[o] = standAt + 2;
    value[o] =
      -(
        ux * (zc[1] * yaw[2] - zc[2] * yaw[1]) +
        uy * (zc[2] * yaw[0] - zc[0] * yaw[2]) +
        uz * (zc[0] * yaw[1] - zc[1] * yaw[0])
      ) * w;
    if (grazing !== null && grazing.face[k]! >= 0) {
      index[o + 1] = crownsAt + grazing.face[k]!;
      value[o + 1] = grazing.byCrown[k]!;
    }
    if (out.camera)
      cameraRow(
        camera,
        outline.xy[2 * k]!,
        outline.xy[2 * k + 1]!,
        depth,
        ux,
        uy,
        uz,
        qx,
        qy,
        qz,
        w,
        out.camera.subarray(CAMERA_WIDTH * k, CAMERA_WIDTH * (k + 1)),
      );
  }
  return out;
}

function cameraRow(
  camera: Camera,
  u: number,
  v: number,
  depth: number,
  ux: number,
  uy: number,
  uz: number,
  qx: number,
  qy: number,
  qz: number,
  w: number,
  row: Float64Array,
): void {
  const step = 1e-4;
  const changed = [
    { ...camera, f: camera.f * Math.exp(step) },
    { ...camera, cx: camera.cx + step },
    { ...camera, cy: camera.cy + step },
    { ...camera, k1: camera.k1 + step },
    { ...camera, k2: camera.k2 + step },
    { ...camera, skew: (camera.skew ?? 0) + step },
    { ...camera, stretch: (camera.stretch ?? 0) + step },
  ];
  const d = viewingRay(camera, u, v);
  changed.forEach((c, j) => {
    const e = viewingRay(c, u, v);
    row[j < 5 ? j : j + 7] = (depth * (ux * (e[0] - d[0]) + uy * (e[1] - d[1]) + uz * (e[2] - d[2])) * w) / step;
  });
  row[5] = row[0]!;
  row[6] = -(qy * uz - qz * uy) * w;
  row[7] = -(qz * ux - qx * uz) * w;
  row[8] = -(qx * uy - qy * ux) * w;
  row[9] = -ux * w;
  row[10] = -uy * w;
  row[11] = -uz * w;
}
