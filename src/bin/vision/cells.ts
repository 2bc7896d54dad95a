import { median } from '../../maths/linear.ts';
import { GROUND } from './mask.ts';
import type { Window } from '../../vision/stage-window.ts';

export const CELLS = {
  /** Change over two reduced pixels, three colours and both directions summed, that is an edge, display values: at least this, and so many medians. */
  change: 22,
  medians: 6,
  /** Times the least level from which noise sets it; and from which one smoothing was not enough. */
  noisy: 2,
  noisier: 5,
  /** Shade of the stage under which a cell is no shadow, and difference of colour, display values and share of the usual, that is a thing's. */
  darkest: 0.28,
  strangeness: 24,
  share: 0.35,
  /** How far the stage's border may differ from itself: display values, and a share for shade. */
  blank: 12,
  shade: 0.16,
  /** Share of the border that must have another shade of its colour to be taken for the stage in shadow (or in light): more than a die covers. */
  border: 0.12,
  /** The same of what is within a thing: a shadow that joins dice. */
  within: 0.15,
} as const;

/** Where colours change steeply. */
export interface Changes {
  /** 255 there, and 0. */
  readonly steep: Uint8Array;
  /** How many times the least level noise raises it: edges must be as much steeper to stand out. */
  readonly noise: number;
}

export function changes(planes: readonly Int16Array[], { w, h }: Window, spans: Int32Array): Changes {
  const [p, q, r] = planes as [Int16Array, Int16Array, Int16Array];
  const sum = new Uint16Array(w * h);
  const sample: number[] = [];
  for (let y = 1; y < h - 1; y++)
    for (let k = y * w + spans[2 * y]!, end = y * w + spans[2 * y + 1]!; k <= end; k++) {
      sum[k] =
        Math.abs(p[k + 1]! - p[k - 1]!) +
        Math.abs(p[k + w]! - p[k - w]!) +
        Math.abs(q[k + 1]! - q[k - 1]!) +
        Math.abs(q[k + w]! - q[k - w]!) +
        Math.abs(r[k + 1]! - r[k - 1]!) +
        Math.abs(r[k + w]! - r[k - w]!);
      if (k % 31 === 0) sample.push(sum[k]!);
    }
  // Sums of four pixels: in quarters of display values.
  const usual = CELLS.medians * (sample.length > 0 ? median(sample) : 0);
  const level = Math.max(4 * CELLS.change, usual);
  const out = new Uint8Array(w * h);
  for (let k = 0; k < out.length; k++) out[k] = sum[k]! > level ? 255 : 0;
  return { steep: out, noise: usual / (4 * CELLS.change) };
}

/** Means of three by three cells, in the planes' own units: a third of the noise, and two thirds of an edge's steepness. */
export function smoothed(planes: readonly Int16Array[], { w, h }: Window): Int16Array[] {
  const rows = new Int16Array(w * h);
  return planes.map((p) => {
    for (let k = 1; k < w * h - 1; k++) rows[k] = p[k - 1]! + p[k]! + p[k + 1]!;
    const out = p.slice();
    for (let y = 1; y < h - 1; y++)
      for (let k = y * w + 1; k < (y + 1) * w - 1; k++) out[k] = (rows[k - w]! + rows[k]! + rows[k + w]!) / 9;
    return out;
  });
}

/** Cells along the border of what is looked at. */
export function borderCells({ w, h }: Window, spans: Int32Array): number[] {
  const border: number[] = [];
  for (let y = 1; y < h - 1; y++) {
    const [first, last] = [spans[2 * y]!, spans[2 * y + 1]!];
    const from = Math.max(first + 1, spans[2 * y - 2]!, spans[2 * y + 2]!);
    const to = Math.min(last - 1, spans[2 * y - 1]!, spans[2 * y + 3]!);
    for (let x = first; x <= last; x++) {
      if (x === from && to >= from) x = to + 1;
      border.push(y * w + x);
    }
  }
  return border;
}

/** Whether a cell looks as the stage's border does, in a shade of its usual light (1: in all of it). */
export type LooksLike = (cell: number, shade: number) => boolean;

export function stageLook(planes: readonly Int16Array[], usual: readonly number[]): LooksLike {
  const near = usual.map((u) => 4 * CELLS.blank + CELLS.shade * u);
  const [p, q, r] = planes as [Int16Array, Int16Array, Int16Array];
  const [a, b, c] = usual as [number, number, number];
  const [da, db, dc] = near as [number, number, number];
  return (k, shade) => {
    const most = Math.min(1, shade);
    return (
      Math.abs(p[k]! - shade * a) < da * most &&
      Math.abs(q[k]! - shade * b) < db * most &&
      Math.abs(r[k]! - shade * c) < dc * most
    );
  };
}

