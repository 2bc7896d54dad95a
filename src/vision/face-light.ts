import { hypot2 } from '../maths/hypot.ts';
import { projection, turned, turnedBack, type Camera, type Rigid } from '../geometry/camera.ts';
import type { DieSolid } from '../geometry/solid.ts';
import type { SeenDie } from '../geometry/standing.ts';
import { byAxis, dot, norm, vec3At, type Vec3 } from '../geometry/vec.ts';
import { median } from '../maths/linear.ts';
import { MirroredLights, type Mirrored, type MirroredLight } from './mirrored-light.ts';
import type { Crop } from './picture.ts';
import type { ToneCurve } from './tone.ts';

/** Light of one face in one photo. */
export interface FaceLight {
  /** Cosine of the viewing ray's incidence. */
  readonly cosine: number;
  /** Outward normal, card frame. */
  readonly normal: readonly [number, number, number];
  /** Light per channel over the stage's. */
  readonly light: readonly [number, number, number];
  /** What it mirrors, over its samples. */
  readonly mirrored: MirroredLight;
  readonly photo: number;
  readonly scatter: number;
}

/**
 * Light of the visible faces of a die in a photo, off their numbers; the stage's light is 1.
 *
 * @param unseen  Light, over the stage's, of what the picture does not show of a die's surroundings.
 */
export function faceLights(
  crop: Crop,
  die: SeenDie,
  solid: DieSolid,
  camera: Camera,
  cameraFromCard: Rigid,
  tone: ToneCurve,
  stage: readonly number[],
  unseen: number,
  photo: number,
): FaceLight[] {
  const mirroredLights = new MirroredLights(crop, die, camera, cameraFromCard, tone, stage, unseen);
  const out: FaceLight[] = [];
  for (let f = 0; f < solid.labels.length; f++) {
    const land = landSeen(die, solid, f);
    const light = land && landLight(crop, land, camera, cameraFromCard, tone, stage, mirroredLights, photo);
    if (light) out.push(light);
  }
  return out;
}

/** Light of one land; null where it is seen too flatly, looks down, or shows too little of itself. */
function landLight(
  crop: Crop,
  land: Land,
  camera: Camera,
  cameraFromCard: Rigid,
  tone: ToneCurve,
  stage: readonly number[],
  mirroredLights: MirroredLights,
  photo: number,
): FaceLight | null {
  const { cosine, n } = land;
  if (cosine < 0.06) return null;
  const normal = turnedBack(cameraFromCard.rotation, n);
  if (normal[2] < -0.05) return null;
  const values: number[][] = [[], [], []];
  const mirrored: MirroredLight[] = [];
  for (const { point, place, corner } of placesOn(land, camera)) {
    const colour = meanColour(crop, place);
    if (colour === null) continue;
    for (let c = 0; c < 3; c++) values[c]!.push(tone.toLight(colour[c]!) / stage[c]!);
    if (corner) mirrored.push(mirroredLights.at(point, n));
  }
  if (values[0]!.length < 3 || mirrored.length === 0) return null;
  const light: Vec3 = [median(values[0]!), median(values[1]!), median(values[2]!)];
  return {
    cosine,
    normal,
    light,
    mirrored: { polished: middleOf(mirrored, 'polished'), rough: middleOf(mirrored, 'rough') },
    photo,
    scatter: 1.4826 * medianFrom(values[1]!, light[1]),
  };
}

/** A face's land, camera frame, mm. */
interface Land {
  /** Outward normal. */
  readonly n: Vec3;
  readonly corners: readonly Vec3[];
  readonly centre: Vec3;
  /** Cosine of the viewing ray's incidence in its middle. */
  readonly cosine: number;
}

/** The land of a face as the camera sees it; null where it has none. */
function landSeen(die: SeenDie, solid: DieSolid, f: number): Land | null {
  const n = turned(die.cameraFromBody.rotation, vec3At(solid.normals, f));
  const corners: Vec3[] = [];
  for (let b = 0; b < die.count; b++) {
    if (die.body.faces[3 * b] !== f && die.body.faces[3 * b + 1] !== f && die.body.faces[3 * b + 2] !== f) continue;
    corners.push(byAxis((c) => die.centres[3 * b + c]! + die.radii[b]! * n[c]));
  }
  if (corners.length < 3) return null;
  const centre = byAxis((c) => corners.reduce((s, p) => s + p[c], 0) / corners.length);
  return { n, corners, centre, cosine: -dot(n, centre) / norm(centre) };
}

/** Shares of the way from a land's middle to its rim at which its light is looked at: beyond most numbers, off the edge's blur. */
const OUT = [0.6, 0.72] as const;

/** From a land's centre to the middle of two corners, and the place so many times as far. */
const between = (p: Vec3, q: Vec3, c: Vec3): Vec3 => [
  (p[0] + q[0]) / 2 - c[0],
  (p[1] + q[1]) / 2 - c[1],
  (p[2] + q[2]) / 2 - c[2],
];
const beyond = (c: Vec3, t: number, out: Vec3): Vec3 => [c[0] + t * out[0], c[1] + t * out[1], c[2] + t * out[2]];

/** Places of a land whose light is its own: towards its corners, which `corner` marks, and between any two of them. */
function* placesOn(
  { corners, centre }: Land,
  camera: Camera,
): Generator<{ readonly point: Vec3; readonly place: readonly [number, number]; readonly corner: boolean }> {
  const middle = projection(camera, centre);
  for (let i = 0; i < corners.length; i++)
    for (let j = 0; j <= i; j++) {
      const out = between(corners[i]!, corners[j]!, centre);
      const rim = projection(camera, beyond(centre, 1, out));
      for (const t of OUT) {
        const point = beyond(centre, t, out);
        const [u, v] = projection(camera, point);
        // A face seen so obliquely that its middle lies within a few pixels of its rim is mixed with its neighbours.
        if (hypot2(rim[0] - u, rim[1] - v) < 2.5 || hypot2(rim[0] - middle[0], rim[1] - middle[1]) < 6) continue;
        yield { point, place: [u, v], corner: i === j };
      }
    }
}

/** Mean display value per channel of the 3 x 3 pixels about a place, px; null where the crop does not hold them. */
function meanColour(crop: Crop, [u, v]: readonly [number, number]): Vec3 | null {
  const x = Math.round(u) - crop.left;
  const y = Math.round(v) - crop.top;
  if (x < 1 || y < 1 || x >= crop.width - 1 || y >= crop.height - 1) return null;
  return byAxis((c) => {
    let s = 0;
    for (let q = -1; q <= 1; q++)
      for (let w = -1; w <= 1; w++) s += crop.data[((y + q) * crop.width + x + w) * crop.channels + c]! / 9;
    return s;
  });
}

/** Median distance from a value. */
function medianFrom(values: readonly number[], from: number): number {
  const apart = new Float64Array(values.length);
  for (let k = 0; k < values.length; k++) apart[k] = Math.abs(values[k]! - from);
  return median(apart);
}

/** The middle of what places mirror, of each number. */
function middleOf(list: readonly MirroredLight[], kind: keyof MirroredLight): Mirrored {
  const n = list.length;
  const numbers = new Float64Array(4 * n);
  for (let k = 0; k < n; k++) {
    const { light, doubt } = list[k]![kind];
    for (let c = 0; c < 3; c++) numbers[c * n + k] = light[c]!;
    numbers[3 * n + k] = doubt;
  }
  const middle = (c: number): number => median(numbers.subarray(c * n, (c + 1) * n));
  return { light: [middle(0), middle(1), middle(2)], doubt: middle(3) };
}
