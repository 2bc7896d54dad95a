import { projection, moved, turned, type Camera, type Rigid } from '../geometry/camera.ts';
import { dot, norm, scaled, type Vec3 } from '../geometry/vec.ts';
import { median } from '../maths/linear.ts';
import type { Crop } from '../vision/picture.ts';
import { SRGB } from '../vision/tone.ts';

export const HEIGHT = {
  /** Sine of the angle between face and view up to which the face's mark can stand out of the outline. */
  graze: 0.05,
  /** From where to where along the face's normal the picture is looked at: what is surely die, where the edge may lie, what is surely stage; mm. */
  die: [-0.6, -0.3],
  edge: [-0.2, 0.8],
  stage: [0.9, 1.2],
  /** Steps along that line, px. */
  step: 0.5,
  /** What half way between two lights leaves of an edge's place, px: blur, sharpening and mirrored light on a rounded top. */
  px: 0.25,
  /** Share of the height by which one place of the bump stands for its highest. */
  share: 0.06,
} as const;

/** One photo as it was measured. */
export interface HeightView {
  readonly camera: Camera;
  readonly cameraFromBody: Rigid;
  readonly crop: Crop;
}

/**
 * How high a mark stands over its face where the face is seen edge-on: how far along the face's normal the die reaches in the picture, from
 * where the mark's foot lies.
 *
 * @param foot  Middle of the mark on the face, body frame, mm. @param normal  The face's. @param reach  Half its longer extent, mm.
 * @returns mm with standard uncertainty; null where no photo sees it so, or where it does not stand out by twice that.
 */
export function markHeight(
  views: readonly HeightView[],
  foot: Vec3,
  normal: Vec3,
  reach: number,
): { readonly value: number; readonly u: number } | null {
  const seen = views.flatMap((view) => heightIn(view, foot, normal, reach) ?? []);
  if (seen.length === 0) return null;
  const weight = seen.reduce((s, h) => s + 1 / (h.u * h.u), 0);
  const value = seen.reduce((s, h) => s + h.value / (h.u * h.u), 0) / weight;
  const scatter =
    seen.length > 1 ? Math.sqrt(seen.reduce((s, h) => s + ((h.value - value) / h.u) ** 2, 0) / (seen.length - 1)) : 1;
  const u = Math.hypot(Math.max(1, scatter) / Math.sqrt(weight), HEIGHT.share * value);
  return value > 2 * u ? { value, u } : null;
}

function heightIn(
  { camera, cameraFromBody, crop }: HeightView,
  foot: Vec3,
  normal: Vec3,
  reach: number,
): { readonly value: number; readonly u: number } | null {
  const at = moved(cameraFromBody, foot);
  const n = turned(cameraFromBody.rotation, normal);
  if (Math.abs(dot(n, at)) > HEIGHT.graze * norm(at)) return null;
  const [u, v] = projection(camera, at);
  const [tu, tv] = projection(camera, [at[0] + n[0], at[1] + n[1], at[2] + n[2]]);
  const pxPerMm = Math.hypot(tu - u, tv - v);
  const out: readonly [number, number] = [(tu - u) / pxPerMm, (tv - v) / pxPerMm];
  const along: readonly [number, number] = [-out[1], out[0]];
  const reachPx = Math.max(2, 0.6 * reach * pxPerMm);
  const heights: number[] = [];
  for (let s = -reachPx; s <= reachPx; s++) {
    const h = edgeAlong(crop, [u + s * along[0], v + s * along[1]], out, pxPerMm);
    if (h !== null) heights.push(h / pxPerMm);
  }
  if (heights.length < 3) return null;
  // The middle of the three highest: one line alone may have met a speck.
  const value = [...heights].sort((a, b) => b - a)[1]!;
  return { value, u: HEIGHT.px / pxPerMm };
}

/** Where along a line from the face outwards the picture is half die, half stage, px from its start; null where the two are alike. */
function edgeAlong(
  crop: Crop,
  [u, v]: readonly [number, number],
  out: readonly [number, number],
  pxPerMm: number,
): number | null {
  const at = (d: number): number | null => lumaAt(crop, u + d * out[0], v + d * out[1]);
  const over = ([from, to]: readonly [number, number]): number[] => {
    const values: number[] = [];
    for (let d = from * pxPerMm; d <= to * pxPerMm; d += HEIGHT.step) {
      const value = at(d);
      if (value !== null) values.push(value);
    }
    return values;
  };
  const [die, stage] = [over(HEIGHT.die), over(HEIGHT.stage)];
  if (die.length < 3 || stage.length < 3) return null;
  const [inner, outer] = [median(die), median(stage)];
  if (Math.abs(inner - outer) < LEAST_CONTRAST) return null;
  const share = (d: number): number => ((at(d) ?? outer) - outer) / (inner - outer);
  // From outside inwards: the first place that is half die.
  for (let d = HEIGHT.edge[1] * pxPerMm; d > HEIGHT.edge[0] * pxPerMm; d -= HEIGHT.step) {
    const [here, next] = [share(d), share(d - HEIGHT.step)];
    if (here < 0.5 && next >= 0.5) return d - (HEIGHT.step * (0.5 - here)) / (next - here);
  }
  return null;
}

/** Least difference of light between die and stage. */
const LEAST_CONTRAST = 0.03;
const LIGHT = Float32Array.from({ length: 256 }, (_, value) => SRGB.toLight(value));

/** Light of a place of the picture, mean of its channels, between pixels; null outside the crop. */
function lumaAt({ data, width, height, channels, left, top }: Crop, u: number, v: number): number | null {
  const [x, y] = [u - left, v - top];
  const [i, j] = [Math.floor(x), Math.floor(y)];
  if (!(i >= 0 && j >= 0 && i < width - 1 && j < height - 1)) return null;
  const [fx, fy] = [x - i, y - j];
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    const p = (j * width + i) * channels + c;
    const q = p + width * channels;
    sum += (1 - fy) * ((1 - fx) * LIGHT[data[p]!]! + fx * LIGHT[data[p + channels]!]!);
    sum += fy * ((1 - fx) * LIGHT[data[q]!]! + fx * LIGHT[data[q + channels]!]!);
  }
  return sum / 3;
}

/** A place on a face, mm right and up from its middle, in the body. */
export const onFace = (middle: Vec3, right: Vec3, up: Vec3, [x, y]: readonly [number, number]): Vec3 => {
  const [r, w] = [scaled(right, x), scaled(up, y)];
  return [middle[0] + r[0] + w[0], middle[1] + r[1] + w[1], middle[2] + r[2] + w[2]];
};
