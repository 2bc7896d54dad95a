import { moved, projection, turned, type Camera, type Rigid } from '../geometry/camera.ts';
import { convexHull } from '../geometry/outline.ts';
import { contains } from '../geometry/polygon.ts';
import type { Balls, DieSolid } from '../geometry/solid.ts';
import { dot, minus, norm, scaled, vec3At, type Vec3 } from '../geometry/vec.ts';
import type { Crop } from '../vision/picture.ts';
import { faceFrames, type FaceFrame } from './face-frame.ts';
import { sampledLight } from './sampled-light.ts';

/** Sides of a straightened picture, px; the face's farthest corner lies on the circle inside it. */
export const FACE_SIZE = 96;
/** Cosine of slant below which a face is not looked at: it is a streak of a few pixels. */
export const LEAST_SLANT = 0.12;
/** Samples along each side of a straightened pixel. */
const SAMPLES = 2;

/**
 * One face as seen from straight outside: right and down are x and y, up and right being those of the face's {@link FaceFrame}.
 *
 * Turned by k = 1 means turned 360/n degrees counter-clockwise as drawn, n being `FACE_TURNS` of the kind.
 */
export interface FacePicture {
  /** Index in the solid's order of faces; names no number. */
  readonly face: number;
  /** Index of the photo in its set. */
  readonly photo: number;
  /** Pixels per side. */
  readonly size: number;
  readonly umPerPx: number;
  /** Linear light per channel, 0 to 1 (sRGB's curve undone), rows from the top. */
  readonly light: Float32Array;
  /** 1 where the pixel shows the face's flat land. */
  readonly mask: Uint8Array;
  /** Cosine of the angle between normal and viewing ray at the middle. */
  readonly slant: number;
  /** Pixels of the photo that one straightened pixel covers, the least and the most of the two directions; below 1 it is enlarged. */
  readonly photoPx: readonly [number, number];
}

/** A die as one photo shows it. */
export interface DieInPhoto {
  readonly crop: Crop;
  readonly camera: Camera;
  readonly cameraFromBody: Rigid;
  readonly solid: DieSolid;
  /** The rounded body; its faces' lands are what is looked at. mm. */
  readonly body: Balls;
  /** Face distances, mm. */
  readonly distances: ArrayLike<number>;
  readonly photo: number;
}

/** The faces in sight, straightened; those turned away or too slanted are left out. */
export function facePictures(
  die: DieInPhoto,
  size: number = FACE_SIZE,
  leastSlant: number = LEAST_SLANT,
): FacePicture[] {
  const pictures: FacePicture[] = [];
  for (let face = 0; face < die.solid.labels.length; face++) {
    const picture = facePicture(die, face, size, leastSlant);
    if (picture) pictures.push(picture);
  }
  return pictures;
}

/** One face, straightened; null where it is turned away, slanted too far, or has no land. */
export function facePicture(
  die: DieInPhoto,
  face: number,
  size: number = FACE_SIZE,
  leastSlant: number = LEAST_SLANT,
  samples: number = SAMPLES,
): FacePicture | null {
  const { camera, cameraFromBody, distances, photo } = die;
  const frame = faceFrames(die.solid)[face]!;
  const distance = distances[face]!;
  let sum = 0;
  for (let f = 0; f < distances.length; f++) sum += distances[f]!;
  const mean = sum / distances.length;
  const [x, y, z] = frame.middle;
  const foot = scaled(frame.normal, distance - mean);
  const middle: Vec3 = [mean * x + foot[0], mean * y + foot[1], mean * z + foot[2]];
  const centre = moved(cameraFromBody, middle);
  const n = turned(cameraFromBody.rotation, frame.normal);
  const slant = -dot(n, centre) / norm(centre);
  if (!(slant >= leastSlant)) return null;
  const mmPerPx = (2 * mean * frame.reach) / size;
  const right = scaled(turned(cameraFromBody.rotation, frame.right), mmPerPx);
  const down = scaled(turned(cameraFromBody.rotation, frame.up), -mmPerPx);
  const mask = landMask(die.body, frame, middle, size, mmPerPx);
  if (!mask) return null;
  const light = sampledLight(die.crop, camera, [centre, right, down], mask, size, samples);
  return (
    light && {
      face,
      photo,
      size,
      umPerPx: 1000 * mmPerPx,
      light,
      mask,
      slant,
      photoPx: spread(camera, centre, right, down),
    }
  );
}

