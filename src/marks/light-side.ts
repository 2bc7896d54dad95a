import type { FaceFrame } from '../faces/face-frame.ts';
import type { FacePicture } from '../faces/face-picture.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { byAxis, dot, vec3At, type Vec3 } from '../geometry/vec.ts';
import { median } from '../maths/linear.ts';
import type { FaceRelief } from './face-relief.ts';
import type { FoundMark } from './find-marks.ts';

/** Where light comes from in one photo, as its faces tell: body frame, longer where faces differ more; by photo. */
export type Lights = ReadonlyMap<number, Vec3>;

/**
 * A face that looks towards the light is brighter: the regression of the bare faces' light on their normals. The reliefs say which pixels
 * are bare.
 */
export function lightOn(
  solid: DieSolid,
  views: readonly (readonly FacePicture[])[],
  reliefs: readonly (FaceRelief | null)[],
): Lights {
  const byPhoto = new Map<number, LitFace[]>();
  for (let face = 0; face < views.length; face++) {
    const relief = reliefs[face];
    if (!relief) continue;
    for (const { photo, light } of views[face]!) {
      const middle = bareLight(light, relief.seen);
      if (Number.isNaN(middle)) continue;
      const faces = byPhoto.get(photo) ?? [];
      faces.push({ normal: vec3At(solid.normals, face), light: middle });
      byPhoto.set(photo, faces);
    }
  }
  return new Map(
    [...byPhoto].map(([photo, faces]) => {
      const mean = faces.reduce((s, f) => s + f.light, 0) / faces.length;
      const towards = byAxis((k) => faces.reduce((s, f) => s + (f.light - mean) * f.normal[k]!, 0));
      return [photo, towards];
    }),
  );
}

/** A face of one photo, and its bare skin's light. */
interface LitFace {
  readonly normal: Vec3;
  readonly light: number;
}

/** Middle light of the bare pixels, of which every third is asked; NaN where there are none. */
function bareLight(light: Float32Array, bare: Uint8Array): number {
  const values = new Float64Array(Math.ceil(bare.length / 3));
  let n = 0;
  for (let k = 0; k < bare.length; k += 3)
    if (bare[k] === 1) values[n++] = (light[3 * k]! + light[3 * k + 1]! + light[3 * k + 2]!) / 3;
  return median(values.subarray(0, n));
}

/** Above 0 where a mark's bright flank looks towards the light: it stands out; below 0 where it is sunk. -1 to 1. */
export function prouds(
  { right, up }: FaceFrame,
  { place: [x0, y0], size: [a] }: FoundMark,
  views: readonly FacePicture[],
  relief: FaceRelief,
  lights: Lights,
): number {
  const { size, umPerPx } = relief;
  const half = (size - 1) / 2;
  const mm = umPerPx / 1000;
  const reach = 0.6 * a;
  let [sum, all] = [0, 0];
  for (const { photo, light } of views) {
    const from = lights.get(photo);
    if (!from) continue;
    let [gx, gy, mean, n] = [0, 0, 0, 0];
    const each = (call: (k: number, dx: number, dy: number) => void): void => {
      for (let k = 0; k < size * size; k++) {
        if (relief.seen[k] === 0) continue;
        const dx = ((k % size) - half) * mm - x0;
        const dy = (half - Math.floor(k / size)) * mm - y0;
        if (dx * dx + dy * dy < reach * reach) call(k, dx, dy);
      }
    };
    const luma = (k: number): number => light[3 * k]! + light[3 * k + 1]! + light[3 * k + 2]!;
    each((k) => {
      mean += luma(k);
      n++;
    });
    each((k, dx, dy) => {
      gx += dx * (luma(k) - mean / n);
      gy += dy * (luma(k) - mean / n);
    });
    const [lx, ly] = [dot(from, right), dot(from, up)];
    sum += gx * lx + gy * ly;
    all += Math.hypot(gx, gy) * Math.hypot(lx, ly);
  }
  return all > 0 ? sum / all : 0;
}