/**
 * Those of some cells that look as the stage does, and away from edges: at its border what is cut by it lets nothing in.
 *
 * @param share  Of the cells that must have another shade of the stage's colour for that to be taken for the stage in shadow, or in light.
 */
export function blankCells(
  planes: readonly Int16Array[],
  edges: Uint8Array,
  cells: readonly number[],
  usual: readonly number[],
  like: LooksLike,
  share: number,
  w: number,
): number[] {
  const shade = otherShade(planes, cells, usual, like, share);
  return cells.filter((k) => (like(k, 1) || (shade !== null && like(k, shade))) && !nearEdge(edges, k, w));
}

/** Median colour of cells, in the planes' units. */
export const usualOf = (planes: readonly Int16Array[], cells: readonly number[]): number[] =>
  planes.map((p) => median(cells.map((k) => p[k]!)));

/** Shade of the stage, as a share of its usual light, that a good part of some cells has: what a hard shadow covers. */
function otherShade(
  planes: readonly Int16Array[],
  cells: readonly number[],
  usual: readonly number[],
  like: LooksLike,
  share: number,
): number | null {
  const total = usual.reduce((s, v) => s + v, 0);
  const others = cells.filter((k) => !like(k, 1));
  if (others.length < share * cells.length) return null;
  const [p, q, r] = planes as [Int16Array, Int16Array, Int16Array];
  const shade = median(Float64Array.from(others, (k) => (p[k]! + q[k]! + r[k]!) / total));
  const alike = others.filter((k) => like(k, shade)).length;
  return shade > CELLS.darkest && alike >= share * cells.length ? shade : null;
}

/**
 * 255 at cells whose colour no shade of the stage has: a shadow scales all colours alike. It closes outlines that have gaps; a die of
 * the stage's own hue has edges alone.
 */
export function strange(
  planes: readonly Int16Array[],
  seeds: readonly number[],
  { h, w }: Window,
  spans: Int32Array,
): Uint8Array {
  const mask = new Uint8Array(w * h);
  if (seeds.length === 0) return mask;
  const [red, green, blue] = planes as [Int16Array, Int16Array, Int16Array];
  const [sr, sg, sb] = planes.map((p) => median(seeds.map((k) => p[k]!))) as [number, number, number];
  const ss = sr * sr + sg * sg + sb * sb;
  const { darkest, strangeness, share } = CELLS;
  const unlike = new Float32Array(w * h);
  const sample: number[] = [];
  for (let y = 1; y < h - 1; y++)
    for (let k = y * w + spans[2 * y]!, end = y * w + spans[2 * y + 1]!; k <= end; k++) {
      const r = red[k]!;
      const g = green[k]!;
      const b = blue[k]!;
      const shade = (r * sr + g * sg + b * sb) / ss;
      const dr = r - shade * sr;
      const dg = g - shade * sg;
      const db = b - shade * sb;
      const v = shade < darkest || shade > 2 - darkest ? 1e6 : dr * dr + dg * dg + db * db;
      unlike[k] = v;
      if (k % 17 === 0) sample.push(v);
    }
  const sorted = Float64Array.from(sample).sort();
  const level = Math.max((4 * strangeness) ** 2, share * share * (sorted[Math.floor(0.9 * sorted.length)] ?? 0));
  for (let k = 0; k < mask.length; k++) if (unlike[k]! > level) mask[k] = 255;
  return mask;
}

/** Whether an edge lies within two cells. */
function nearEdge(edges: Uint8Array, k: number, w: number): boolean {
  for (let j = -2; j <= 2; j++) for (let i = -2; i <= 2; i++) if (edges[k + j * w + i]) return true;
  return false;
}

/** Median colour of the cells that the stage's border reaches, display values. */
export function colourOf(
  planes: readonly Int16Array[],
  ground: Int32Array,
  { w, h }: Window,
  spans: Int32Array,
): [number, number, number] {
  const cells: number[] = [];
  for (let y = 1; y < h - 1; y++)
    for (let k = y * w + spans[2 * y]!, end = y * w + spans[2 * y + 1]!; k <= end; k += 7)
      if (ground[k] === GROUND) cells.push(k);
  // Planes are sums of four pixels.
  return planes.map((p) => (cells.length > 0 ? median(cells.map((k) => p[k]!)) / 4 : 128)) as [number, number, number];
}
