import type { Outline } from '../geometry/outline.ts';
import { median } from '../maths/linear.ts';
import { LUMA, type Picture } from './picture.ts';
import { SRGB } from './tone.ts';

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

/** Edge points along a curve, and how dark and even the band inside is. */
export interface BinEdges extends Outline {
  /** Median display values inside and outside, red, green, blue. */
  readonly inside: readonly [number, number, number];
  readonly outside: readonly [number, number, number];
  /** Share of the points looked for that showed an edge. */
  readonly share: number;
  /** Median width over which the edge rises from a quarter to three quarters, px. */
  readonly width: number;
}

/**
 * Where the light passes half way between inside and outside, along a predicted outline.
 *
 * In linear light, so that neither blur nor the tone curve moves a straight edge. Cheap: a few lines of pixels per point. What a rounded
 * rim mirrors of the stage (Fresnel) moves it inwards by up to some tenths of a pixel; `TYPE_B` of the bin holds that.
 *
 * @param xy     [u, v] per point, px; `normal` outwards.
 * @param reach  How far an edge may lie from there, px.
 */
export function binEdges(
  picture: Picture,
  xy: Float64Array,
  normal: Float64Array,
  reach: number = BIN_EDGE.reach,
): BinEdges {
  const n = xy.length / 2;
  const cells = 2 * (reach + Math.ceil(BIN_EDGE.plateau[1])) + 1;
  const lines = new Float64Array(n * 3 * cells);
  for (let k = 0; k < n; k++) fillLine(picture, xy, normal, k, cells, lines);
  const plane = plainestPlane(lines, n, cells);
  const found: number[] = [];
  const at: number[] = [];
  const sigma: number[] = [];
  const widths: number[] = [];
  const levels = Array.from({ length: 6 }, (): number[] => []);
  const line = new Float64Array(cells);
  for (let k = 0; k < n; k++) {
    for (let i = 0; i < cells; i++) {
      const o = (k * cells + i) * 3;
      const v = plane[0] * lines[o]! + plane[1] * lines[o + 1]! + plane[2] * lines[o + 2]!;
      line[i] = SRGB.toLight(v);
    }
    const edge = crossing(line, cells, reach);
    if (!edge) continue;
    found.push(k);
    at.push(edge.at);
    sigma.push(edge.sigma);
    widths.push(edge.width);
    const place = Math.round(edge.at) + (cells >> 1);
    for (let c = 0; c < 3; c++) {
      levels[c]!.push(lines[(k * cells + place - 4) * 3 + c]!);
      levels[3 + c]!.push(lines[(k * cells + place + 4) * 3 + c]!);
    }
  }
  const points = new Float64Array(2 * found.length);
  const normals = new Float64Array(2 * found.length);
  found.forEach((k, m) => {
    for (let a = 0; a < 2; a++) {
      points[2 * m + a] = xy[2 * k + a]! + at[m]! * normal[2 * k + a]!;
      normals[2 * m + a] = normal[2 * k + a]!;
    }
  });
  const middles = levels.map((v) => (v.length > 0 ? median(v) : 0));
  return {
    xy: points,
    normal: normals,
    sigma: Float64Array.from(sigma),
    byTerm: new Float64Array(0),
    terms: 0,
    inside: [middles[0]!, middles[1]!, middles[2]!],
    outside: [middles[3]!, middles[4]!, middles[5]!],
    share: n > 0 ? found.length / n : 0,
    width: widths.length > 0 ? median(widths) : 0,
  };
}

/** Display values along the normal, mean of the lines beside one another, interpolated between pixels; three colours a cell. */
function fillLine(
  { data, width, height, channels }: Picture,
  xy: Float64Array,
  normal: Float64Array,
  k: number,
  cells: number,
  lines: Float64Array,
): void {
  const nu = normal[2 * k]!;
  const nv = normal[2 * k + 1]!;
  const half = cells >> 1;
  const count = BIN_EDGE.aside.length;
  for (let i = 0; i < cells; i++) {
    const o = (k * cells + i) * 3;
    for (let l = 0; l < count; l++) {
      const b = BIN_EDGE.aside[l]!;
      const u = Math.min(width - 1.001, Math.max(0, xy[2 * k]! + (i - half) * nu - b * nv));
      const v = Math.min(height - 1.001, Math.max(0, xy[2 * k + 1]! + (i - half) * nv + b * nu));
      const x = Math.floor(u);
      const y = Math.floor(v);
      const f = u - x;
      const g = v - y;
      const p = (y * width + x) * channels;
      const q = p + width * channels;
      for (let c = 0; c < 3; c++)
        lines[o + c]! +=
          ((1 - g) * ((1 - f) * data[p + c]! + f * data[p + channels + c]!) +
            g * ((1 - f) * data[q + c]! + f * data[q + channels + c]!)) /
          count;
    }
  }
}

/** Luma, or the colour in which inside and outside differ where luma hardly does. */
function plainestPlane(lines: Float64Array, n: number, cells: number): readonly [number, number, number] {
  const differences = [0, 1, 2].map((c) => {
    const values: number[] = [];
    for (let k = 0; k < n; k++) values.push(lines[(k * cells + cells - 3) * 3 + c]! - lines[(k * cells + 2) * 3 + c]!);
    return values.length > 0 ? median(values) : 0;
  });
  const luma = Math.abs(LUMA[0] * differences[0]! + LUMA[1] * differences[1]! + LUMA[2] * differences[2]!);
  const best = [0, 1, 2].reduce((p, c) => (Math.abs(differences[c]!) > Math.abs(differences[p]!) ? c : p), 0);
  if (Math.abs(differences[best]!) < BIN_EDGE.gain * luma) return LUMA;
  return [best === 0 ? 1 : 0, best === 1 ? 1 : 0, best === 2 ? 1 : 0];
}

interface Crossing {
  readonly at: number;
  readonly sigma: number;
  readonly width: number;
}

/** The half-way place of a line of light nearest to its steepest, px from its middle; null where there is no clear edge. */
function crossing(line: Float64Array, cells: number, reach: number): Crossing | null {
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
  const [near, far] = [Math.ceil(BIN_EDGE.plateau[0]), Math.floor(BIN_EDGE.plateau[1])];
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
  return { at: at - half, sigma: Math.hypot(BIN_EDGE.sigma, Math.min(1, noise / Math.abs(slope))), width };
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
