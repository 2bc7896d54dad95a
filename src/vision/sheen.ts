import { median, solve } from '../maths/linear.ts';
import type { FaceLight } from './face-light.ts';
import { limbTerm, mirrorShare, roughShare } from './reflectance.ts';

export interface Sheen {
  /** Shares of what a polished and of what a rough plastic would mirror, and the body's own brightening towards grazing. */
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

/**
 * A plastic mirrors as Fresnel's law says, however rough it is: what is polished and what is rough of it make one whole, within this
 * standard deviation. A matt die departs from it, and its faces say so.
 */
const WHOLE = 0.15;

/** Places of mirror, rough and limb among the unknowns, and the weight by which one is held. */
const NOT_NEGATIVE = [6, 7, 8] as const;
const HELD = 1e9;

/**
 * How a die's surface mirrors and brightens towards grazing, from its faces as the photos show them at different slants.
 *
 * What a face mirrors has the colour of its surroundings and adds; what its body returns has the die's colour and multiplies. Light on the body
 * varies linearly with the face's direction. Gauss-Newton on: body colour (3), direction (3), mirror, rough, limb, with weak beliefs.
 */
export function sheenOf(
  lights: readonly FaceLight[],
  prior: { mean: readonly number[]; sd: readonly number[] },
): Sheen {
  const x = new Float64Array(SIZE);
  const top = lights.filter((l) => l.cosine > 0.8);
  const base = top.length > 0 ? top : lights;
  for (let c = 0; c < 3; c++) x[c] = Math.max(1e-3, median(base.map((l) => l.light[c]!)));
  x.set(prior.mean, 6);
  const sds = [1, 1, 1, 0.3, 0.3, 0.3, ...prior.sd];
  const means = [x[0]!, x[1]!, x[2]!, 0, 0, 0, ...prior.mean];
  let covariance = new Float64Array(9);
  let scatter = 0.02;
  const residuals = new Float64Array(3 * lights.length);
  for (let it = 0; it < STEPS; it++) {
    const system = { a: new Float64Array(SIZE * SIZE), g: new Float64Array(SIZE) };
    for (let f = 0; f < lights.length; f++) addFace(system, x, lights[f]!, scatter, residuals, 3 * f);
    addBeliefs(system, x, means, sds);
    const h = stepOf(system, x);
    if (!h) break;
    for (let p = 0; p < SIZE; p++) x[p]! += Math.max(-0.5, Math.min(0.5, h[p]!));
    for (let c = 0; c < 3; c++) x[c] = Math.max(1e-4, x[c]!);
    scatter = Math.max(0.006, 1.4826 * median(residuals));
    covariance = covarianceOf(system.a);
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

/** Unknowns: colour of the body (3), change of its light with direction (3), mirror, rough, limb; steps of Gauss and Newton. */
const SIZE = 9;
const STEPS = 12;

/** Normal equations, row-major, and their right side. */
interface System {
  readonly a: Float64Array;
  readonly g: Float64Array;
}

/** How one channel's light follows the unknowns. */
const row = new Float64Array(SIZE);

/** Adds what one face's three channels say at `x`; the sizes of their residuals go into `residuals` from `o` on. */
function addFace(
  { a, g }: System,
  x: Float64Array,
  l: FaceLight,
  scatter: number,
  residuals: Float64Array,
  o: number,
): void {
  const m = mirrorShare(l.cosine) - mirrorShare(1);
  const r = roughShare(l.cosine) - roughShare(1);
  const limb = limbTerm(l.cosine);
  const direction = 1 + x[3]! * l.normal[0] + x[4]! * l.normal[1] + x[5]! * (1 - l.normal[2]);
  const share = x[6]! * m + x[7]! * r;
  const { polished, rough } = l.mirrored;
  const unsure = x[6]! * m * polished.doubt + x[7]! * r * rough.doubt;
  for (let c = 0; c < 3; c++) {
    const body = x[c]! * direction * (1 + x[8]! * limb);
    const e = l.light[c]! - (body * (1 - share) + x[6]! * m * polished.light[c]! + x[7]! * r * rough.light[c]!);
    const w =
      1 / ((scatter * scatter + (0.06 * l.light[c]!) ** 2 + unsure * unsure) * (1 + (e / (2.5 * scatter)) ** 2));
    row.fill(0);
    row[c] = (body / x[c]!) * (1 - share);
    const byDirection = x[c]! * (1 + x[8]! * limb) * (1 - share);
    row[3] = byDirection * l.normal[0];
    row[4] = byDirection * l.normal[1];
    row[5] = byDirection * (1 - l.normal[2]);
    row[6] = m * (polished.light[c]! - body);
    row[7] = r * (rough.light[c]! - body);
    row[8] = x[c]! * direction * limb * (1 - share);
    for (let p = 0; p < SIZE; p++) {
      g[p]! += w * row[p]! * e;
      for (let q = 0; q < SIZE; q++) a[SIZE * p + q]! += w * row[p]! * row[q]!;
    }
    residuals[o + c] = Math.abs(e);
  }
}

function addBeliefs({ a, g }: System, x: Float64Array, means: readonly number[], sds: readonly number[]): void {
  for (let p = 0; p < SIZE; p++) {
    a[(SIZE + 1) * p]! += 1 / sds[p]! ** 2;
    g[p]! -= (x[p]! - means[p]!) / sds[p]! ** 2;
  }
  for (const p of [6, 7]) {
    g[p]! += (1 - x[6]! - x[7]!) / WHOLE ** 2;
    for (const q of [6, 7]) a[SIZE * p + q]! += 1 / WHOLE ** 2;
  }
}

/** The next step; no surface mirrors less than nothing: what would is held at 0, and the others found anew. Null where the system is singular. */
function stepOf({ a, g }: System, x: Float64Array): Float64Array | null {
  let h = solve(a, g, SIZE);
  for (const p of NOT_NEGATIVE) {
    if (!h || x[p]! + h[p]! >= 0) continue;
    a[(SIZE + 1) * p]! += HELD;
    g[p]! -= HELD * x[p]!;
    h = solve(a, g, SIZE);
  }
  return h;
}

/** Covariance of mirror, rough and limb, row-major. */
function covarianceOf(a: Float64Array): Float64Array<ArrayBuffer> {
  const covariance = new Float64Array(9);
  for (let p = 0; p < 3; p++) {
    const unit = new Float64Array(SIZE);
    unit[6 + p] = 1;
    const column = solve(a, unit, SIZE);
    for (let q = 0; q < 3; q++) covariance[3 * q + p] = column ? column[6 + q]! : 0;
  }
  return covariance;
}

/** What a mirror's faces show; plastics of the sets at hand: brightening of 0.2 or more, upright faces darker by 0 to 0.5. */
export const METAL = { limb: 0.1, upright: 0.12 } as const;

/**
 * Whether a surface looks like a conductor's: plastic under the sky is lightest on top and brightens towards grazing; a mirror's upright
 * faces show the stage and the walls, lighter than the camera and the ceiling in the top one, and nothing of it brightens.
 */
export const looksMetal = ({ limb, light, faces }: Sheen): boolean =>
  faces >= 4 && limb < METAL.limb && light[2] > METAL.upright;
