import { hypot3 } from '../maths/hypot.ts';
import { normalised, turned, viewingRay, type Camera, type Rigid } from './camera.ts';
import { contactShade, SHADE_WIDTH } from './contact-shade.ts';
import { contactFinder, newContact, type Contact } from './hull.ts';
import { castInward, inwardRays, RIM_DEPTHS, type InwardRays, type OutlinePlace } from './inward-rays.ts';
import type { OutlineCurve } from './outline.ts';
import { RayCaster } from './ray-cast.ts';
import { segmentsOf, type Segments } from './segments.ts';
import { turnedNormals, type DieSolid } from './solid.ts';
import type { SeenDie } from './standing.ts';
import { dot, minus, vec3At, type Vec3 } from './vec.ts';

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
const LEAST_ALONG = Math.cos(GRAZING);

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
  const caster = new RayCaster(die, solid);
  const segments = segmentsOf(curve);
  const width = RIM_DEPTHS.length;
  const cosines = new Float64Array(segments.count * width);
  const height = new Float64Array(segments.count);
  const shade = new Float64Array(segments.count * SHADE_WIDTH);
  const curvature = curvatures(die, camera, curve);
  const view = new CardView(die, solid, camera, cameraFromCard);
  const mirrored = higher && new Float64Array(3 * segments.count * width);
  const raised = higher && new RaisedLooks(die, higher, solid, camera, cameraFromCard);
  for (let segment = 0; segment < segments.count; segment += every) {
    const k = segments.middle[segment]!;
    const [u, v] = [curve.xy[2 * k]!, curve.xy[2 * k + 1]!];
    const [x, y] = normalised(camera, u, v);
    const il = 1 / Math.sqrt(x * x + y * y + 1);
    find(x * il, y * il, il, at, at.first, at.second);
    height[segment] = view.height(at);
    view.shadeInto(at, x * il, y * il, il, shade, segment * SHADE_WIDTH);
    const place = { u, v, nu: curve.normal[2 * k]!, nv: curve.normal[2 * k + 1]! };
    castInward(caster, camera, place, RIM_DEPTHS, cosines, segment * width, cameraFromCard, mirrored);
    raised?.look(segment, place, at);
  }
  return { segments, cosines, height, curvature, shade, mirrored, raised: raised && raised.rim(segments.count) };
}

/** Looks at grazing segments of a die and of the same with higher crowns. */
class RaisedLooks {
  readonly #higher: SeenDie;
  readonly #camera: Camera;
  readonly #cameraFromCard: Rigid;
  readonly #find: ReturnType<typeof contactFinder>;
  readonly #now: RayCaster;
  readonly #raised: RayCaster;
  readonly #normals: readonly Vec3[];
  readonly #there = newContact();
  readonly #rays = new Map<number, GrazingRays>();

  constructor(die: SeenDie, higher: SeenDie, solid: DieSolid, camera: Camera, cameraFromCard: Rigid) {
    this.#higher = higher;
    this.#camera = camera;
    this.#cameraFromCard = cameraFromCard;
    this.#find = contactFinder(higher);
    this.#now = new RayCaster(die, solid);
    this.#raised = new RayCaster(higher, solid);
    const { rotation } = die.cameraFromBody;
    this.#normals = turnedNormals(rotation, solid);
  }

