import { median } from '../maths/linear.ts';
import { LUMA, type Crop } from './picture.ts';
import { HALF_COLOUR_BLUR } from './profile.ts';

export const EDGE_BLUR = {
  /** Profiles taken across an outline, and how far each reaches, px. */
  profiles: 120,
  reach: 14,
  /** Least difference across an edge that tells its width, display values. */
  contrast: 16,
} as const;

/**
 * How a rough outline's edge is blurred: sigma of the Gaussian step that is as steep at its steepest, median over the outline, px.
 *
 * Good to a tenth or two, and too small where the camera sharpens: it tells a blurred photo from a sharp one before anything is fitted.
 *
 * @param outline  Closed, [u, v] per point, px of the picture; the edge must lie within half the reach of it.
 * @param covered  Per point, 1 where that is not known of it.
 * @returns        Null where fewer than ten profiles have enough contrast.
 */
export function edgeBlur(crop: Crop, outline: Float64Array, covered: Uint8Array | null = null): number | null {
  const n = outline.length / 2;
  const step = Math.max(1, Math.floor(n / EDGE_BLUR.profiles));
  const found: number[] = [];
  for (let i = 0; i < n; i += step) {
    if (covered?.[i] === 1) continue;
    const [a, b] = [(i + n - 2) % n, (i + 2) % n];
    const along = [outline[2 * b]! - outline[2 * a]!, outline[2 * b + 1]! - outline[2 * a + 1]!] as const;
    const length = Math.hypot(along[0], along[1]) || 1;
    const sigma = profileBlur(crop, outline[2 * i]!, outline[2 * i + 1]!, along[1] / length, -along[0] / length);
    if (sigma !== null) found.push(sigma);
  }
  return found.length < 10 ? null : median(found);
}

/** Values of one profile. */
const COUNT = 2 * EDGE_BLUR.reach + 1;
const colours = [new Float64Array(COUNT), new Float64Array(COUNT), new Float64Array(COUNT)] as const;
const luma = new Float64Array(COUNT);

/** Blur of one profile: of its luma, or where that hardly changes of the colour that does. */
function profileBlur(crop: Crop, u: number, v: number, nu: number, nv: number): number | null {
  const { reach, contrast } = EDGE_BLUR;
  for (let k = 0; k < COUNT; k++) {
    fillColours(crop, u + (k - reach) * nu, v + (k - reach) * nv, k);
    luma[k] = LUMA[0] * colours[0][k]! + LUMA[1] * colours[1][k]! + LUMA[2] * colours[2][k]!;
  }
  if (Math.abs(difference(luma)) >= contrast) return steepness(luma, 0);
  let most: Float64Array = colours[0];
  for (const colour of colours) if (Math.abs(difference(colour)) > Math.abs(difference(most))) most = colour;
  return Math.abs(difference(most)) >= contrast ? steepness(most, HALF_COLOUR_BLUR ** 2) : null;
}

/** Last values minus first. */
const difference = (values: Float64Array): number => thirdFrom(values, COUNT - 3) - thirdFrom(values, 0);
const thirdFrom = (values: Float64Array, k: number): number => (values[k]! + values[k + 1]! + values[k + 2]!) / 3;

/** Sigma of the Gaussian step as steep as the steepest place; `variance` is not the photo's. Null where nothing rises. */
function steepness(values: Float64Array, variance: number): number | null {
  const rise = difference(values);
  let steepest = 0;
  for (let k = 1; k + 1 < values.length; k++)
    steepest = Math.max(steepest, (Math.sign(rise) * (values[k + 1]! - values[k - 1]!)) / 2);
  if (steepest <= 0) return null;
  // Sampled over 2 px: a box of variance 1/3.
  return Math.sqrt(Math.max(0, (rise / steepest) ** 2 / (2 * Math.PI) - 1 / 3 - variance));
}

/** The three colours at a place, between its four pixels, as the k-th values of the profiles. */
function fillColours({ data, width, height, channels, left, top }: Crop, u: number, v: number, k: number): void {
  const x = Math.min(width - 1.001, Math.max(0, u - left));
  const y = Math.min(height - 1.001, Math.max(0, v - top));
  const i = Math.floor(x);
  const j = Math.floor(y);
  const f = x - i;
  const g = y - j;
  const first = (j * width + i) * channels;
  for (let c = 0; c < 3; c++) {
    const p = first + c;
    const q = p + width * channels;
    colours[c]![k] =
      (1 - g) * ((1 - f) * data[p]! + f * data[p + channels]!) + g * ((1 - f) * data[q]! + f * data[q + channels]!);
  }
}
