import { normalised, turned, viewingRay, type Camera, type Rigid } from './camera.ts';
import { contactShade, SHADE_WIDTH } from './contact-shade.ts';
import { contactFinder, newContact, type Contact } from './hull.ts';
import { cardPlace, type OnCard } from './mirrored-place.ts';
import type { OutlineCurve } from './outline.ts';
import { newHit, rayCaster } from './ray-cast.ts';
import { segmentsOf, type Segments } from './segments.ts';
import type { DieSolid } from './solid.ts';
import type { SeenDie } from './standing.ts';
import { dot, vec3At, type Vec3 } from './vec.ts';

/** Depths inside the outline at which the surface is looked up, px: dense where the rounded rim turns fastest. */
export const RIM_DEPTHS: Float64Array = Float64Array.from([
  0.02, 0.08, 0.18, 0.32, 0.5, 0.75, 1.05, 1.4, 1.8, 2.3, 2.8, 3.4, 4.1, 5, 6.3, 8,
]);
const DEEPEST = RIM_DEPTHS[RIM_DEPTHS.length - 1]!;

/** What lies just inside and outside an outline, per segment. */
export interface Rim {
  readonly segments: Segments;
  /** Cosine of the ray's incidence per segment and depth: RIM_DEPTHS.length numbers a segment. */
  readonly cosines: Float64Array;
  /** Height of the outline over the card per segment, mm. */
  readonly height: Float64Array;
  /** Curvature of the outline per sample, 1/px; 0 along straight edges. */
  readonly curvature: Float64Array;
  /** Shade of the stage beside edges that lie on it: SHADE_WIDTH numbers a segment, see `contact-shade.ts`. */
  readonly shade: Float64Array;
  /**
   * Places on the card, [x, y] in mm, that the rim mirrors at each depth, and how far from what shows just outside, mm: RIM_DEPTHS.length
   * triples a segment; NaN where a mirrored ray falls on no card. Null where they were not asked for.
   */
  readonly mirrored: Float64Array | null;
  /** The same with crowns a little higher, where a face is seen edge-on; null where crowns are not sought. */
  readonly raised: RaisedRim | null;
}

/** What grazing segments would show were the crowns {@link RAISE} higher. */
export interface RaisedRim {
  /** The face that a segment grazes, or -1. */
  readonly face: Int32Array;
  /** Movement of the outline, px, outward. */
  readonly shift: Float64Array;
  /** Cosines of incidence and mirrored places as in {@link Rim}. */
  readonly cosines: Float64Array;
  readonly mirrored: Float64Array;
}

/** Step in which a crown's effect is looked up, mm. */
export const RAISE = 0.01;
/** A face grazes where the outline's normal is no further than this from its own, radians: twice the rim's slope of a crown of 0.06 on 7 mm. */
export const GRAZING = 0.03;

/**
 * The rim along a predicted outline; only one segment in `every` is filled.
 *
 * @param higher  The same die with its crowns {@link RAISE} higher; with it goes what the rim mirrors.
 */
export function rimOf(
  die: SeenDie,
  solid: DieSolid,
  camera: Camera,
  cameraFromCard: Rigid,
  curve: OutlineCurve,
  every: number,
  higher: SeenDie | null = null,
): Rim {
  const find = contactFinder(die);
  const at = newContact();
  const cast = rayCaster(die, solid);
  const segments = segmentsOf(curve);
  const width = RIM_DEPTHS.length;
  const cosines = new Float64Array(segments.count * width);
  const height = new Float64Array(segments.count);
  const shade = new Float64Array(segments.count * SHADE_WIDTH);
  const curvature = curvatures(die, camera, curve);
  const view = cardView(die, solid, camera, cameraFromCard);
  const mirrored = higher && new Float64Array(3 * segments.count * width);
  const onCard = cardPlace(cameraFromCard);
  const raised = higher && raisedRim(die, higher, solid, camera, curve, onCard);
  for (let segment = 0; segment < segments.count; segment += every) {
    const k = segments.middle[segment]!;
    const [u, v] = [curve.xy[2 * k]!, curve.xy[2 * k + 1]!];
    const [x, y] = normalised(camera, u, v);
    const il = 1 / Math.sqrt(x * x + y * y + 1);
    find(x * il, y * il, il, at, at.first, at.second);
    height[segment] = view(at, x * il, y * il, il, shade, segment * SHADE_WIDTH);
    castInward(
      cast,
      camera,
      u,
      v,
      curve.normal[2 * k]!,
      curve.normal[2 * k + 1]!,
      cosines,
      segment * width,
      onCard,
      mirrored,
    );
    raised?.look(segment, k, at);
  }
  return { segments, cosines, height, curvature, shade, mirrored, raised: raised && raised.rim(segments.count) };
}

