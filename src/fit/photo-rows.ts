import type { Rigid } from '../geometry/camera.ts';
import type { SeenCrowns } from '../geometry/crown.ts';
import type { Outline } from '../geometry/outline.ts';
import { baseFace } from '../geometry/standing.ts';
import type { Balls } from '../geometry/solid.ts';
import type { Vec3 } from '../geometry/vec.ts';
import { cameraRows } from './camera-rows.ts';
import { shapeCount, type DieState, type FitPhoto } from './die-state.ts';
import { fitMemory, WIDTH } from './fit-memory.ts';
import { contactsAt, type OutlineContacts } from './outline-contacts.ts';

type Contacts = Omit<OutlineContacts, 'die' | 'perScale' | 'normal' | 'place' | 'depth'>;

/** One photo's residuals and derivatives. */
export interface PhotoRows extends Contacts {
  /** Sparse derivatives of the residual (px): `WIDTH` entries per row, the used ones first, unused ones have index -1. */
  readonly index: Int32Array;
  readonly value: Float64Array;
  /** Derivatives by the shared camera (5), the photo's focal change (1), its turn (3), shift (3), skew and stretch: CAMERA_WIDTH (`camera-rows.ts`) per row. */
  readonly camera: Float64Array | null;
}

export { WIDTH };

/** Derivatives of an outline's points, as {@link PhotoRows} holds them. */
type Slopes = Pick<PhotoRows, 'index' | 'value'>;

const newSlopes = (n: number): Slopes => ({ index: new Int32Array(n * WIDTH), value: new Float64Array(n * WIDTH) });

const NONE = newSlopes(0);

/**
 * Residuals of one photo's outline against the die where `state` puts it, with their derivatives.
 *
 * @param i           The photo's place in the set, whose stand `state` holds.
 * @param withCamera  Whether derivatives by the camera are wanted, and `withShape` those by all else; without, `index` and `value` are empty.
 */
export function photoRows(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withCamera: boolean,
  withShape = true,
): PhotoRows {
  const met = contactsAt(state, photo, i, outline);
  const slopes = withShape ? newSlopes(met.count) : NONE;
  if (withShape) setSlopes(state, photo, i, outline, met, slopes);
  const camera = withCamera ? cameraRows(photo.camera, outline, met.count, met) : null;
  return {
    count: met.count,
    residual: met.residual.slice(),
    scale: met.scale.slice(),
    index: slopes.index,
    value: slopes.value,
    camera,
    height: met.height.slice(),
    radius: met.radius.slice(),
    first: met.first.slice(),
    second: met.second.slice(),
    share: met.share.slice(),
    firstCorner: met.firstCorner.slice(),
    secondCorner: met.secondCorner.slice(),
  };
}

/** The same in room that the next call overwrites; `index` and `value` are longer than `count` asks for, and hold old numbers without `withShape`. */
export function passingRows(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  withShape: boolean,
): PhotoRows {
  const met = contactsAt(state, photo, i, outline);
  const memory = fitMemory();
  memory.holdRows(met.count);
  if (withShape) setSlopes(state, photo, i, outline, met, memory);
  return {
    count: met.count,
    residual: met.residual,
    scale: met.scale,
    index: memory.index,
    value: memory.value,
    camera: null,
    height: met.height,
    radius: met.radius,
    first: met.first,
    second: met.second,
    share: met.share,
    firstCorner: met.firstCorner,
    secondCorner: met.secondCorner,
  };
}

function addGrazingSlopes(state: DieState, { grazing }: Outline, count: number, { index, value }: Slopes): void {
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
function setSlopes(
  state: DieState,
  photo: FitPhoto,
  i: number,
  outline: Outline,
  met: OutlineContacts,
  out: Slopes,
): void {
  const { body, crowns, cameraFromBody } = met.die;
  const faces = state.distances.length;
  const base = baseFace(state.solid, photo.shot.up);
  const columns = {
    faces,
    base,
    crowns: faces + state.radii.length,
    stand: shapeCount(state) + 3 * i,
    peaked: (state.crowns?.[base] ?? 0) > 0,
  };
  fillSlopes(columns, body, crowns ?? null, cameraFromBody, photo.cameraFromCard.rotation, met, out);
  if (state.crowns && outline.grazing) addGrazingSlopes(state, outline, met.count, out);
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
  met: OutlineContacts,
  out: Slopes,
): void {
  const { index, value } = out;
  const { normal, perScale, first, second } = met;
  const { base, crowns: crownsAt, peaked, stand: standAt } = columns;
  const { count } = body;
  const { rotation: rb, shift } = cameraFromBody;
  index.fill(-1, 0, met.count * WIDTH);
  for (let k = 0; k < met.count; k++) {
    const s = met.share[k]!;
    let o = k * WIDTH;
    for (let end = 0; end < 2; end++) {
      const ball = end === 0 ? first[k]! : second[k]!;
      const share = end === 0 ? s : 1 - s;
      if (share === 0) continue;
      if (ball < count) o = setBallSlopes(body, rb, ball, share, columns.faces, k, o, met, out);
      else o = setCrownSlopes(peaks!, ball - count, share, crownsAt, k, o, met, out);
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
    value[o] = yawSlope(shift, rc, k, met) * w;
  }
}

/** Change of the distance by the stand's yaw: it turns about the card's upward axis through the body's origin. */
function yawSlope(shift: Vec3, rc: Float64Array, k: number, { normal, place }: OutlineContacts): number {
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
  { normal, perScale }: OutlineContacts,
  { index, value }: Slopes,
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
  { normal: u, perScale }: OutlineContacts,
  { index, value }: Slopes,
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
