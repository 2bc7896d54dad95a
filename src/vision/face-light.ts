import { projection, turned, turnedBack, type Camera, type Rigid } from '../geometry/camera.ts';
import type { DieSolid } from '../geometry/solid.ts';
import type { SeenDie } from '../geometry/standing.ts';
import { median, solve } from '../maths/linear.ts';
import type { Crop } from './picture.ts';
import { limbTerm, mirrorShare, roughShare } from './reflectance.ts';
import type { ToneCurve } from './tone.ts';

/** Light of one face in one photo. */
export interface FaceLight {
  /** Cosine of the viewing ray's incidence. */
  readonly cosine: number;
  /** Outward normal, card frame. */
  readonly normal: readonly [number, number, number];
  /** Light per channel over the stage's. */
  readonly light: readonly [number, number, number];
  readonly photo: number;
  readonly scatter: number;
}

/** Light of the visible faces of a die in a photo, off their numbers; the stage's light is 1. */
export function faceLights(
  crop: Crop,
  die: SeenDie,
  solid: DieSolid,
  camera: Camera,
  cameraFromCard: Rigid,
  tone: ToneCurve,
  stage: readonly number[],
  photo: number,
): FaceLight[] {
  const out: FaceLight[] = [];
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
        }
    if (values[0]!.length < 3) continue;
    const light = values.map((v) => median(v)) as [number, number, number];
    const scatter = 1.4826 * median(values[1]!.map((v) => Math.abs(v - light[1])));
    out.push({ cosine, normal, light, photo, scatter });
  }
  return out;
}

export interface Sheen {
  /** Shares of the stage that grazing surfaces mirror, smooth and rough, and the body's own brightening towards grazing. */
  readonly mirror: number;
  readonly rough: number;
  readonly limb: number;
  /** Change of the light on the body along card x, y and downwards. */
  readonly light: readonly [number, number, number];
  /** Covariance of the three, row-major. */
  readonly covariance: Float64Array;
  readonly scatter: number;
  readonly faces: number;
}

/** Places of mirror, rough and limb among the unknowns, and the weight by which one is held. */
const NOT_NEGATIVE = [6, 7, 8] as const;
const HELD = 1e9;

/**
 * How a die's surface mirrors and brightens towards grazing, from its faces as the photos show them at different slants.
 *
 * What a face mirrors has the stage's colour and adds; what its body returns has the die's colour and multiplies. Light on the body
 * varies linearly with the face's direction. Gauss-Newton on: body colour (3), direction (3), mirror, rough, limb, with weak beliefs.
 */
export function sheenOf(
  lights: readonly FaceLight[],
  prior: { mean: readonly number[]; sd: readonly number[] },
): Sheen {
  const x = new Float64Array(9);
  const top = lights.filter((l) => l.cosine > 0.8);
  const base = top.length > 0 ? top : lights;
  for (let c = 0; c < 3; c++) x[c] = Math.max(1e-3, median(base.map((l) => l.light[c]!)));
  x.set(prior.mean, 6);
  const sds = [1, 1, 1, 0.3, 0.3, 0.3, ...prior.sd];
  const means = [x[0]!, x[1]!, x[2]!, 0, 0, 0, ...prior.mean];
  let covariance = new Float64Array(9);
  let scatter = 0.02;
  for (let it = 0; it < 12; it++) {
    const a = new Float64Array(81);
    const g = new Float64Array(9);
    const residuals: number[] = [];
    for (const l of lights) {
      const m = mirrorShare(l.cosine) - mirrorShare(1);
      const r = roughShare(l.cosine) - roughShare(1);
      const limb = limbTerm(l.cosine);
      const direction = 1 + x[3]! * l.normal[0] + x[4]! * l.normal[1] + x[5]! * (1 - l.normal[2]);
      const share = x[6]! * m + x[7]! * r;
      for (let c = 0; c < 3; c++) {
        const body = x[c]! * direction * (1 + x[8]! * limb);
        const e = l.light[c]! - (body * (1 - share) + share);
        residuals.push(Math.abs(e));
        const w = 1 / ((scatter * scatter + (0.06 * l.light[c]!) ** 2) * (1 + (e / (2.5 * scatter)) ** 2));
        const row = new Float64Array(9);
        row[c] = (body / x[c]!) * (1 - share);
        const byDirection = x[c]! * (1 + x[8]! * limb) * (1 - share);
        row[3] = byDirection * l.normal[0];
        row[4] = byDirection * l.normal[1];
        row[5] = byDirection * (1 - l.normal[2]);
        row[6] = m * (1 - body);
        row[7] = r * (1 - body);
        row[8] = x[c]! * direction * limb * (1 - share);
        for (let p = 0; p < 9; p++) {
          g[p]! += w * row[p]! * e;
          for (let q = 0; q < 9; q++) a[9 * p + q]! += w * row[p]! * row[q]!;
        }
      }
    }
    for (let p = 0; p < 9; p++) {
      a[10 * p]! += 1 / sds[p]! ** 2;
      g[p]! -= (x[p]! - means[p]!) / sds[p]! ** 2;
    }
    let h = solve(a, g, 9);
    // No surface mirrors less than nothing: what would is held at 0, and the others found anew.
    for (const p of NOT_NEGATIVE) {
      if (!h || x[p]! + h[p]! >= 0) continue;
      a[10 * p]! += HELD;
      g[p]! -= HELD * x[p]!;
      h = solve(a, g, 9);
    }
    if (!h) break;
    for (let p = 0; p < 9; p++) x[p]! += Math.max(-0.5, Math.min(0.5, h[p]!));
    for (let c = 0; c < 3; c++) x[c] = Math.max(1e-4, x[c]!);
    scatter = Math.max(0.006, 1.4826 * median(residuals));
    covariance = new Float64Array(9);
    for (let p = 0; p < 3; p++) {
      const column = solve(
        a,
        Float64Array.from({ length: 9 }, (_, i) => (i === 6 + p ? 1 : 0)),
        9,
      );
      for (let q = 0; q < 3; q++) covariance[3 * q + p] = column ? column[6 + q]! : 0;
    }
  }
  return {
    mirror: x[6]!,
    rough: x[7]!,
    limb: x[8]!,
    light: [x[3]!, x[4]!, x[5]!],
    covariance,
    scatter,
    faces: lights.length,
  };
}
