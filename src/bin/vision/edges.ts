import type { Outline } from '../../geometry/outline.ts';
import { median } from '../../maths/linear.ts';
import { LUMA, type Picture } from '../../vision/picture.ts';
import { SRGB } from '../../vision/tone.ts';

export const BIN_EDGE = {
  /** How far an edge may lie from where it is looked for, px, where nothing else is said. */
  reach: 6,
  /** Where the light inside and outside is taken, px from the edge: nearer the blur reaches, further off other things do. */
  plateau: [2.5, 5.5],
  /** Lines averaged across a point, px to either side. */
  aside: [-0.8, 0.8],
  /** Least contrast of a point, display values. */
  contrast: 8,
  /** A colour must part die and stage so many times better than luma before it is taken instead: formats keep it at half resolution. */
  gain: 1.8,
  /** Scatter of a point by itself, px: rendering, focus and the picture format, over the noise of the pixels. */
  sigma: 0.08,
} as const;

/** Where light is taken about an edge, px: inside and outside, and the lines beside each other that are averaged. */
export interface EdgeLook {
  readonly plateau: readonly [number, number];
  readonly aside: readonly number[];
}

/** For edges whose place is known beforehand: close about them, as other edges may lie near, and over more lines, as they may be faint. */
export const CLOSE_LOOK = { reach: 2, plateau: [1.8, 3.4], aside: [-3, -1.8, -0.6, 0.6, 1.8, 3] } as const;

/** Edge points along a curve. */
export interface BinEdges extends Outline {
  /** Median width over which the edge rises from a quarter to three quarters, px. */
  readonly width: number;
  /** Per point the light just outside and how much of it is lost inwards, 0 to 1, in the plane that was looked at. */
  readonly outside: Float64Array;
  readonly fall: Float64Array;
  /** Shares of red, green and blue in that plane. */
  readonly weights: Weights;
}

/** Those points of an outline whose numbers are given. */
export function pickedEdges(edges: BinEdges, kept: readonly number[]): BinEdges {
  const one = (v: Float64Array): Float64Array => Float64Array.from(kept, (k) => v[k]!);
  const pairs = (v: Float64Array): Float64Array => Float64Array.from(kept.flatMap((k) => [v[2 * k]!, v[2 * k + 1]!]));
  const { xy, normal, sigma, outside, fall } = edges;
  return {
    ...edges,
    xy: pairs(xy),
    normal: pairs(normal),
    sigma: one(sigma),
    outside: one(outside),
    fall: one(fall),
  };
}

/**
 * Where the light passes half way between inside and outside, along a predicted outline.
 *
 * In linear light, so that neither blur nor the tone curve moves a straight edge. Cheap: a few lines of pixels per point. What a rounded
 * rim mirrors of the stage (Fresnel) moves it inwards by up to some tenths of a pixel; `TYPE_B` of the bin holds that.
 *
 * @param xy     [u, v] per point, px; `normal` outwards.
 * @param reach  How far an edge may lie from there, px.
 * @param look   Where light is taken.
 */
export function binEdges(
  picture: Picture,
  xy: Float64Array,
  normal: Float64Array,
  reach: number = BIN_EDGE.reach,
  look: EdgeLook = BIN_EDGE,
): BinEdges {
  const n = xy.length / 2;
  const half = reach + Math.ceil(BIN_EDGE.plateau[1]);
  const cells = 2 * half + 1;
  const weights = plainestPlane(picture, xy, normal, half - 2);
  const points: number[] = [];
  const normals: number[] = [];
  const sigma: number[] = [];
  const widths: number[] = [];
  const outside: number[] = [];
  const fall: number[] = [];
  const line = new Float64Array(cells);
  for (let k = 0; k < n; k++) {
    const u = xy[2 * k]!;
    const v = xy[2 * k + 1]!;
    const nu = normal[2 * k]!;
    const nv = normal[2 * k + 1]!;
    fillLine(picture, u, v, nu, nv, weights, half, line, look.aside);
    const edge = crossing(line, cells, reach, look.plateau);
    if (!edge) continue;
    points.push(u + edge.at * nu, v + edge.at * nv);
    normals.push(nu, nv);
    sigma.push(edge.sigma);
    widths.push(edge.width);
    outside.push(edge.outside);
    fall.push(edge.fall);
  }
  return {
    xy: Float64Array.from(points),
    normal: Float64Array.from(normals),
    sigma: Float64Array.from(sigma),
    byTerm: new Float64Array(0),
    terms: 0,
    width: widths.length > 0 ? median(widths) : 0,
    outside: Float64Array.from(outside),
    fall: Float64Array.from(fall),
    weights,
  };
}

/** Shares of red, green and blue in what is looked at. */
type Weights = readonly [number, number, number];

