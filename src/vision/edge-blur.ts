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
    const length = Math.hypot(...along) || 1;
    const sigma = profileBlur(crop, outline[2 * i]!, outline[2 * i + 1]!, along[1] / length, -along[0] / length);
    if (sigma !== null) found.push(sigma);
  }
  return found.length < 10 ? null : median(found);
}

/** Blur of one profile: of its luma, or where that hardly changes of the colour that does. */
function profileBlur(crop: Crop, u: number, v: number, nu: number, nv: number): number | null {
  const { reach, contrast } = EDGE_BLUR;
  const count = 2 * reach + 1;
  const colours = [0, 1, 2].map((c) =>
    Array.from({ length: count }, (_, k) => bilinear(crop, u + (k - reach) * nu, v + (k - reach) * nv, c)),
  );
  const luma = colours[0]!.map((_, k) => LUMA.reduce((s, w, c) => s + w * colours[c]![k]!, 0));
  if (Math.abs(difference(luma)) >= contrast) return steepness(luma, 0);
  const most = colours.reduce((p, q) => (Math.abs(difference(q)) > Math.abs(difference(p)) ? q : p));
  return Math.abs(difference(most)) >= contrast ? steepness(most, HALF_COLOUR_BLUR ** 2) : null;
}

/** Last values minus first. */
function difference(values: readonly number[]): number {
  const end = (from: number): number => (values[from]! + values[from + 1]! + values[from + 2]!) / 3;
  return end(values.length - 3) - end(0);
}

/** Sigma of the Gaussian step as steep as the steepest place; `variance` is not the photo's. Null where nothing rises. */
function steepness(values: readonly number[], variance: number): number | null {
  const rise = difference(values);
  let steepest = 0;
  for (let k = 1; k + 1 < values.length; k++)
    steepest = Math.max(steepest, (Math.sign(rise) * (values[k + 1]! - values[k - 1]!)) / 2);
  if (steepest <= 0) return null;
  // Sampled over 2 px: a box of variance 1/3.
  return Math.sqrt(Math.max(0, (rise / steepest) ** 2 / (2 * Math.PI) - 1 / 3 - variance));
}

function bilinear({ data, width, height, channels, left, top }: Crop, u: number, v: number, c: number): number {
  const x = Math.min(width - 1.001, Math.max(0, u - left));
  const y = Math.min(height - 1.001, Math.max(0, v - top));
  const [i, j] = [Math.floor(x), Math.floor(y)];
  const [f, g] = [x - i, y - j];
  const p = (j * width + i) * channels + c;
  const q = p + width * channels;
  return (1 - g) * ((1 - f) * data[p]! + f * data[p + channels]!) + g * ((1 - f) * data[q]! + f * data[q + channels]!);
}
