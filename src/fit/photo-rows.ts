import { viewingRay, type Camera, type Rigid } from '../geometry/camera.ts';
import type { SeenCrowns } from '../geometry/crown.ts';
import { ContactFinder, newContact } from '../geometry/hull.ts';
import type { Outline } from '../geometry/outline.ts';
import { baseFace, type SeenDie } from '../geometry/standing.ts';
import type { Balls } from '../geometry/solid.ts';
import type { Vec3 } from '../geometry/vec.ts';
import { cameraRows } from './camera-rows.ts';
import { seenIn, shapeCount, type DieState, type FitPhoto } from './die-state.ts';

/** One photo's residuals and derivatives. */
export interface PhotoRows {
  readonly count: number;
  /** Measured edge minus model along the outward normal, px. */
  readonly residual: Float64Array;
  /** mm per px along the normal, at the contact. */
  readonly scale: Float64Array;
  /** Sparse derivatives of the residual (px): `WIDTH` entries per row, the used ones first, unused ones have index -1. */
  readonly index: Int32Array;
  readonly value: Float64Array;
  /** Derivatives by the shared camera (5), the photo's focal change (1), its turn (3), shift (3), skew and stretch: CAMERA_WIDTH (`camera-rows.ts`) per row. */
  readonly camera: Float64Array | null;
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

/** 2 balls x (3 faces + 1 corner) or a face and its crown for a cap, base face and its crown, x, y, yaw, and the grazed face's crown. */
export const WIDTH = 14;

/** Per point of an outline: unit viewing ray, the change of the ray over one px along the normal, and the balls last met. */
interface Rays {
  readonly camera: Camera;
  readonly data: Float64Array;
  readonly first: Int32Array;
  readonly second: Int32Array;
}

const raysCache = new WeakMap<Outline, Rays>();

function raysOf(camera: Camera, outline: Outline): Rays {
  const known = raysCache.get(outline);
  if (known?.camera === camera) return known;
  const n = outline.sigma.length;
  const data = new Float64Array(6 * n);
  for (let k = 0; k < n; k++) {
    const u = outline.xy[2 * k]!;
    const v = outline.xy[2 * k + 1]!;
    const nu = outline.normal[2 * k]! / 2;
    const nv = outline.normal[2 * k + 1]! / 2;
    const d = viewingRay(camera, u, v);
    const e = viewingRay(camera, u + nu, v + nv);
    const f = viewingRay(camera, u - nu, v - nv);
    for (let c = 0; c < 3; c++) {
      data[6 * k + c] = d[c]!;
      data[6 * k + 3 + c] = e[c]! - f[c]!;
    }
  }
  const rays = { camera, data, first: new Int32Array(n).fill(-1), second: new Int32Array(n).fill(-1) };
  raysCache.set(outline, rays);
  return rays;
}

/** Rows for `n` points; those of derivatives by shape are empty unless asked for. */
const newPhotoRows = (n: number, withShape: boolean) => ({
  count: n,
  residual: new Float64Array(n),
  scale: new Float64Array(n),
  index: new Int32Array(withShape ? n * WIDTH : 0),
  value: new Float64Array(withShape ? n * WIDTH : 0),
  camera: null as Float64Array | null,
  height: new Float64Array(n),
  radius: new Float64Array(n),
  first: new Int32Array(n),
  second: new Int32Array(n),
  share: new Float64Array(n),
  firstCorner: new Int32Array(n),
  secondCorner: new Int32Array(n),
});
type Rows = ReturnType<typeof newPhotoRows>;

/** Of each point while rows are made: the solid's normal at the contact, the contact's place less its radius, its distance, and 1 / scale. */
const newWork = (n: number) => ({
  normal: new Float64Array(3 * n),
  place: new Float64Array(3 * n),
  distance: new Float64Array(n),
  depth: new Float64Array(n),
  perScale: new Float64Array(n),
});
type Work = ReturnType<typeof newWork>;

/** Room that is kept from call to call, for more points than most outlines have. */
const USUAL = 1024;
let work = newWork(USUAL);
let room = newPhotoRows(USUAL, true);
const contact = newContact();
const finder = new ContactFinder({ count: 0, centres: new Float64Array(0), radii: new Float64Array(0) });

/**
 * Residuals of one photo's outline against the die where `state` puts it, with their derivatives.
 *
 * @param i           The photo's place in the set, whose stand `state` holds.
 * @param withCamera  Whether derivatives by the camera are wanted, and `withShape` those by all else; without, `index` and `value` are empty.
 */
export const photoRows = (
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withCamera: boolean,
  withShape = true,
): PhotoRows => filled(newPhotoRows(outline.sigma.length, withShape), state, photo, i, outline, withCamera, withShape);

/** The same in room that the next call overwrites: its arrays are longer than `count`, and `index` and `value` hold old numbers without `withShape`. */
export function passingRows(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withShape: boolean,
): PhotoRows {
  const n = outline.sigma.length;
  if (room.residual.length < n) room = newPhotoRows(2 * n, true);
  room.count = n;
  return filled(room, state, photo, i, outline, false, withShape);
}

function filled(
  out: Rows,
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withCamera: boolean,
  withShape: boolean,
): PhotoRows {
  if (work.depth.length < out.count) work = newWork(2 * out.count);
  const die = seenIn(state, photo, i);
  const rays = raysOf(photo.camera, outline);
  finder.turnTo(die);
  meet(rays, out, work);
  placeContacts(die, out, work);
  setResiduals(rays.data, out, work);
  setHeights(photo, out, work);
  const grazed = state.crowns !== undefined && outline.grazing !== undefined;
  if (grazed) addGrazing(state, outline, out);
  if (withShape) {
    setSlopes(state, photo, i, die, out, work);
    if (grazed) addGrazingSlopes(state, outline, out);
  }
  if (withCamera) out.camera = cameraRows(photo.camera, outline, out.count, work);
  return out;
}

// The loops below are apart, and each is short, because they are hot and run by the million: what is one long function is compiled anew,
// at great cost, whenever one of its parts sees something new.

/** Contacts of all rays; the balls met before are guessed to be met again. */
function meet({ data, first, second }: Rays, out: Rows, { normal, distance }: Work): void {
  for (let k = 0; k < out.count; k++) {
    finder.find(data[6 * k]!, data[6 * k + 1]!, data[6 * k + 2]!, contact, first[k]!, second[k]!);
    out.first[k] = first[k] = contact.first;
    out.second[k] = second[k] = contact.second;
    out.share[k] = contact.share;
    distance[k] = contact.distance;
    normal[3 * k] = contact.ux;
    normal[3 * k + 1] = contact.uy;
    normal[3 * k + 2] = contact.uz;
  }
}

/** Places of the contacts less their radii, camera frame; radii and corners of the balls that carry them. */
function placeContacts(die: SeenDie, out: Rows, work: Work): void {
  const { centres, radii, body, count } = die;
  const { corner } = body;
  const { place } = work;
  for (let k = 0; k < out.count; k++) {
    const a = out.first[k]!;
    const b = out.second[k]!;
    if (a >= count || b >= count) {
      placeOnCrown(die, k, out, work);
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
function placeOnCrown(die: SeenDie, k: number, out: Rows, { place }: Work): void {
  const { count, centres, radii, body, crowns } = die;
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

function setResiduals(rays: Float64Array, out: Rows, { normal, place, distance, depth, perScale }: Work): void {
  for (let k = 0; k < out.count; k++) {
    const o = 6 * k;
    const p = 3 * k;
    const along = rays[o]! * place[p]! + rays[o + 1]! * place[p + 1]! + rays[o + 2]! * place[p + 2]!;
    const scale = along * (normal[p]! * rays[o + 3]! + normal[p + 1]! * rays[o + 4]! + normal[p + 2]! * rays[o + 5]!);
    const w = 1 / scale;
    depth[k] = along;
    perScale[k] = w;
    out.scale[k] = scale;
    out.residual[k] = distance[k]! * w;
  }
}

function setHeights({ cameraFromCard: { rotation: r, shift } }: FitPhoto, out: Rows, { normal, place }: Work): void {
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
function addGrazing({ crowns, distances }: DieState, { grazing }: Outline, { count, residual }: Rows): void {
  const { face, byCrown, crowns: told } = grazing!;
  const believed = new Float64Array(distances.length);
  for (const c of told) believed[c.face] = c.believed;
  for (let k = 0; k < count; k++) {
    const f = face[k]!;
    if (f >= 0) residual[k]! += byCrown[k]! * (crowns![f]! - believed[f]!);
  }
}

function addGrazingSlopes(state: DieState, { grazing }: Outline, { count, index, value }: Rows): void {
  const { face, byCrown } = grazing!;
  const crownsAt = state.distances.length + state.radii.length;
  for (let k = 0; k < count; k++) {
    if (face[k]! < 0) continue;
    let o = k * WIDTH;
    while (index[o]! >= 0) o++;
    index[o] = crownsAt + face[k]!;
    value[o] = byCrown[k]!;
  }
}

/** Derivatives by distances, radii, crowns and the photo's stand. */
function setSlopes(state: DieState, photo: FitPhoto, i: number, die: SeenDie, out: Rows, work: Work): void {
  const faces = state.distances.length;
  const base = baseFace(state.solid, photo.shot.up);
  const columns = {
    ...{ faces, base, crowns: faces + state.radii.length, stand: shapeCount(state) + 3 * i },
    peaked: (state.crowns?.[base] ?? 0) > 0,
  };
  fillSlopes(columns, die.body, die.crowns ?? null, die.cameraFromBody, photo.cameraFromCard.rotation, out, work);
}

/** Where parameters stand: radii from the count of faces on, crowns, the photo's stand, the face it stands on and whether that is crowned. */
interface Columns {
  readonly faces: number;
  readonly base: number;
  readonly crowns: number;
  readonly stand: number;
  readonly peaked: boolean;
}

/** Takes no states and dice, which are of several forms. */
function fillSlopes(
  columns: Columns,
  body: Balls,
  peaks: SeenCrowns | null,
  cameraFromBody: Rigid,
  rc: Float64Array,
  out: Rows,
  work: Work,
): void {
  const { index, value } = out;
  const { normal, perScale } = work;
  const { base, crowns: crownsAt, peaked, stand: standAt } = columns;
  const { count } = body;
  const { rotation: rb, shift } = cameraFromBody;
  index.fill(-1, 0, out.count * WIDTH);
  for (let k = 0; k < out.count; k++) {
    const s = out.share[k]!;
    let o = k * WIDTH;
    for (let end = 0; end < 2; end++) {
      const ball = end === 0 ? out.first[k]! : out.second[k]!;
      const share = end === 0 ? s : 1 - s;
      if (share === 0) continue;
      if (ball < count) o = setBallSlopes(body, rb, ball, share, columns.faces, k, o, out, work);
      else o = setCrownSlopes(peaks!, ball - count, share, crownsAt, k, o, out, work);
    }
    const w = perScale[k]!;
    const ux = normal[3 * k]!;
    const uy = normal[3 * k + 1]!;
    const uz = normal[3 * k + 2]!;
    const up = -(ux * rc[2]! + uy * rc[5]! + uz * rc[8]!) * w;
    index[o] = base;
    value[o++] = up;
    if (peaked) {
      index[o] = crownsAt + base;
      value[o++] = up;
    }
    index[o] = standAt;
    value[o++] = -(ux * rc[0]! + uy * rc[3]! + uz * rc[6]!) * w;
    index[o] = standAt + 1;
    value[o++] = -(ux * rc[1]! + uy * rc[4]! + uz * rc[7]!) * w;
    index[o] = standAt + 2;
    value[o] = yawSlope(shift, rc, k, work) * w;
  }
}

/** Change of the distance by the stand's yaw: it turns about the card's upward axis through the body's origin. */
function yawSlope(shift: Vec3, rc: Float64Array, k: number, { normal, place }: Work): number {
  const x = place[3 * k]! - shift[0];
  const y = place[3 * k + 1]! - shift[1];
  const z = place[3 * k + 2]! - shift[2];
  return -(
    normal[3 * k]! * (rc[5]! * z - rc[8]! * y) +
    normal[3 * k + 1]! * (rc[8]! * x - rc[2]! * z) +
    normal[3 * k + 2]! * (rc[2]! * y - rc[5]! * x)
  );
}

/** Derivatives by the three faces and the corner of a ball that carries `share` of a contact; returns where the next go. */
function setBallSlopes(
  { faces: ballFaces, inverse, corner }: Balls,
  rb: Float64Array,
  ball: number,
  share: number,
  faces: number,
  k: number,
  from: number,
  { index, value }: Rows,
  { normal, perScale }: Work,
): number {
  const w = perScale[k]!;
  const ux = normal[3 * k]!;
  const uy = normal[3 * k + 1]!;
  const uz = normal[3 * k + 2]!;
  const bx = rb[0]! * ux + rb[3]! * uy + rb[6]! * uz;
  const by = rb[1]! * ux + rb[4]! * uy + rb[7]! * uz;
  const bz = rb[2]! * ux + rb[5]! * uy + rb[8]! * uz;
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    const m = 9 * ball + c;
    const g = bx * inverse[m]! + by * inverse[m + 3]! + bz * inverse[m + 6]!;
    sum += g;
    index[from + c] = ballFaces[3 * ball + c]!;
    value[from + c] = -share * g * w;
  }
  index[from + 3] = faces + corner[ball]!;
  value[from + 3] = -share * (1 - sum) * w;
  return from + 4;
}

/** The same of a crown's point: by its face and its crown. */
function setCrownSlopes(
  crowns: SeenCrowns,
  point: number,
  share: number,
  crownsAt: number,
  k: number,
  from: number,
  { index, value }: Rows,
  { normal: u, perScale }: Work,
): number {
  const w = perScale[k]!;
  const { face, normal } = crowns.faces[crowns.of[point]!]!;
  const facing = normal[0] * u[3 * k]! + normal[1] * u[3 * k + 1]! + normal[2] * u[3 * k + 2]!;
  index[from] = face;
  value[from] = -share * facing * w;
  index[from + 1] = crownsAt + face;
  value[from + 1] = -share * facing * crowns.share[point]! * w;
  return from + 2;
}
