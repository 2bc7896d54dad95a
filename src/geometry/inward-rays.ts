import { normalised, type Camera, type Rigid } from './camera.ts';
import { mirroredPlace } from './mirrored-place.ts';
import { newHit, type RayCaster } from './ray-cast.ts';

/** Depths inside the outline at which the surface is looked up, px: dense where the rounded rim turns fastest. */
export const RIM_DEPTHS: Float64Array = Float64Array.from([
  0.02, 0.08, 0.18, 0.32, 0.5, 0.75, 1.05, 1.4, 1.8, 2.3, 2.8, 3.4, 4.1, 5, 6.3, 8,
]);
const DEEPEST = RIM_DEPTHS[RIM_DEPTHS.length - 1]!;
/**
 * The same beside a face seen edge-on: a sliver ends at the face's near rim, where the light changes most, and that must be placed to a part of a px; between
 * depths of {@link RIM_DEPTHS} it came out by up to half a px wrong, and moved with the crown where it stands still.
 */
export const GRAZING_DEPTHS: Float64Array = Float64Array.from([
  0.02,
  0.06,
  ...Array.from({ length: 36 }, (_, k) => (k + 1) / 8),
  ...Array.from({ length: 14 }, (_, k) => 4.5 + (k + 1) / 4),
]);

/** What lies inside one place of an outline, at depths of its own. */
export interface InwardRays {
  /** px inside the outline, rising. */
  readonly depths: Float64Array;
  /** Cosines of incidence, and mirrored places, a triple a depth as in {@link Rim}. */
  readonly cosines: Float64Array;
  readonly mirrored: Float64Array;
}

/** A place of the outline, px, and the outward normal there. */
export interface OutlinePlace {
  readonly u: number;
  readonly v: number;
  readonly nu: number;
  readonly nv: number;
}

const hit = newHit();

/** Fills the cosines of incidence below a place of the outline, and the places on the card that are mirrored there. */
export function castInward(
  caster: RayCaster,
  camera: Camera,
  { u, v, nu, nv }: OutlinePlace,
  depths: Float64Array,
  cosines: Float64Array,
  from: number,
  cameraFromCard: Rigid,
  mirrored: Float64Array | null,
): void {
  const [x, y] = normalised(camera, u, v);
  // Over a few pixels the lens is straight.
  const [p, q] = normalised(camera, u - DEEPEST * nu, v - DEEPEST * nv);
  caster.aim(x, y, p - x, q - y, depths.length === 0 ? 0 : depths[depths.length - 1]! / DEEPEST);
  for (let depth = 0, o = from; depth < depths.length; depth++, o++) {
    const t = depths[depth]! / DEEPEST;
    const ex = x + t * (p - x);
    const ey = y + t * (q - y);
    const el = 1 / Math.sqrt(ex * ex + ey * ey + 1);
    caster.cast(ex * el, ey * el, el, hit);
    if (mirrored) mirroredPlace(cameraFromCard, hit, ex * el, ey * el, el, mirrored, 3 * o);
    // Just at the outline a ray may slip past by rounding; the rim is edge-on there.
    cosines[o] = Number.isNaN(hit.cosine) ? (depth > 0 ? cosines[o - 1]! : 0) : hit.cosine;
  }
}

/** Depths beyond those of {@link GRAZING_DEPTHS}: shares of the shift, and how deep they lie at most, px. */
const OUTER = [
  { share: 0.02, most: 0.02 },
  { share: 0.06, most: 0.06 },
  { share: 0.25, most: Infinity },
  { share: 0.5, most: Infinity },
  { share: 0.75, most: Infinity },
] as const;
/** An outline that has moved by less, px, has no rays of its own beyond. */
const LEAST_SHIFT = 1e-6;

/** Rays inside an outline that lies `shift` px outside of `place`, which meet the same places of the picture whatever the shift. */
export function inwardRays(
  caster: RayCaster,
  camera: Camera,
  place: OutlinePlace,
  shift: number,
  cameraFromCard: Rigid,
): InwardRays {
  const depths = depthsOutside(shift);
  const cosines = new Float64Array(depths.length);
  const mirrored = new Float64Array(3 * depths.length);
  const { u, v, nu, nv } = place;
  castInward(
    caster,
    camera,
    { ...place, u: u + shift * nu, v: v + shift * nv },
    depths,
    cosines,
    0,
    cameraFromCard,
    mirrored,
  );
  return { depths, cosines, mirrored };
}

/** {@link GRAZING_DEPTHS} inside an outline that lies `shift` px outside, and what lies between both. */
function depthsOutside(shift: number): Float64Array {
  const out = new Float64Array(OUTER.length + GRAZING_DEPTHS.length);
  let count = 0;
  if (shift > LEAST_SHIFT) for (const { share, most } of OUTER) out[count++] = Math.min(most, share * shift);
  for (const d of GRAZING_DEPTHS) if (d + shift > 0) out[count++] = d + shift;
  return out.subarray(0, count);
}