  look(segment: number, place: OutlinePlace, at: Contact): void {
    const face = this.#grazed(at);
    if (face < 0) return;
    const [higher, camera, cameraFromCard] = [this.#higher, this.#camera, this.#cameraFromCard];
    const { u, v, nu, nv } = place;
    const ray = viewingRay(camera, u, v);
    const next = viewingRay(camera, u + nu, v + nv);
    const there = this.#there;
    this.#find(ray[0], ray[1], ray[2], there);
    const depth = depthOf(higher, there, ray);
    const scale =
      depth * (there.ux * (next[0] - ray[0]) + there.uy * (next[1] - ray[1]) + there.uz * (next[2] - ray[2]));
    const shift = (at.distance - there.distance) / scale;
    const now = inwardRays(this.#now, camera, place, 0, cameraFromCard);
    const raised = inwardRays(this.#raised, camera, place, shift, cameraFromCard);
    this.#rays.set(segment, { face, shift, now, raised });
  }

  /** The face that a contact grazes, or -1. */
  #grazed({ ux, uy, uz }: Contact): number {
    const normals = this.#normals;
    for (let f = 0; f < normals.length; f++) {
      const n = normals[f]!;
      if (n[0] * ux + n[1] * uy + n[2] * uz > LEAST_ALONG) return f;
    }
    return -1;
  }

  rim(count: number): RaisedRim {
    const rays = this.#rays;
    const face = new Int32Array(count).fill(-1);
    const shift = new Float64Array(count);
    for (const [segment, found] of rays) {
      face[segment] = found.face;
      shift[segment] = found.shift;
    }
    return { face, shift, rays };
  }
}

/** Distance along the ray of a contact's place on the skin, mm. */
const depthOf = (die: SeenDie, { first, second, share }: Contact, ray: Vec3): number =>
  share * dot(placeOf(die, first), ray) + (1 - share) * dot(placeOf(die, second), ray);

/** Centre of a ball, or a crown's point, by a contact's number. */
export const placeOf = ({ centres, count, crowns }: SeenDie, k: number): Vec3 =>
  k < count ? vec3At(centres, k) : vec3At(crowns!.points, k - count);

function curvatures(die: SeenDie, camera: Camera, curve: OutlineCurve): Float64Array {
  const { radii, centres } = die;
  const of = new Float64Array(radii.length);
  for (let b = 0, o = 0; b < of.length; b++, o += 3)
    of[b] = hypot3(centres[o]!, centres[o + 1]!, centres[o + 2]!) / (radii[b]! * camera.f);
  const { ball } = curve;
  const out = new Float64Array(ball.length);
  for (let k = 0; k < out.length; k++) if (ball[k]! >= 0) out[k] = of[ball[k]!]!;
  return out;
}

/** How far from the card a ball may be and still lie on it, mm. */
const TOUCHING = 0.05;

/** How a die stands over the card. */
class CardView {
  readonly #die: SeenDie;
  readonly #f: number;
  /** The card's upwards and middle, camera frame. */
  readonly #up: Vec3;
  readonly #middle: Vec3;
  /** Heights of the balls' centres, mm, and the upward parts of the faces' normals. */
  readonly #low: Float64Array;
  readonly #faceUp: Float64Array;

  constructor(die: SeenDie, solid: DieSolid, { f }: Camera, { rotation: c, shift }: Rigid) {
    this.#die = die;
    this.#f = f;
    this.#middle = shift;
    this.#up = [c[2]!, c[5]!, c[8]!];
    this.#low = new Float64Array(die.count);
    for (let b = 0; b < die.count; b++) this.#low[b] = dot(this.#up, minus(vec3At(die.centres, b), shift));
    this.#faceUp = new Float64Array(solid.labels.length);
    for (let face = 0; face < this.#faceUp.length; face++)
      this.#faceUp[face] = dot(this.#up, turned(die.cameraFromBody.rotation, vec3At(solid.normals, face)));
  }

  /** Height over the card of a contact, mm. */
  height(at: Contact): number {
    const { first: a, second: b, share } = at;
    const { radii, count } = this.#die;
    if (a >= count || b >= count) return share * this.#heightAt(at, a) + (1 - share) * this.#heightAt(at, b);
    const radius = share * radii[a]! + (1 - share) * radii[b]!;
    return share * this.#low[a]! + (1 - share) * this.#low[b]! + radius * this.#normalUp(at);
  }

  /** The same where ball or crown's point `k` carried it alone. */
  #heightAt(at: Contact, k: number): number {
    const { radii, count } = this.#die;
    const centre = dot(this.#up, minus(placeOf(this.#die, k), this.#middle));
    return centre + (k < count ? radii[k]! * this.#normalUp(at) : 0);
  }

  #normalUp({ ux, uy, uz }: Contact): number {
    const up = this.#up;
    return up[0] * ux + up[1] * uy + up[2] * uz;
  }

  /** Fills the shade beside a contact that a ray (a unit vector) meets, where the edge there lies on the card. */
  shadeInto(at: Contact, dx: number, dy: number, dz: number, shade: Float64Array, o: number): void {
    const { first: a, second: b, share } = at;
    const { centres, radii, count } = this.#die;
    if (a === b || a >= count || b >= count || !this.#touches(a) || !this.#touches(b)) return;
    const depth = centres[3 * a]! * dx + centres[3 * a + 1]! * dy + centres[3 * a + 2]! * dz;
    const radius = share * radii[a]! + (1 - share) * radii[b]!;
    const found = contactShade(radius, this.#normalUp(at), this.#rising(a, b), this.#f / depth);
    if (!found) return;
    shade[o] = found.radius;
    shade[o + 1] = found.first;
    shade[o + 2] = found.perPx;
    shade[o + 3] = found.open;
  }

  #touches(ball: number): boolean {
    return this.#low[ball]! - this.#die.radii[ball]! < TOUCHING;
  }

  /** The largest upward part of the normals of faces that two balls share. */
  #rising(a: number, b: number): number {
    const { faces } = this.#die.body;
    let rising = -1;
    for (let p = 0; p < 3; p++)
      for (let q = 0; q < 3; q++) {
        const f = faces[3 * a + p]!;
        if (f === faces[3 * b + q]) rising = Math.max(rising, this.#faceUp[f]!);
      }
    return rising;
  }
}
