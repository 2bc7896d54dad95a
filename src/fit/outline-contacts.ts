import { viewingRay, type Camera } from '../geometry/camera.ts';
import { ContactFinder, newContact } from '../geometry/hull.ts';
import type { Outline } from '../geometry/outline.ts';
import type { SeenDie, Stand } from '../geometry/standing.ts';
import { seenIn, type DieState, type FitPhoto } from './die-state.ts';
import { fitMemory } from './fit-memory.ts';

/** Where an outline's rays touch a die, and how far they pass it. */
export interface OutlineContacts {
  readonly count: number;
  /** The die as the photo shows it. */
  readonly die: SeenDie;
  /** Measured edge minus model along the outward normal, px. */
  readonly residual: Float64Array;
  /** mm per px along the normal, at the contact, and 1 over it. */
  readonly scale: Float64Array;
  readonly perScale: Float64Array;
  /** The solid's normal at the contact, the contact's place less its radius, camera frame, and how far along the ray it lies, mm. */
  readonly normal: Float64Array;
  readonly place: Float64Array;
  readonly depth: Float64Array;
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

/** Numbers per point that contacts hold, and whole ones; all stand in one room each, which is made faster than many. */
const NUMBERS = 14;
const INDICES = 4;

/** Contacts of one outline as they were last met, with what they are worked out from. */
class Kept implements OutlineContacts {
  readonly camera: Camera;
  readonly count: number;
  /** Per point: unit viewing ray, and the change of the ray over one px along the normal. */
  readonly rays: Float64Array;
  /** Normals, distances and shares, as the module hands them over. */
  readonly touched: Float64Array;
  readonly normal: Float64Array;
  readonly place: Float64Array;
  readonly residual: Float64Array;
  readonly scale: Float64Array;
  readonly perScale: Float64Array;
  readonly depth: Float64Array;
  /** Signed distance of each ray from the die, mm. */
  readonly distance: Float64Array;
  readonly height: Float64Array;
  readonly radius: Float64Array;
  readonly share: Float64Array;
  /** First balls, then second ones. */
  readonly carriers: Int32Array;
  readonly first: Int32Array;
  readonly second: Int32Array;
  readonly firstCorner: Int32Array;
  readonly secondCorner: Int32Array;
  /** Whether the contact lies on other balls than it was sought at, and how many do: these are sought once more. */
  readonly moved: Uint8Array;
  movedCount = 0;
  die: SeenDie;
  /** What the die and its place were made of. */
  state: DieState;
  photo: FitPhoto;
  stand: Stand;