/** Lengths in the photo of a straightened pixel's two sides' ellipse, px: least and most. */
function spread(camera: Camera, c: Vec3, right: Vec3, down: Vec3): readonly [number, number] {
  const o = projection(camera, c);
  const r = projection(camera, [c[0] + right[0], c[1] + right[1], c[2] + right[2]]);
  const d = projection(camera, [c[0] + down[0], c[1] + down[1], c[2] + down[2]]);
  const [a, b, e, f] = [r[0] - o[0], r[1] - o[1], d[0] - o[0], d[1] - o[1]];
  // Singular values of the 2 x 2 map.
  const half = (a * a + b * b + e * e + f * f) / 2;
  const area = a * f - b * e;
  const root = Math.sqrt(Math.max(0, half * half - area * area));
  return [Math.sqrt(Math.max(0, half - root)), Math.sqrt(half + root)];
}

/** Outline of a face's flat land in its picture, px as [x, y] per point. Where corners are split, a face touches more balls than it has corners. */
function land(body: Balls, frame: FaceFrame, middle: Vec3, size: number, mmPerPx: number): number[] {
  const half = (size - 1) / 2;
  const points: number[] = [];
  for (let b = 0; b < body.count; b++) {
    // Where more than three faces meet, a ball names three of those it touches.
    if (!frame.corners.includes(body.corner[b]!)) continue;
    const v = minus(vec3At(body.centres, b), middle);
    points.push(half + dot(v, frame.right) / mmPerPx, half - dot(v, frame.up) / mmPerPx);
  }
  return points.length < 6 ? [] : convexHull(points);
}

function landMask(body: Balls, frame: FaceFrame, middle: Vec3, size: number, mmPerPx: number): Uint8Array | null {
  const hull = land(body, frame, middle, size, mmPerPx);
  if (hull.length < 6) return null;
  const mask = new Uint8Array(size * size);
  const run: [number, number] = [0, 0];
  for (let y = 0; y < size; y++) {
    // A convex land's row is one run: only what lies about its ends is asked.
    spanInto(run, hull, y);
    let from = Math.max(0, Math.floor(run[0]) - 1);
    let to = Math.min(size - 1, Math.ceil(run[1]) + 1);
    while (from <= to && !contains(hull, from, y)) from++;
    while (to > from && !contains(hull, to, y)) to--;
    if (from <= to) mask.fill(1, y * size + from, y * size + to + 1);
  }
  return mask;
}

/** What is added to a row's height either way, px: a row that touches a corner counts as crossing. */
const SLACK = 1e-6;

/** From where to where a row crosses an outline; from Infinity to -Infinity where it does not. */
function spanInto(out: [number, number], hull: readonly number[], y: number): void {
  out[0] = Infinity;
  out[1] = -Infinity;
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const [px, py, qx, qy] = [hull[i]!, hull[i + 1]!, hull[j]!, hull[j + 1]!];
    if (y < Math.min(py, qy) - SLACK || y > Math.max(py, qy) + SLACK) continue;
    const level = Math.abs(qy - py) < SLACK;
    const t = Math.min(1, Math.max(0, (y - py) / (qy - py)));
    const [a, b] = level ? [px, qx] : [px + t * (qx - px), px + t * (qx - px)];
    out[0] = Math.min(out[0], a, b);
    out[1] = Math.max(out[1], a, b);
  }
}

/** The picture turned `turn` times 360/turns degrees counter-clockwise as drawn; nearest pixels. */
export function turnedPicture(p: FacePicture, turns: number, turn: number): FacePicture {
  if (turn % turns === 0) return p;
  const { size } = p;
  const light = new Float32Array(p.light.length);
  const mask = new Uint8Array(p.mask.length);
  const half = (size - 1) / 2;
  const [c, s] = [Math.cos((2 * Math.PI * turn) / turns), Math.sin((2 * Math.PI * turn) / turns)];
  for (let y = 0, k = 0; y < size; y++)
    for (let x = 0; x < size; x++, k++) {
      const from = placeOf(size, half + c * (x - half) - s * (y - half), half + s * (x - half) + c * (y - half));
      if (from < 0 || p.mask[from] === 0) continue;
      mask[k] = 1;
      for (let e = 0; e < 3; e++) light[3 * k + e] = p.light[3 * from + e]!;
    }
  return { ...p, light, mask };
}

/** Index of the pixel nearest to a place; -1 outside. */
export function placeOf(size: number, x: number, y: number): number {
  const [i, j] = [Math.round(x), Math.round(y)];
  return i < 0 || j < 0 || i >= size || j >= size ? -1 : j * size + i;
}