/** Light along the normal, mean of the display values of lines beside one another, interpolated between pixels. */
function fillLine(
  { data, width, height, channels }: Picture,
  u0: number,
  v0: number,
  nu: number,
  nv: number,
  [red, green, blue]: Weights,
  half: number,
  line: Float64Array,
  aside: readonly number[],
): void {
  const row = width * channels;
  for (let i = 0; i < line.length; i++) {
    let sum = 0;
    for (const b of aside) {
      const u = Math.min(width - 1.001, Math.max(0, u0 + (i - half) * nu - b * nv));
      const v = Math.min(height - 1.001, Math.max(0, v0 + (i - half) * nv + b * nu));
      const x = Math.floor(u);
      const y = Math.floor(v);
      const f = u - x;
      const g = v - y;
      const p = y * row + x * channels;
      const q = p + row;
      const a = red * data[p]! + green * data[p + 1]! + blue * data[p + 2]!;
      const c = red * data[p + channels]! + green * data[p + channels + 1]! + blue * data[p + channels + 2]!;
      const d = red * data[q]! + green * data[q + 1]! + blue * data[q + 2]!;
      const e = red * data[q + channels]! + green * data[q + channels + 1]! + blue * data[q + channels + 2]!;
      sum += (1 - g) * ((1 - f) * a + f * c) + g * ((1 - f) * d + f * e);
    }
    line[i] = SRGB.toLight(sum / aside.length);
  }
}

/** Luma, or the colour in which inside and outside differ where luma hardly does; looked at so far from the outline, px. */
function plainestPlane(
  { data, width, height, channels }: Picture,
  xy: Float64Array,
  normal: Float64Array,
  far: number,
): Weights {
  const n = xy.length / 2;
  const values = [0, 1, 2].map(() => new Float64Array(n));
  const place = (k: number, by: number): number => {
    const x = Math.min(width - 1, Math.max(0, Math.round(xy[2 * k]! + by * normal[2 * k]!)));
    const y = Math.min(height - 1, Math.max(0, Math.round(xy[2 * k + 1]! + by * normal[2 * k + 1]!)));
    return (y * width + x) * channels;
  };
  for (let k = 0; k < n; k++) {
    const [out, into] = [place(k, far), place(k, -far)];
    for (let c = 0; c < 3; c++) values[c]![k] = data[out + c]! - data[into + c]!;
  }
  const differences = values.map((v) => (n > 0 ? median(v) : 0));
  const luma = Math.abs(LUMA[0] * differences[0]! + LUMA[1] * differences[1]! + LUMA[2] * differences[2]!);
  const best = [0, 1, 2].reduce((p, c) => (Math.abs(differences[c]!) > Math.abs(differences[p]!) ? c : p), 0);
  if (Math.abs(differences[best]!) < BIN_EDGE.gain * luma) return LUMA;
  return [best === 0 ? 1 : 0, best === 1 ? 1 : 0, best === 2 ? 1 : 0];
}

interface Crossing {
  readonly at: number;
  readonly sigma: number;
  readonly width: number;
  readonly outside: number;
  readonly fall: number;
}

/** The half-way place of a line of light nearest to its steepest, px from its middle; null where there is no clear edge. */
function crossing(
  line: Float64Array,
  cells: number,
  reach: number,
  between: readonly [number, number],
): Crossing | null {
  const half = cells >> 1;
  let steepest = 0;
  let place = half;
  for (let i = half - reach; i <= half + reach; i++) {
    // Near wins over a little steeper: numbers and shadows lie further off.
    const slope = Math.abs(line[i + 1]! - line[i - 1]!) * (1 - 0.04 * Math.abs(i - half));
    if (slope > steepest) {
      steepest = slope;
      place = i;
    }
  }
  const [near, far] = [Math.ceil(between[0]), Math.floor(between[1])];
  const inside = plateau(line, Math.max(0, place - far), Math.max(0, place - near));
  const outside = plateau(line, Math.min(cells - 1, place + near), Math.min(cells - 1, place + far));
  const rise = outside - inside;
  if (Math.abs(SRGB.toDisplay(outside) - SRGB.toDisplay(inside)) < BIN_EDGE.contrast) return null;
  const cut = (share: number): number => {
    const level = inside + share * rise;
    let best = NaN;
    for (let i = Math.max(0, place - near); i < Math.min(cells - 1, place + near); i++) {
      const [a, b] = [line[i]! - level, line[i + 1]! - level];
      if (a * rise > 0 || b * rise < 0 || a === b) continue;
      const t = i + a / (a - b);
      if (!(Math.abs(t - place) > Math.abs(best - place))) best = t;
    }
    return best;
  };
  const at = cut(0.5);
  if (Number.isNaN(at)) return null;
  const width = cut(0.75) - cut(0.25);
  if (!(width > 0)) return null;
  const slope = (0.5 * rise) / width;
  const noise = scatterOf(line, Math.min(cells - 4, place + near));
  return {
    at: at - half,
    sigma: Math.hypot(BIN_EDGE.sigma, Math.min(1, noise / Math.abs(slope))),
    width,
    outside,
    fall: rise,
  };
}

function plateau(line: Float64Array, from: number, to: number): number {
  let s = 0;
  for (let i = from; i <= to; i++) s += line[i]!;
  return s / (to - from + 1);
}

/** Scatter of four values about their line. */
function scatterOf(line: Float64Array, from: number): number {
  const [a, b, c, d] = [line[from]!, line[from + 1]!, line[from + 2]!, line[from + 3]!];
  return Math.hypot(a - 2 * b + c, b - 2 * c + d) / Math.sqrt(12);
}