/** Fills the cosines of incidence below a place of the outline, and the places on the card that are mirrored there. */
function castInward(
  cast: ReturnType<typeof rayCaster>,
  camera: Camera,
  u: number,
  v: number,
  nu: number,
  nv: number,
  cosines: Float64Array,
  o: number,
  onCard: OnCard,
  mirrored: Float64Array | null,
): void {
  const hit = newHit();
  const [x, y] = normalised(camera, u, v);
  // Over a few pixels the lens is straight.
  const [p, q] = normalised(camera, u - DEEPEST * nu, v - DEEPEST * nv);
  for (let depth = 0; depth < RIM_DEPTHS.length; depth++, o++) {
    const t = RIM_DEPTHS[depth]! / DEEPEST;
    const [ex, ey] = [x + t * (p - x), y + t * (q - y)];
    const el = 1 / Math.sqrt(ex * ex + ey * ey + 1);
    cast(ex * el, ey * el, el, hit);
    if (mirrored) onCard(hit, ex * el, ey * el, el, mirrored, 3 * o);
    // Just at the outline a ray may slip past by rounding; the rim is edge-on there.
    cosines[o] = Number.isNaN(hit.cosine) ? (depth > 0 ? cosines[o - 1]! : 0) : hit.cosine;
  }
}

/** Looks at grazing segments of a die and of the same with higher crowns. */
function raisedRim(
  die: SeenDie,
  higher: SeenDie,
  solid: DieSolid,
  camera: Camera,
  curve: OutlineCurve,
  onCard: OnCard,
): { look(segment: number, k: number, at: Contact): void; rim(count: number): RaisedRim } {
  const find = contactFinder(higher);
  const cast = rayCaster(higher, solid);
  const there = newContact();
  const r = die.cameraFromBody.rotation;
  const normals = solid.labels.map((_, f) => turned(r, vec3At(solid.normals, f)));
  const most = Math.cos(GRAZING);
  const found = new Map<number, { face: number; shift: number; cosines: Float64Array; mirrored: Float64Array }>();
  return {
    look(segment, k, at) {
      const face = normals.findIndex((n) => n[0] * at.ux + n[1] * at.uy + n[2] * at.uz > most);
      if (face < 0) return;
      const [u, v] = [curve.xy[2 * k]!, curve.xy[2 * k + 1]!];
      const [nu, nv] = [curve.normal[2 * k]!, curve.normal[2 * k + 1]!];
      const ray = viewingRay(camera, u, v);
      const next = viewingRay(camera, u + nu, v + nv);
      find(ray[0], ray[1], ray[2], there);
      const depth = depthOf(higher, there, ray);
      const scale =
        depth * (there.ux * (next[0] - ray[0]) + there.uy * (next[1] - ray[1]) + there.uz * (next[2] - ray[2]));
      const shift = (at.distance - there.distance) / scale;
      const cosines = new Float64Array(RIM_DEPTHS.length);
      const mirrored = new Float64Array(3 * RIM_DEPTHS.length);
      castInward(cast, camera, u + shift * nu, v + shift * nv, nu, nv, cosines, 0, onCard, mirrored);
      found.set(segment, { face, shift, cosines, mirrored });
    },
    rim(count) {
      const out = {
        face: new Int32Array(count).fill(-1),
        shift: new Float64Array(count),
        cosines: new Float64Array(count * RIM_DEPTHS.length),
        mirrored: new Float64Array(3 * count * RIM_DEPTHS.length),
      };
      for (const [segment, { face, shift, cosines, mirrored }] of found) {
        out.face[segment] = face;
        out.shift[segment] = shift;
        out.cosines.set(cosines, segment * RIM_DEPTHS.length);
        out.mirrored.set(mirrored, 3 * segment * RIM_DEPTHS.length);
      }
      return out;
    },
  };
}