  constructor(outline: Outline, state: DieState, photo: FitPhoto, i: number) {
    const n = outline.sigma.length;
    const room = new Float64Array(NUMBERS * n);
    const indices = new Int32Array(INDICES * n).fill(-1);
    this.camera = photo.camera;
    this.count = n;
    this.rays = raysOf(photo.camera, outline);
    this.touched = room.subarray(0, 5 * n);
    this.normal = room.subarray(0, 3 * n);
    this.distance = room.subarray(3 * n, 4 * n);
    this.share = room.subarray(4 * n, 5 * n);
    this.place = room.subarray(5 * n, 8 * n);
    this.residual = room.subarray(8 * n, 9 * n);
    this.scale = room.subarray(9 * n, 10 * n);
    this.perScale = room.subarray(10 * n, 11 * n);
    this.depth = room.subarray(11 * n, 12 * n);
    this.height = room.subarray(12 * n, 13 * n);
    this.radius = room.subarray(13 * n);
    this.carriers = indices.subarray(0, 2 * n);
    this.first = indices.subarray(0, n);
    this.second = indices.subarray(n, 2 * n);
    this.firstCorner = indices.subarray(2 * n, 3 * n);
    this.secondCorner = indices.subarray(3 * n);
    this.moved = new Uint8Array(n);
    this.die = seenIn(state, photo, i);
    this.state = state;
    this.photo = photo;
    this.stand = state.stands[i]!;
  }
}

const kept = new WeakMap<Outline, Kept>();
const contact = newContact();
const finder = new ContactFinder({ count: 0, centres: new Float64Array(0), radii: new Float64Array(0) });

/**
 * Contacts of one photo's outline with the die where `state` puts it; the next call for this outline overwrites them.
 *
 * A fit asks for one state again and again: for its cost, its derivatives, its stretches, its doubt. It is met once.
 *
 * @param i  The photo's place in the set, whose stand `state` holds.
 */
export function contactsAt(state: DieState, photo: FitPhoto, i: number, outline: Outline): OutlineContacts {
  const known = kept.get(outline);
  if (known?.camera !== photo.camera) return metAnew(new Kept(outline, state, photo, i), outline);
  if (isAt(known, state, photo, i)) return known.movedCount === 0 ? known : met(known, outline, true);
  known.die = seenIn(state, photo, i);
  known.state = state;
  known.photo = photo;
  known.stand = state.stands[i]!;
  return met(known, outline, false);
}

function metAnew(at: Kept, outline: Outline): Kept {
  kept.set(outline, at);
  return met(at, outline, false);
}

/** Contacts of all points, or of those alone that lay on other balls than guessed, and what follows of them. */
function met(at: Kept, outline: Outline, movedAlone: boolean): Kept {
  at.movedCount = movedAlone ? meetMoved(at) : meet(at);
  placeContacts(at.die, at);
  setResiduals(at);
  setHeights(at.photo, at);
  if (at.state.crowns && outline.grazing) addGrazing(at.state, outline, at);
  return at;
}

/** Whether contacts are those of this die in this place: its shape and stand are never changed, only exchanged. */
function isAt({ state: met, photo: from, stand }: Kept, state: DieState, photo: FitPhoto, i: number): boolean {
  const sameDie = met.solid === state.solid && met.distances === state.distances && met.radii === state.radii;
  const samePlace = from.cameraFromCard === photo.cameraFromCard && stand === state.stands[i];
  const { up, front } = from.shot;
  return (
    sameDie &&
    samePlace &&
    met.crowns === state.crowns &&
    met.lands === state.lands &&
    up === photo.shot.up &&
    front === photo.shot.front
  );
}

function raysOf(camera: Camera, { xy, normal, sigma }: Outline): Float64Array {
  const n = sigma.length;
  const data = new Float64Array(6 * n);
  for (let k = 0; k < n; k++) {
    const u = xy[2 * k]!;
    const v = xy[2 * k + 1]!;
    const nu = normal[2 * k]! / 2;
    const nv = normal[2 * k + 1]! / 2;
    const d = viewingRay(camera, u, v);
    const e = viewingRay(camera, u + nu, v + nv);
    const f = viewingRay(camera, u - nu, v - nv);
    for (let c = 0; c < 3; c++) {
      data[6 * k + c] = d[c]!;
      data[6 * k + 3 + c] = e[c]! - f[c]!;
    }
  }
  return data;
}

// The loops below are apart, and each is short, because they are hot and run by the million: what is one long function is compiled anew,
// at great cost, whenever one of its parts sees something new.

/** Contacts of all rays; the balls met before are guessed to be met again. Returns how many are met on others. */
function meet(at: Kept): number {
  const { count, carriers, touched, rays, moved } = at;
  const memory = fitMemory();
  memory.holdRows(count);
  moved.fill(0);
  const open = memory.heldContacts(memory.setBalls(at.die), rays, carriers, touched);
  if (open === 0) return 0;
  finder.turnTo(at.die);
  let others = 0;
  for (let m = 2 * count; m < 2 * count + open; m++) others += meetOne(at, memory.index[m]!);
  return others;
}

/** Contacts of those rays whose balls were others than guessed. */
function meetMoved(at: Kept): number {
  finder.turnTo(at.die);
  let others = 0;
  for (let k = 0; k < at.count; k++) if (at.moved[k] === 1) others += meetOne(at, k);
  return others;
}

/** One of them; returns 1 where it lies on other balls than guessed. */
function meetOne({ rays, first, second, share, distance, normal, moved }: Kept, k: number): number {
  const a = first[k]!;
  const b = second[k]!;
  finder.find(rays[6 * k]!, rays[6 * k + 1]!, rays[6 * k + 2]!, contact, a, b);
  const other = contact.first === a && contact.second === b ? 0 : 1;
  moved[k] = other;
  first[k] = contact.first;
  second[k] = contact.second;
  share[k] = contact.share;
  distance[k] = contact.distance;
  normal[3 * k] = contact.ux;
  normal[3 * k + 1] = contact.uy;
  normal[3 * k + 2] = contact.uz;
  return other;
}

/** Places of the contacts less their radii, camera frame; radii and corners of the balls that carry them. */
function placeContacts(die: SeenDie, out: Kept): void {
  const { centres, radii, body, count } = die;
  const { corner } = body;
  const { place } = out;
  for (let k = 0; k < out.count; k++) {
    const a = out.first[k]!;
    const b = out.second[k]!;
    if (a >= count || b >= count) {
      placeOnCrown(die, k, out);
      continue;
    }
    const s = out.share[k]!;
    place[3 * k] = s * centres[3 * a]! + (1 - s) * centres[3 * b]!;
    place[3 * k + 1] = s * centres[3 * a + 1]! + (1 - s) * centres[3 * b + 1]!;
    place[3 * k + 2] = s * centres[3 * a + 2]! + (1 - s) * centres[3 * b + 2]!;
    out.radius[k] = s * radii[a]! + (1 - s) * radii[b]!;
    out.firstCorner[k] = corner[a]!;
    out.secondCorner[k] = corner[b]!;
  }
}

/** The same of a contact that a crown carries, or shares with a ball: a crown's points have no radius, and its face stands for the corner. */
function placeOnCrown(die: SeenDie, k: number, out: Kept): void {
  const { count, centres, radii, body, crowns } = die;
  const { place } = out;
  const a = out.first[k]!;
  const b = out.second[k]!;
  const s = out.share[k]!;
  const p = a < count ? centres : crowns!.points;
  const q = b < count ? centres : crowns!.points;
  const m = 3 * (a < count ? a : a - count);
  const n = 3 * (b < count ? b : b - count);
  for (let c = 0; c < 3; c++) place[3 * k + c] = s * p[m + c]! + (1 - s) * q[n + c]!;
  out.radius[k] = s * (a < count ? radii[a]! : 0) + (1 - s) * (b < count ? radii[b]! : 0);
  out.firstCorner[k] = a < count ? body.corner[a]! : -1 - crowns!.faces[crowns!.of[a - count]!]!.face;
  out.secondCorner[k] = b < count ? body.corner[b]! : -1 - crowns!.faces[crowns!.of[b - count]!]!.face;
}

function setResiduals({ count, rays, normal, place, distance, depth, perScale, scale: scales, residual }: Kept): void {
  for (let k = 0; k < count; k++) {
    const o = 6 * k;
    const p = 3 * k;
    const along = rays[o]! * place[p]! + rays[o + 1]! * place[p + 1]! + rays[o + 2]! * place[p + 2]!;
    const scale = along * (normal[p]! * rays[o + 3]! + normal[p + 1]! * rays[o + 4]! + normal[p + 2]! * rays[o + 5]!);
    const w = 1 / scale;
    depth[k] = along;
    perScale[k] = w;
    scales[k] = scale;
    residual[k] = distance[k]! * w;
  }
}

function setHeights({ cameraFromCard: { rotation: r, shift } }: FitPhoto, out: Kept): void {
  const { normal, place } = out;
  const x = shift[0];
  const y = shift[1];
  const z = shift[2];
  const zx = r[2]!;
  const zy = r[5]!;
  const zz = r[8]!;
  for (let k = 0; k < out.count; k++) {
    const radius = out.radius[k]!;
    const p = 3 * k;
    out.height[k] =
      zx * (place[p]! + radius * normal[p]! - x) +
      zy * (place[p + 1]! + radius * normal[p + 1]! - y) +
      zz * (place[p + 2]! + radius * normal[p + 2]! - z);
  }
}

/** The light beside grazed faces follows their crowns. */
function addGrazing({ crowns, distances }: DieState, { grazing }: Outline, { count, residual }: Kept): void {
  const { face, byCrown, crowns: told } = grazing!;
  const believed = new Float64Array(distances.length);
  for (const c of told) believed[c.face] = c.believed;
  for (let k = 0; k < count; k++) {
    const f = face[k]!;
    if (f >= 0) residual[k]! += byCrown[k]! * (crowns![f]! - believed[f]!);
  }
}
