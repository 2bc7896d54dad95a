import { median } from '../../maths/linear.ts';
import { contains } from '../../geometry/polygon.ts';
import type { Thing } from './thing.ts';
import type { Picture } from '../../vision/picture.ts';

/**
 * How far a thing's outline is from a circle on the card: median distance in shares of its diameter.
 *
 * @param place  Point of the card's plane that a picture position shows, mm.
 */
export function circleMisfit(
  { outline, cut }: Thing,
  place: (u: number, v: number) => readonly [number, number],
): number {
  const points: (readonly [number, number])[] = [];
  for (let i = 0; i < cut.length; i += 4) if (!cut[i]) points.push(place(outline[2 * i]!, outline[2 * i + 1]!));
  if (points.length < 12) return Infinity;
  // Algebraic circle: x^2 + y^2 = a x + b y + c (Kasa 1976), about the mean for the digits.
  const n = points.length;
  const [mx, my] = [points.reduce((s, p) => s + p[0], 0) / n, points.reduce((s, p) => s + p[1], 0) / n];
  let [xx, xy, yy, xr, yr, rr] = [0, 0, 0, 0, 0, 0];
  for (const [px, py] of points) {
    const [x, y] = [px - mx, py - my];
    const q = x * x + y * y;
    xx += x * x;
    xy += x * y;
    yy += y * y;
    xr += x * q;
    yr += y * q;
    rr += q;
  }
  const det = xx * yy - xy * xy;
  if (!(det > 0)) return Infinity;
  const [cx, cy] = [(yy * xr - xy * yr) / det / 2, (xx * yr - xy * xr) / det / 2];
  const radius = Math.sqrt(rr / n + cx * cx + cy * cy);
  const off = points.map(([px, py]) => Math.abs(Math.hypot(px - mx - cx, py - my - cy) - radius));
  return median(off) / (2 * radius);
}

export const SHADE = {
  /** Display values over the stage's that a shadow has, and how much a colour may differ from that shade, in shares of the stage. */
  least: 0.35,
  most: 0.96,
  colour: 0.045,
  /** How even a shadow is: spread of its shade, half of all places. */
  spread: 0.12,
} as const;

/** Median shade of the stage inside a thing that has the stage's own colour throughout, or null: a shadow (or a grey thing). */
export function shadeOf(
  { data, width, height, channels }: Picture,
  { outline }: Thing,
  stage: readonly [number, number, number],
): number | null {
  const n = outline.length / 2;
  let [cu, cv] = [0, 0];
  for (let i = 0; i < n; i++) {
    cu += outline[2 * i]! / n;
    cv += outline[2 * i + 1]! / n;
  }
  const shades: number[] = [];
  const colours: number[] = [];
  for (let i = 0; i < n; i += 3)
    for (const t of [0.15, 0.35, 0.55, 0.75]) {
      const x = Math.round(cu + t * (outline[2 * i]! - cu));
      const y = Math.round(cv + t * (outline[2 * i + 1]! - cv));
      if (x < 0 || y < 0 || x >= width || y >= height) continue;
      const p = (y * width + x) * channels;
      const parts = [0, 1, 2].map((c) => data[p + c]! / Math.max(1, stage[c]!));
      const shade = (parts[0]! + parts[1]! + parts[2]!) / 3;
      shades.push(shade);
      colours.push(Math.max(...parts.map((v) => Math.abs(v - shade))));
    }
  if (shades.length < 12) return null;
  const shade = median(shades);
  const spread = median(shades.map((v) => Math.abs(v - shade)));
  const alike = median(colours) < SHADE.colour;
  return alike && shade > SHADE.least && shade < SHADE.most && spread < SHADE.spread * shade ? shade : null;
}

export const FOREIGN = {
  /** Places looked at across and down the box round a thing, how many tell something, and how far round its dice nothing is, the blur's and the die's own light, shares of the die. */
  grid: 24,
  places: 8,
  apart: 1.2,
  /** Difference from the stage's own hue, shares of the stage: twice what a shadow has. */
  colour: 0.1,
} as const;

/** Of the places in a thing's outline that are not near the outlines of its dice, the share that has a colour which no shade of the stage has: a hand about them. */
export function foreignShare(
  { data, width, height, channels }: Picture,
  { outline }: Thing,
  dice: readonly Float64Array[],
  stage: readonly [number, number, number],
): number {
  const cores = dice.map((core) => ({ core, middle: meanPoint(core) }));
  const [left, top, right, bottom] = boxOf(outline);
  let [seen, foreign] = [0, 0];
  for (let i = 0.5; i < FOREIGN.grid; i++)
    for (let j = 0.5; j < FOREIGN.grid; j++) {
      const u = Math.round(left + (i / FOREIGN.grid) * (right - left));
      const v = Math.round(top + (j / FOREIGN.grid) * (bottom - top));
      if (u < 0 || v < 0 || u >= width || v >= height || !contains(outline, u, v)) continue;
      const near = cores.some(({ core, middle: [cu, cv] }) =>
        contains(core, cu + (u - cu) / FOREIGN.apart, cv + (v - cv) / FOREIGN.apart),
      );
      if (near) continue;
      seen++;
      const p = (v * width + u) * channels;
      const parts = [0, 1, 2].map((c) => data[p + c]! / Math.max(1, stage[c]!));
      const shade = (parts[0]! + parts[1]! + parts[2]!) / 3;
      if (Math.max(...parts.map((part) => Math.abs(part - shade))) > FOREIGN.colour) foreign++;
    }
  return seen < FOREIGN.places ? 0 : foreign / seen;
}

function meanPoint(xy: ArrayLike<number>): [number, number] {
  let [u, v] = [0, 0];
  for (let i = 0; i < xy.length; i += 2) {
    u += xy[i]!;
    v += xy[i + 1]!;
  }
  return [(2 * u) / xy.length, (2 * v) / xy.length];
}

function boxOf(xy: ArrayLike<number>): [number, number, number, number] {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < xy.length; i += 2) {
    left = Math.min(left, xy[i]!);
    right = Math.max(right, xy[i]!);
    top = Math.min(top, xy[i + 1]!);
    bottom = Math.max(bottom, xy[i + 1]!);
  }
  return [left, top, right, bottom];
}