/** Distance along the ray of a contact's place on the skin, mm. */
function depthOf(die: SeenDie, at: Contact, ray: Vec3): number {
  const of = (k: number): number => dot(placeOf(die, k), ray);
  return at.share * of(at.first) + (1 - at.share) * of(at.second);
}

/** Centre of a ball, or a crown's point, by a contact's number. */
export const placeOf = ({ centres, count, crowns }: SeenDie, k: number): Vec3 =>
  k < count ? vec3At(centres, k) : vec3At(crowns!.points, k - count);

function curvatures(die: SeenDie, camera: Camera, curve: OutlineCurve): Float64Array {
  const of = die.radii.map((r, b) => {
    const o = 3 * b;
    return Math.hypot(die.centres[o]!, die.centres[o + 1]!, die.centres[o + 2]!) / (r * camera.f);
  });
  return Float64Array.from(curve.ball, (b) => (b < 0 ? 0 : of[b]!));
}

/** How far from the card a ball may be and still lie on it, mm. */
const TOUCHING = 0.05;

/** Height over the card of a contact, mm; fills the shade beside it where the edge there lies on the card. */
function cardView(
  die: SeenDie,
  solid: DieSolid,
  camera: Camera,
  { rotation: c, shift: s }: Rigid,
): (at: Contact, dx: number, dy: number, dz: number, shade: Float64Array, o: number) => number {
  const { centres, radii, body, count } = die;
  const up = (x: number, y: number, z: number): number => c[2]! * x + c[5]! * y + c[8]! * z;
  const low = radii.map((_, b) => up(centres[3 * b]! - s[0], centres[3 * b + 1]! - s[1], centres[3 * b + 2]! - s[2]));
  const r = die.cameraFromBody.rotation;
  const faceUp = Float64Array.from(solid.labels, (_, f) => {
    const [x, y, z] = [solid.normals[3 * f]!, solid.normals[3 * f + 1]!, solid.normals[3 * f + 2]!];
    return up(r[0]! * x + r[1]! * y + r[2]! * z, r[3]! * x + r[4]! * y + r[5]! * z, r[6]! * x + r[7]! * y + r[8]! * z);
  });
  return (at, dx, dy, dz, shade, o) => {
    const { first: a, second: b, share } = at;
    if (a >= count || b >= count) {
      const of = (k: number): number => {
        const [x, y, z] = placeOf(die, k);
        return up(x - s[0], y - s[1], z - s[2]) + (k < count ? radii[k]! * up(at.ux, at.uy, at.uz) : 0);
      };
      return share * of(a) + (1 - share) * of(b);
    }
    const radius = share * radii[a]! + (1 - share) * radii[b]!;
    const normalUp = up(at.ux, at.uy, at.uz);
    if (a !== b && low[a]! - radii[a]! < TOUCHING && low[b]! - radii[b]! < TOUCHING) {
      let rising = -1;
      for (let p = 0; p < 3; p++)
        for (let q = 0; q < 3; q++) {
          const f = body.faces[3 * a + p]!;
          if (f === body.faces[3 * b + q]) rising = Math.max(rising, faceUp[f]!);
        }
      const depth = centres[3 * a]! * dx + centres[3 * a + 1]! * dy + centres[3 * a + 2]! * dz;
      const found = contactShade(radius, normalUp, rising, camera.f / depth);
      if (found) {
        shade[o] = found.radius;
        shade[o + 1] = found.first;
        shade[o + 2] = found.perPx;
        shade[o + 3] = found.open;
      }
    }
    return share * low[a]! + (1 - share) * low[b]! + radius * normalUp;
  };
}
