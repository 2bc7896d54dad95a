import { turnedBack, viewingRay, type Camera, type Rigid } from './camera.ts';
import { contactFinder, newContact } from './hull.ts';
import type { OutlineCurve } from './outline.ts';
import { newHit, rayCaster } from './ray-cast.ts';
import type { DieSolid } from './solid.ts';
import type { SeenDie } from './standing.ts';

/** Depths inside the outline at which the surface is looked up, px: dense where the rounded rim turns fastest. */
export const RIM_DEPTHS: Float64Array = Float64Array.from([
  0.02, 0.08, 0.18, 0.32, 0.5, 0.75, 1.05, 1.4, 1.8, 2.3, 2.8, 3.4, 4.1, 5, 6.3, 8,
]);

/** What lies just inside an outline, per segment of `per` samples. */
export interface Rim {
  readonly segments: number;
  /** Cosine of the ray's incidence per segment and depth: RIM_DEPTHS.length numbers a segment. */
  readonly cosines: Float64Array;
  /** Height of the outline over the card per segment, mm. */
  readonly height: Float64Array;
  /** Curvature of the outline per sample, 1/px; 0 along straight edges. */
  readonly curvature: Float64Array;
}

/** The rim inside each segment of a predicted outline; only one segment in `every` is filled. */
export function rimOf(
  die: SeenDie,
  solid: DieSolid,
  camera: Camera,
  cameraFromCard: Rigid,
  curve: OutlineCurve,
  per: number,
  every: number,
): Rim {
  const find = contactFinder(die);
  const at = newContact();
  const cast = rayCaster(die, solid);
  const hit = newHit();
  const segments = Math.floor(curve.count / per);
  const width = RIM_DEPTHS.length;
  const cosines = new Float64Array(segments * width);
  const height = new Float64Array(segments);
  const curvature = new Float64Array(curve.count);
  const back = cameraFromCard.rotation;
  for (let k = 0; k < segments * per; k++) {
    const segment = Math.floor(k / per);
    if (segment % every !== 0) continue;
    const d = viewingRay(camera, curve.xy[2 * k]!, curve.xy[2 * k + 1]!);
    find(d[0], d[1], d[2], at);
    const { first: a, second: b, share: s } = at;
    const r = s * die.radii[a]! + (1 - s) * die.radii[b]!;
    const point = [0, 1, 2].map((c) => s * die.centres[3 * a + c]! + (1 - s) * die.centres[3 * b + c]!);
    const depth = point[0]! * d[0] + point[1]! * d[1] + point[2]! * d[2];
    curvature[k] = a === b ? depth / (r * camera.f) : 0;
    if (k % per !== Math.floor(per / 2)) continue;
    const u = [at.ux, at.uy, at.uz];
    height[segment] = turnedBack(
      back,
      [0, 1, 2].map((c) => point[c]! + r * u[c]! - cameraFromCard.shift[c]!) as [number, number, number],
    )[2];
    for (let q = 0; q < RIM_DEPTHS.length; q++) {
      const o = segment * width + q;
      const e = viewingRay(
        camera,
        curve.xy[2 * k]! - RIM_DEPTHS[q]! * curve.normal[2 * k]!,
        curve.xy[2 * k + 1]! - RIM_DEPTHS[q]! * curve.normal[2 * k + 1]!,
      );
      cast(e[0], e[1], e[2], hit);
      // Just at the outline a ray may slip past by rounding; the rim is edge-on there.
      cosines[o] = Number.isNaN(hit.cosine) ? (q > 0 ? cosines[o - 1]! : 0) : hit.cosine;
    }
  }
  return { segments, cosines, height, curvature };
}
