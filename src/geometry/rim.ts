import { turnedBack, viewingRay, type Camera, type Rigid } from './camera.ts';
import { contactFinder, newContact } from './hull.ts';
import type { OutlineCurve } from './outline.ts';
import { newHit, rayCaster } from './ray-cast.ts';
import type { DieSolid } from './solid.ts';
import type { SeenDie } from './standing.ts';

/** Depths inside the outline at which the surface is looked up, px: dense where the rounded rim turns fastest. */
export const RIM_DEPTHS: Float64Array = Float64Array.from([0.02, 0.06, 0.12, 0.2, 0.3, 0.45, 0.6, 0.8, 1, 1.25, 1.5, 1.8, 2.1, 2.5, 2.9, 3.3, 3.8, 4.3, 4.9, 5.6, 6.5, 8]);

/** What lies just inside an outline, per segment of `per` samples. */
export interface Rim {
  readonly segments: number;
  /** Per segment and depth: cosine of incidence, then the surface normal in the card frame: 4 x RIM_DEPTHS.length numbers a segment. */
  readonly surface: Float64Array;
  /** Height of the outline over the card per segment, mm. */
  readonly height: Float64Array;
  /** Curvature of the outline per sample, 1/px; 0 along straight edges. */
  readonly curvature: Float64Array;
}

/** The rim inside each segment of a predicted outline. */
export function rimOf(die: SeenDie, solid: DieSolid, camera: Camera, cameraFromCard: Rigid, curve: OutlineCurve, per: number): Rim {
  const find = contactFinder(die);
  const at = newContact();
  const cast = rayCaster(die, solid);
  const hit = newHit();
  const segments = Math.floor(curve.count / per);
  const width = 4 * RIM_DEPTHS.length;
  const surface = new Float64Array(segments * width);
  const height = new Float64Array(segments);
  const curvature = new Float64Array(curve.count);
  const back = cameraFromCard.rotation;
  for (let k = 0; k < curve.count; k++) {
    const d = viewingRay(camera, curve.xy[2 * k]!, curve.xy[2 * k + 1]!);
    find(d[0], d[1], d[2], at);
    const { first: a, second: b, share: s } = at;
    const r = s * die.radii[a]! + (1 - s) * die.radii[b]!;
    const point = [0, 1, 2].map((c) => s * die.centres[3 * a + c]! + (1 - s) * die.centres[3 * b + c]!);
    const depth = point[0]! * d[0] + point[1]! * d[1] + point[2]! * d[2];
    curvature[k] = a === b ? depth / (r * camera.f) : 0;
    const segment = Math.floor(k / per);
    if (k % per !== Math.floor(per / 2) || segment >= segments) continue;
    const u = [at.ux, at.uy, at.uz];
    height[segment] = turnedBack(back, [0, 1, 2].map((c) => point[c]! + r * u[c]! - cameraFromCard.shift[c]!) as [number, number, number])[2];
    for (let q = 0; q < RIM_DEPTHS.length; q++) {
      const o = segment * width + 4 * q;
      const e = viewingRay(camera, curve.xy[2 * k]! - RIM_DEPTHS[q]! * curve.normal[2 * k]!, curve.xy[2 * k + 1]! - RIM_DEPTHS[q]! * curve.normal[2 * k + 1]!);
      cast(e[0], e[1], e[2], hit);
      if (Number.isNaN(hit.cosine)) {
        // Just at the outline a ray may slip past by rounding; the rim is edge-on there.
        surface[o] = q > 0 ? surface[o - 4]! : 0;
        surface.set(q > 0 ? surface.subarray(o - 3, o) : turnedBack(back, [at.ux, at.uy, at.uz]), o + 1);
      } else {
        surface[o] = hit.cosine;
        surface.set(turnedBack(back, [hit.nx, hit.ny, hit.nz]), o + 1);
      }
    }
  }
  return { segments, surface, height, curvature };
}
