import { normalised, turned, viewingRay, type Camera, type Rigid } from './camera.ts';
import { contactShade, SHADE_WIDTH } from './contact-shade.ts';
import { contactFinder, newContact, type Contact } from './hull.ts';
import { castInward, inwardRays, RIM_DEPTHS, type InwardRays, type OutlinePlace } from './inward-rays.ts';
import { cardPlace, type OnCard } from './mirrored-place.ts';
import type { OutlineCurve } from './outline.ts';
import { rayCaster } from './ray-cast.ts';
import { segmentsOf, type Segments } from './segments.ts';
import type { DieSolid } from './solid.ts';
import type { SeenDie } from './standing.ts';
import { dot, vec3At, type Vec3 } from './vec.ts';

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

/** A segment beside a face seen edge-on: as it is, and as it would be were the crowns {@link RAISE} higher. */
export interface GrazingRays {
  readonly face: number;
  /** Movement of the outline by the higher crowns, px, outward. */
  readonly shift: number;
  readonly now: InwardRays;
  readonly raised: InwardRays;
}

/** What grazing segments show. */
export interface RaisedRim {
  /** The face that a segment grazes, or -1. */
  readonly face: Int32Array;
  /** Movement of the outline by higher crowns, px, outward. */
  readonly shift: Float64Array;
  readonly rays: ReadonlyMap<number, GrazingRays>;
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
  const raised = higher && raisedRim(die, higher, solid, camera, onCard);
  for (let segment = 0; segment < segments.count; segment += every) {
    const k = segments.middle[segment]!;
    const [u, v] = [curve.xy[2 * k]!, curve.xy[2 * k + 1]!];
    const [x, y] = normalised(camera, u, v);
    const il = 1 / Math.sqrt(x * x + y * y + 1);
    find(x * il, y * il, il, at, at.first, at.second);
    height[segment] = view(at, x * il, y * il, il, shade, segment * SHADE_WIDTH);
    const place = { u, v, nu: curve.normal[2 * k]!, nv: curve.normal[2 * k + 1]! };
    castInward(cast, camera, place, RIM_DEPTHS, cosines, segment * width, onCard, mirrored);
    raised?.look(segment, place, at);
  }
  return { segments, cosines, height, curvature, shade, mirrored, raised: raised && raised.rim(segments.count) };
}

/** Looks at grazing segments of a die and of the same with higher crowns. */
function raisedRim(
  die: SeenDie,
  higher: SeenDie,
  solid: DieSolid,
  camera: Camera,
  onCard: OnCard,
): { look(segment: number, place: OutlinePlace, at: Contact): void; rim(count: number): RaisedRim } {
  const find = contactFinder(higher);
  const castNow = rayCaster(die, solid);
  const castHigher = rayCaster(higher, solid);
  const there = newContact();
  const r = die.cameraFromBody.rotation;
  const normals = solid.labels.map((_, f) => turned(r, vec3At(solid.normals, f)));
  const most = Math.cos(GRAZING);
  const rays = new Map<number, GrazingRays>();
  return {
    look(segment, place, at) {
      const face = normals.findIndex((n) => n[0] * at.ux + n[1] * at.uy + n[2] * at.uz > most);
      if (face < 0) return;
      const { u, v, nu, nv } = place;
      const ray = viewingRay(camera, u, v);
      const next = viewingRay(camera, u + nu, v + nv);
      find(ray[0], ray[1], ray[2], there);
      const depth = depthOf(higher, there, ray);
      const scale =
        depth * (there.ux * (next[0] - ray[0]) + there.uy * (next[1] - ray[1]) + there.uz * (next[2] - ray[2]));
      const shift = (at.distance - there.distance) / scale;
      const now = inwardRays(castNow, camera, place, 0, onCard);
      const raised = inwardRays(castHigher, camera, place, shift, onCard);
      rays.set(segment, { face, shift, now, raised });
    },
    rim(count) {
      const face = new Int32Array(count).fill(-1);
      const shift = new Float64Array(count);
      for (const [segment, found] of rays) {
        face[segment] = found.face;
        shift[segment] = found.shift;
      }
      return { face, shift, rays };
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
