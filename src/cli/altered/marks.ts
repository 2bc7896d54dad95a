import { seededRandom } from '../../maths/random.ts';
import { middleOf } from '../../geometry/polygon.ts';
import { pixelsOf, sharpOf, type Pixels } from './pixels.ts';

/** What lies or falls on the stage beside the die. */
export type Mark =
  'hair' | 'pencil' | 'dust' | 'coffee' | 'crumb' | 'thread' | 'fluff' | 'shadow' | 'shadow-edge' | 'paper' | 'lamp';

/** Marks that take light away rather than covering the stage. */
const SHADES: ReadonlySet<Mark> = new Set(['coffee', 'shadow', 'shadow-edge']);

/** Draws a mark beside the die of photo `k`, whose outline is given, [u, v] per point. */
export async function marked(p: Pixels, outline: Float64Array, mark: Mark, k: number): Promise<Pixels> {
  const drawn = DRAWINGS[mark](about(outline, k), k);
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${p.width}" height="${p.height}">${drawn}</svg>`;
  const blend = SHADES.has(mark) ? 'multiply' : 'over';
  return pixelsOf(sharpOf(p).composite([{ input: Buffer.from(svg), blend }]));
}

interface About {
  readonly centre: readonly [number, number];
  /** Mean radius, px. */
  readonly radius: number;
  /** A point of the outline, the way outwards there, and across it. */
  readonly at: readonly [number, number];
  readonly out: readonly [number, number];
}

function about(outline: Float64Array, k: number): About {
  const n = outline.length / 2;
  const [cx, cy] = middleOf(outline);
  let radius = 0;
  for (let i = 0; i < n; i++) radius += Math.hypot(outline[2 * i]! - cx, outline[2 * i + 1]! - cy) / n;
  const i = (37 * k + 11) % n;
  const at = [outline[2 * i]!, outline[2 * i + 1]!] as const;
  const d = Math.hypot(at[0] - cx, at[1] - cy);
  return { centre: [cx, cy], radius, at, out: [(at[0] - cx) / d, (at[1] - cy) / d] };
}

/** A line through points given along and across the way outwards, in radii from the outline's point. */
function line({ at, out, radius }: About, points: readonly (readonly [number, number])[], style: string): string {
  const place = ([a, b]: readonly [number, number]): string =>
    `${(at[0] + radius * (a * out[0] - b * out[1]) + 0.5).toFixed(2)},${(at[1] + radius * (a * out[1] + b * out[0]) + 0.5).toFixed(2)}`;
  return `<polyline fill="none" stroke-linecap="round" points="${points.map(place).join(' ')}" ${style}/>`;
}
const steps = (n: number): number[] => Array.from({ length: n }, (_, i) => i / (n - 1));
const blurred = (sigma: number, drawn: string): string =>
  `<filter id="f" x="-50%" y="-50%" width="200%" height="200%"><feGaussianBlur stdDeviation="${sigma}"/></filter><g filter="url(#f)">${drawn}</g>`;
const half = (a: About, angle: number, off: number, style: string): string => {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  const [x, y] = [a.centre[0] + off * a.radius * dx, a.centre[1] + off * a.radius * dy];
  const far = 20 * a.radius;
  const corner = (s: number, t: number): string => `${x + far * (s * dx - t * dy)},${y + far * (s * dy + t * dx)}`;
  return `<polygon points="${corner(0, 1)} ${corner(0, -1)} ${corner(1, -1)} ${corner(1, 1)}" ${style}/>`;
};

const DRAWINGS: Readonly<Record<Mark, (a: About, k: number) => string>> = {
  hair: (a) =>
    blurred(
      0.6,
      line(
        a,
        steps(30).map((t) => [1.3 * t, 0.25 * Math.sin(3 * t)] as const),
        `stroke="rgb(60,45,40)" stroke-width="${Math.max(1, 0.012 * a.radius)}"`,
      ),
    ),
  thread: (a) =>
    blurred(
      0.6,
      line(
        a,
        steps(40).map((t) => [0.15 + 0.5 * t, 1.6 * (t - 0.5)] as const),
        `stroke="rgb(150,40,40)" stroke-width="${0.03 * a.radius}"`,
      ),
    ),
  pencil: (a) =>
    blurred(
      0.6,
      line(
        a,
        steps(30).map((t) => [0.25, 2 * t - 1] as const),
        `stroke="rgb(95,95,95)" stroke-width="${0.05 * a.radius}"`,
      ),
    ),
  dust: (a, k) => {
    const random = seededRandom(k + 1);
    const specks = Array.from({ length: 25 }, () => {
      const [angle, r] = [6.283 * random(), a.radius * (1.05 + 0.85 * random())];
      const [x, y] = [a.centre[0] + r * Math.cos(angle), a.centre[1] + r * Math.sin(angle)];
      const [dx, dy] = [0.06 * a.radius * (random() - 0.5), 0.06 * a.radius * (random() - 0.5)];
      return `<line x1="${x}" y1="${y}" x2="${x + dx}" y2="${y + dy}" stroke-linecap="round" stroke="rgb(125,120,115)" stroke-width="${0.024 * a.radius}"/>`;
    });
    return blurred(0.6, specks.join(''));
  },
  crumb: (a) =>
    blurred(
      0.8,
      `<ellipse cx="${a.at[0] + 0.2 * a.radius * a.out[0]}" cy="${a.at[1] + 0.2 * a.radius * a.out[1]}" rx="${0.07 * a.radius}" ry="${0.05 * a.radius}" fill="rgb(120,85,50)"/>`,
    ),
  fluff: (a, k) => {
    const random = seededRandom(k + 9);
    const curl = Array.from({ length: 60 }, () => [0.35 + 0.3 * (random() - 0.5), 0.3 * (random() - 0.5)] as const);
    return blurred(
      0.7,
      line(a, curl, `stroke="rgb(140,140,150)" stroke-width="${0.008 * a.radius}" stroke-opacity="0.7"`),
    );
  },
  coffee: (a) =>
    blurred(
      4,
      `<circle cx="${a.centre[0] + 1.9 * a.radius}" cy="${a.centre[1] + 0.6 * a.radius}" r="${1.1 * a.radius}" fill="none" stroke="rgb(230,205,185)" stroke-width="${0.096 * a.radius}"/>`,
    ),
  shadow: (a) => blurred(0.05 * a.radius, half(a, 0.7, 1.6, 'fill="rgb(190,190,190)"')),
  'shadow-edge': (a) => blurred(1.2, half(a, 0.7, 1.5, 'fill="rgb(170,170,170)"')),
  paper: (a) => blurred(0.7, half(a, 2.4, 2.2, 'fill="rgb(250,250,250)"')),
  lamp: (a) =>
    blurred(
      0.5 * a.radius,
      `<circle cx="${a.centre[0] - 1.5 * a.radius}" cy="${a.centre[1] + a.radius}" r="${0.6 * a.radius}" fill="rgb(255,255,255)" fill-opacity="0.45"/>`,
    ),
};
