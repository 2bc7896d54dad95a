import { hypot3 } from '../maths/hypot.ts';
import type { Rigid } from './camera.ts';
import type { Hit } from './ray-cast.ts';

/** Mirrored rays that fall no steeper than this go past the card. */
const LEAST_FALL = 0.05;

/**
 * Where on the card of a photo of this stand the ray falls that a hit mirrors: [x, y] into `out` from `o` on, NaN where on none, and how far
 * that is from where the viewing ray would go straight on.
 */
export function mirroredPlace(
  { rotation: c, shift: s }: Rigid,
  hit: Hit,
  dx: number,
  dy: number,
  dz: number,
  out: Float64Array,
  o: number,
): void {
  // Just at the outline a ray may slip past by rounding: it goes straight on, and nothing lies between.
  if (Number.isNaN(hit.cosine)) {
    out.fill(0, o, o + 3);
    return;
  }
  const twice = 2 * (hit.nx * dx + hit.ny * dy + hit.nz * dz);
  const [rx, ry, rz] = [dx - twice * hit.nx, dy - twice * hit.ny, dz - twice * hit.nz];
  const t = hit.distance;
  const [px, py, pz] = [t * dx - s[0], t * dy - s[1], t * dz - s[2]];
  const fall = c[2]! * rx + c[5]! * ry + c[8]! * rz;
  const height = c[2]! * px + c[5]! * py + c[8]! * pz;
  const way = fall < -LEAST_FALL ? -height / fall : NaN;
  const straight = -height / (c[2]! * dx + c[5]! * dy + c[8]! * dz);
  const [x, y, z] = [px + way * rx, py + way * ry, pz + way * rz];
  out[o] = c[0]! * x + c[3]! * y + c[6]! * z;
  out[o + 1] = c[1]! * x + c[4]! * y + c[7]! * z;
  out[o + 2] = hypot3(way * rx - straight * dx, way * ry - straight * dy, way * rz - straight * dz);
}
