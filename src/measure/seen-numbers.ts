import { moved, projection, turned, type Rigid } from '../geometry/camera.ts';
import type { Numbering } from '../geometry/numbering.ts';
import type { DieKind, DieSolid } from '../geometry/solid.ts';
import type { Shot } from '../geometry/standing.ts';
import type { vec3At } from '../geometry/vec.ts';
import { dot, minus, scaled } from '../geometry/vec.ts';
import { coarseDie } from '../faces/die-pose.ts';
import { faceFrames } from '../faces/face-frame.ts';
import type { FacePicture } from '../faces/face-picture.ts';
import { frontSlot, slotNormals, upSlot } from '../faces/front.ts';
import type { PhotoNumbers } from '../faces/photo-numbers.ts';
import type { NumbersFrom } from '../formats/result.ts';
import type { Calibration } from '../vision/calibration.ts';
import type { Crop } from '../vision/picture.ts';
import { SRGB } from '../vision/tone.ts';
import type { Added } from './look.ts';
import type { NumbersTable } from './measure.ts';

/** A small picture to look at: red, green, blue, alpha, rows from the top. */
export interface SeenPicture {
  readonly width: number;
  readonly height: number;
  readonly rgba: Uint8ClampedArray;
}

/** A face of the die as one photo shows it. */
export interface SeenFace {
  /** Its place in the solid's order as the coarse pose has it. */
  readonly slot: number;
  /** Its number where known. */
  readonly label: string | null;
  /** Corners in the die's picture, [x0, y0, x1, y1, ...] px. */
  readonly outline: readonly number[];
  /** Looked at straight on; the top of its number points wherever it does. */
  readonly picture: SeenPicture;
  /** How far the picture is to be turned so that it stands as in the photo, degrees clockwise. */
  readonly turn: number;
}

/** What a photo tells of its numbers, with pictures to look at. */
export interface SeenPhoto {
  readonly photo: string;
  readonly up: string | null;
  readonly front: string | null;
  readonly from: NumbersFrom | null;
  readonly chance: number | null;
  /** What was given, where the faces contradict it. */
  readonly contradicted: Shot | null;
  /** Slots of the faces that the photo is named by; that on which a d4 stands is not in sight. */
  readonly slots: { readonly up: number; readonly front: number };
  /** The photo around the die. */
  readonly die: SeenPicture;
  /** Faces in sight, the straightest first. */
  readonly faces: readonly SeenFace[];
}

/** What the photos tell of a die before anything is measured. */
export interface SeenNumbers {
  readonly kind: DieKind;
  readonly kindFrom: 'given' | 'told';
  /** Null where it is the usual one. */
  readonly numbering: Numbering | null;
  /** Whether a d10 is printed in tens: what is called 8 shows 80. */
  readonly tens: boolean;
  readonly photos: readonly SeenPhoto[];
}

/** Longest side of the picture of a die, px. */
export const DIE_PICTURE = 320;

/** What was found of the numbers, made ready to be looked at. */
export function seenNumbers({ set, used, calibration }: NumbersTable): SeenNumbers {
  const { kind, kindFrom, numbering, tens, solid } = set;
  const photos = set.photos.map((p, i) => seenPhoto(solid, p, used[i]!, calibration, i));
  return { kind, kindFrom, numbering, tens, photos };
}

function seenPhoto(solid: DieSolid, p: PhotoNumbers, a: Added, found: Calibration, i: number): SeenPhoto {
  const { photo, up, front, from, chance, contradicted } = p;
  const { crop } = a.survey;
  const view = { camera: found.cameras[i]!, cameraFromCard: found.cameraFromCard[i]! };
  const die = coarseDie(solid, view, crop, p.pose, i);
  const size = die.distances[0]!;
  const outline = (slot: number): number[] =>
    around(solid, slot).flatMap((v) => [...projection(die.camera, moved(die.cameraFromBody, scaled(v, size)))]);
  const slots = p.faces.map(({ picture }) => picture.face);
  const window = windowOf(slots.map(outline), crop);
  const normals = slotNormals(solid, p.pose);
  return {
    ...{ photo, up, front, from, chance, contradicted },
    slots: { up: upSlot(solid, normals), front: frontSlot(solid, normals) },
    die: windowed(crop, window),
    faces: p.faces.map(({ label, picture }) => ({
      slot: picture.face,
      label,
      outline: outline(picture.face).map((v, k) => (v + 0.5 - (k % 2 === 0 ? window.left : window.top)) / window.step),
      picture: straightened(picture),
      turn: turnInPhoto(solid, die.cameraFromBody, picture.face),
    })),
  };
}

