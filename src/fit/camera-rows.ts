import { viewingRay, type Camera } from '../geometry/camera.ts';
import type { Outline } from '../geometry/outline.ts';

/** Derivatives by the camera per row: 5 shared, 9 of the photo. */
export const CAMERA_WIDTH = 14;

const STEP = 1e-4;

/** Derivatives of residuals by the camera and how it stands, px, CAMERA_WIDTH per point; of points whose contacts are known, camera frame. */
export function cameraRows(
  camera: Camera,
  { xy }: Outline,
  count: number,
  at: Readonly<Record<'normal' | 'place' | 'depth' | 'perScale', Float64Array>>,
): Float64Array {
  const rows = new Float64Array(count * CAMERA_WIDTH);
  const changed = [
    { ...camera, f: camera.f * Math.exp(STEP) },
    { ...camera, cx: camera.cx + STEP },
    { ...camera, cy: camera.cy + STEP },
    { ...camera, k1: camera.k1 + STEP },
    { ...camera, k2: camera.k2 + STEP },
    { ...camera, skew: (camera.skew ?? 0) + STEP },
    { ...camera, stretch: (camera.stretch ?? 0) + STEP },
  ];
  for (let k = 0; k < count; k++) {
    const o = k * CAMERA_WIDTH;
    const w = at.perScale[k]!;
    const depth = at.depth[k]!;
    const ux = at.normal[3 * k]!;
    const uy = at.normal[3 * k + 1]!;
    const uz = at.normal[3 * k + 2]!;
    const d = viewingRay(camera, xy[2 * k]!, xy[2 * k + 1]!);
    for (let j = 0; j < changed.length; j++) {
      const e = viewingRay(changed[j]!, xy[2 * k]!, xy[2 * k + 1]!);
      rows[o + (j < 5 ? j : j + 7)] =
        (depth * (ux * (e[0] - d[0]) + uy * (e[1] - d[1]) + uz * (e[2] - d[2])) * w) / STEP;
    }
    const qx = at.place[3 * k]!;
    const qy = at.place[3 * k + 1]!;
    const qz = at.place[3 * k + 2]!;
    rows[o + 5] = rows[o]!;
    rows[o + 6] = -(qy * uz - qz * uy) * w;
    rows[o + 7] = -(qz * ux - qx * uz) * w;
    rows[o + 8] = -(qx * uy - qy * ux) * w;
    rows[o + 9] = -ux * w;
    rows[o + 10] = -uy * w;
    rows[o + 11] = -uz * w;
  }
  return rows;
}
