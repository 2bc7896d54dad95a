import { projection, turned, turnedBack, type Camera, type Rigid } from '../geometry/camera.ts';
import type { DieSolid } from '../geometry/solid.ts';
import type { SeenDie } from '../geometry/standing.ts';
import { median } from '../maths/linear.ts';
import { mirroredLight, type Mirrored, type MirroredLight } from './mirrored-light.ts';
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
  const out: FaceLight[] = [];
  const mirroredAt = mirroredLight(crop, die, camera, cameraFromCard, tone, stage, unseen);
  const { rotation } = die.cameraFromBody;
  for (let f = 0; f < solid.labels.length; f++) {
    const n = turned(rotation, [solid.normals[3 * f]!, solid.normals[3 * f + 1]!, solid.normals[3 * f + 2]!]);
    const corners: [number, number, number][] = [];
    for (let b = 0; b < die.count; b++) {
      if (die.body.faces[3 * b] !== f && die.body.faces[3 * b + 1] !== f && die.body.faces[3 * b + 2] !== f) continue;
      corners.push([0, 1, 2].map((c) => die.centres[3 * b + c]! + die.radii[b]! * n[c]!) as [number, number, number]);
    }
    if (corners.length < 3) continue;
    const centre = [0, 1, 2].map((c) => corners.reduce((s, p) => s + p[c]!, 0) / corners.length) as [
      number,
      number,
      number,
    ];
    const cosine = -(n[0] * centre[0] + n[1] * centre[1] + n[2] * centre[2]) / Math.hypot(...centre);
    if (cosine < 0.06) continue;
    const normal = turnedBack(cameraFromCard.rotation, n);
    if (normal[2] < -0.05) continue;
    const values: number[][] = [[], [], []];
    const mirrored: MirroredLight[] = [];
    const middle = projection(camera, centre);
    for (let i = 0; i < corners.length; i++)
      for (let j = 0; j <= i; j++)
        for (const t of [0.6, 0.72]) {
          const p = [0, 1, 2].map((c) => centre[c]! + t * ((corners[i]![c]! + corners[j]![c]!) / 2 - centre[c]!)) as [
            number,
            number,
            number,
          ];
          const [u, v] = projection(camera, p);
          // A face seen so obliquely that its middle lies within a few pixels of its rim is mixed with its neighbours.
          const e = projection(
            camera,
            [0, 1, 2].map((c) => centre[c]! + ((corners[i]![c]! + corners[j]![c]!) / 2 - centre[c]!)) as [
              number,
              number,
              number,
            ],
          );
          if (Math.hypot(e[0] - u, e[1] - v) < 2.5 || Math.hypot(e[0] - middle[0], e[1] - middle[1]) < 6) continue;
          const x = Math.round(u) - crop.left;
          const y = Math.round(v) - crop.top;
          if (x < 1 || y < 1 || x >= crop.width - 1 || y >= crop.height - 1) continue;
          for (let c = 0; c < 3; c++) {
            let s = 0;
            for (let q = -1; q <= 1; q++)
              for (let w = -1; w <= 1; w++) s += crop.data[((y + q) * crop.width + x + w) * crop.channels + c]! / 9;
            values[c]!.push(tone.toLight(s) / stage[c]!);
          }
          if (i === j) mirrored.push(mirroredAt(p, n));
        }
    if (values[0]!.length < 3 || mirrored.length === 0) continue;
    const light = values.map((v) => median(v)) as [number, number, number];
    const scatter = 1.4826 * median(values[1]!.map((v) => Math.abs(v - light[1])));
    const over = (f: (m: MirroredLight) => Mirrored): Mirrored => middleOf(mirrored.map(f));
    out.push({
      cosine,
      normal,
      light,
      mirrored: { polished: over((m) => m.polished), rough: over((m) => m.rough) },
      photo,
      scatter,
    });
  }
  return out;
}

const middleOf = (list: readonly Mirrored[]): Mirrored => ({
  light: [
    median(list.map((m) => m.light[0])),
    median(list.map((m) => m.light[1])),
    median(list.map((m) => m.light[2])),
  ],
  doubt: median(list.map((m) => m.doubt)),
});
