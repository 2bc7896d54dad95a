import { median } from '../maths/linear.ts';
import { LUMA, type Picture } from '../vision/picture.ts';
import { SRGB } from '../vision/tone.ts';

/** A place along a line where the light changes most steeply. */
export interface Step {
  /** Along the line from its middle, mm. */
  readonly at: number;
  /** Change of light (0 to 1, linear) per px, without its sign. */
  readonly strength: number;
}

/** Where a place of the printed card, or over it, stands in the picture, px. */
export type Shown = (x: number, y: number) => readonly [number, number];

export const STEPS = {
  /** Steepness of a step that counts, light per px: three times what noise of two display values makes of a middling grey. */
  least: 0.012,
  /** Samples per px along a line. */
  perPixel: 2,
  /** Lines side by side whose mean is taken, and their distance, px: noise falls, a nearly square edge stays. */
  beside: [-2, 0, 2],
  /** Steepness in sigma of that of the line's middling part, which noise and texture make, that counts where lines are searched. */
  noise: 5,
  /** Sigma of the Gaussian whose derivative tells the steepness, px. */
  sigma: 1,
} as const;

const LIGHT = Float64Array.from({ length: 256 }, (_, value) => SRGB.toLight(value));

/** Derivative of a Gaussian on the samples of a line, per px. */
const SLOPE = ((): Float64Array => {
  const { perPixel, sigma } = STEPS;
  const reach = Math.ceil(3 * sigma * perPixel);
  const weights = Float64Array.from({ length: 2 * reach + 1 }, (_, k) => {
    const x = (k - reach) / perPixel / sigma;
    return x * Math.exp((-x * x) / 2);
  });
  const ofRamp = weights.reduce((sum, w, k) => sum + (w * (k - reach)) / perPixel, 0);
  return weights.map((w) => w / ofRamp);
})();

/**
 * All steps of light along a short line over the card, in order.
 *
 * They are sought in light, not in display values: a blurred step is steepest at its edge only there.
 *
 * @param from   Middle of the line, mm, card frame; `along` its unit direction, `reach` its half length.
 * @param scale  px per mm near the line.
 * @param noise  Least steepness over the line's own usual one; 0 where the edge is known to be there.
 * @returns      Empty where the line leaves the picture.
 */
export function stepsAlong(
  picture: Picture,
  shown: Shown,
  from: readonly [number, number],
  along: readonly [number, number],
  reach: number,
  scale: number,
  noise: number,
): Step[] {
  const pitch = 1 / (STEPS.perPixel * scale);
  const half = Math.ceil(reach / pitch);
  const light = new Float64Array(2 * half + 1);
  for (let k = 0; k < light.length; k++) {
    const t = (k - half) * pitch;
    for (const side of STEPS.beside) {
      const [x, y] = [t * along[0] - (side / scale) * along[1], t * along[1] + (side / scale) * along[0]];
      const value = lightAt(picture, ...shown(from[0] + x, from[1] + y));
      if (value === null) return [];
      light[k]! += value / STEPS.beside.length;
    }
  }
  return steepest(light, noise).map(({ index, strength }) => ({ at: (index - half) * pitch, strength }));
}

/** Places where the slope of equally spaced samples is at its largest, to a fraction of a sample. */
function steepest(light: Float64Array, noise: number): { readonly index: number; readonly strength: number }[] {
  const reach = (SLOPE.length - 1) / 2;
  const slope = new Float64Array(light.length);
  for (let k = reach; k + reach < light.length; k++) {
    let sum = 0;
    for (let j = 0; j < SLOPE.length; j++) sum += SLOPE[j]! * light[k + j - reach]!;
    slope[k] = Math.abs(sum);
  }
  const least = Math.max(STEPS.least, noise === 0 ? 0 : noise * 1.4826 * median(slope));
  const found: { index: number; strength: number }[] = [];
  for (let k = 1; k + 1 < slope.length; k++) {
    const [a, b, c] = [slope[k - 1]!, slope[k]!, slope[k + 1]!];
    if (b < least || b <= a || b < c) continue;
    const bend = a - 2 * b + c;
    found.push({ index: k + (bend < 0 ? (a - c) / (2 * bend) : 0), strength: b });
  }
  return found;
}

/** Light at a place of the picture, between its pixels; null outside. */
export function lightAt({ width, height, channels, data }: Picture, u: number, v: number): number | null {
  const [i, j] = [Math.floor(u), Math.floor(v)];
  if (!(i >= 0 && j >= 0 && i + 1 < width && j + 1 < height)) return null;
  const [f, g] = [u - i, v - j];
  const p = (j * width + i) * channels;
  const q = p + width * channels;
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    const upper = (1 - f) * LIGHT[data[p + c]!]! + f * LIGHT[data[p + channels + c]!]!;
    const lower = (1 - f) * LIGHT[data[q + c]!]! + f * LIGHT[data[q + channels + c]!]!;
    sum += LUMA[c]! * ((1 - g) * upper + g * lower);
  }
  return sum;
}