/** Corners of a face of the true die of inradius 1, counter-clockwise from outside. */
function around(solid: DieSolid, slot: number) {
  const { middle, right, up } = faceFrames(solid)[slot]!;
  const angle = (v: ReturnType<typeof vec3At>): number =>
    Math.atan2(dot(minus(v, middle), up), dot(minus(v, middle), right));
  return solid.corners
    .filter((c) => c.faces.includes(slot))
    .map((c) => c.vertex)
    .sort((a, b) => angle(a) - angle(b));
}

/** Where the top of a face's straightened picture points in the photo, degrees clockwise from its top. */
export function turnInPhoto(solid: DieSolid, { rotation }: Rigid, slot: number): number {
  // Right and down in the photo, the turn alone: what a slant squeezes does not count.
  const { up, right } = faceFrames(solid)[slot]!;
  const [u, r] = [turned(rotation, up), turned(rotation, right)];
  return (Math.atan2(u[0] + r[1], r[0] - u[1]) * 180) / Math.PI;
}

/** A window of a photo, in its pixels, and how many of them make one pixel of the picture. */
interface PhotoWindow {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly step: number;
}

/** Around all outlines with a margin, inside the crop. */
function windowOf(outlines: readonly (readonly number[])[], crop: Crop): PhotoWindow {
  const xs = outlines.flatMap((o) => o.filter((_, k) => k % 2 === 0));
  const ys = outlines.flatMap((o) => o.filter((_, k) => k % 2 === 1));
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const margin = 0.08 * Math.max(x1 - x0, y1 - y0);
  const left = Math.max(crop.left, Math.floor(x0 - margin));
  const top = Math.max(crop.top, Math.floor(y0 - margin));
  const width = Math.max(1, Math.min(crop.left + crop.width, Math.ceil(x1 + margin)) - left);
  const height = Math.max(1, Math.min(crop.top + crop.height, Math.ceil(y1 + margin)) - top);
  return { left, top, width, height, step: Math.max(1, Math.max(width, height) / DIE_PICTURE) };
}

/** The window made small, each pixel the mean of those that fall on it. */
function windowed(crop: Crop, { left, top, width, height, step }: PhotoWindow): SeenPicture {
  const [w, h] = [Math.max(1, Math.floor(width / step)), Math.max(1, Math.floor(height / step))];
  const rgba = new Uint8ClampedArray(4 * w * h);
  for (let j = 0; j < h; j++)
    for (let i = 0; i < w; i++) {
      const sum = [0, 0, 0];
      let n = 0;
      for (let y = Math.floor(j * step); y < Math.max(Math.floor(j * step) + 1, Math.floor((j + 1) * step)); y++)
        for (
          let x = Math.floor(i * step);
          x < Math.max(Math.floor(i * step) + 1, Math.floor((i + 1) * step));
          x++, n++
        ) {
          const k = ((top - crop.top + y) * crop.width + left - crop.left + x) * crop.channels;
          for (let c = 0; c < 3; c++) sum[c]! += crop.data[k + c]!;
        }
      for (let c = 0; c < 3; c++) rgba[4 * (j * w + i) + c] = sum[c]! / n;
      rgba[4 * (j * w + i) + 3] = 255;
    }
  return { width: w, height: h, rgba };
}

/** A straightened face to look at: outside the face it is clear. */
export function straightened({ light, mask, size }: FacePicture): SeenPicture {
  const rgba = new Uint8ClampedArray(4 * size * size);
  for (let k = 0; k < size * size; k++) {
    for (let c = 0; c < 3; c++) rgba[4 * k + c] = SRGB.toDisplay(light[3 * k + c]!);
    rgba[4 * k + 3] = mask[k] ? 255 : 0;
  }
  return { width: size, height: size, rgba };
}
