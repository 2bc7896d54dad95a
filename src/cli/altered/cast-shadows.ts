import { convexHull } from '../../geometry/outline.ts';
import { middleOf } from '../../geometry/polygon.ts';
import { pixelsOf, sharpOf, type Pixels } from './pixels.ts';

/** Shadows of one lamp: their length in widths of a die, the share of display values left in them, and their way in the picture, rad. */
export interface ShadowShape {
  readonly along: number;
  readonly light: number;
  readonly angle: number;
}

/** Draws the hard shadow that each outlined die throws on the stage; what an outline holds stays as it is. */
export function castShadows(p: Pixels, outlines: readonly Float64Array[], shape: ShadowShape): Promise<Pixels> {
  const value = Math.round(255 * shape.light);
  const dice = outlines.map((o) => `<path d="${pathOf(grown(o))}" fill="white"/>`).join('');
  const shadows = outlines.map((o) => `<path d="${pathOf(swept(o, shape))}"/>`).join('');
  const svg =
    `<svg xmlns="http://www.w3.org/2000/svg" width="${p.width}" height="${p.height}">` +
    `<filter id="f" x="-50%" y="-50%" width="200%" height="200%"><feGaussianBlur stdDeviation="1.5"/></filter>` +
    `<rect width="100%" height="100%" fill="white"/><g filter="url(#f)" fill="rgb(${value},${value},${value})">${shadows}</g>${dice}</svg>`;
  return pixelsOf(sharpOf(p).composite([{ input: Buffer.from(svg), blend: 'multiply' }]));
}

/** Half a pixel out: a blurred edge keeps its own light, and the shadow begins beside it. */
function grown(o: Float64Array): number[] {
  const [u, v] = middleOf(o);
  return Array.from(o, (x, i) => {
    const from = i % 2 === 0 ? u : v;
    const far = Math.hypot(o[i - (i % 2)]! - u, o[i + 1 - (i % 2)]! - v);
    return from + (x - from) * (1 + 0.5 / far);
  });
}

function swept(o: Float64Array, { along, angle }: ShadowShape): number[] {
  const [u, v] = middleOf(o);
  let width = 0;
  for (let i = 0; i < o.length; i += 2) width += (4 / o.length) * Math.hypot(o[i]! - u, o[i + 1]! - v);
  const [dx, dy] = [along * width * Math.cos(angle), along * width * Math.sin(angle)];
  return convexHull([...o, ...Array.from(o, (x, i) => x + (i % 2 === 0 ? dx : dy))]);
}

const pathOf = (xy: readonly number[]): string =>
  `M${xy.map((x, i) => `${i % 2 === 0 && i > 0 ? 'L' : ''}${(x + 0.5).toFixed(2)}`).join(' ')}Z`;
