import { nth } from '../../maths/linear.ts';
import { GRID, GRID_REACH } from './grid.ts';
import type { FaceGrid } from './window.ts';

/** Grid px per face radius. */
const RADIUS = GRID / 2 / GRID_REACH;

/** What counts as one plain mark on a bare face. */
export const PLAIN_MARK = {
  /** Share of the mark's contrast from which a place belongs to it, and that nothing else on the face may reach. */
  inside: 0.5,
  beside: 0.35,
  /** Contrast over the skin's own spread. */
  contrast: 8,
  /** Places beside the mark that may stand out all the same, share of the face; and what is left out round the mark and along the face's edge, grid px. */
  stray: 0.004,
  margin: 3,
  /** How far it may lie off the face's middle, in face radii: across a bar, and otherwise. */
  across: 0.12,
  along: 0.25,
  /** Longer over shorter side: of a disc at most, of a bar at least. */
  round: 1.14,
  long: 3.2,
  /** Area over that of an ellipse or a rectangle of the same second moments. */
  fill: [0.88, 1.12],
  /** Radius of a disc and length of a bar, in face radii. */
  disc: [0.06, 0.34],
  bar: [0.25, 1.4],
} as const;

/** A solid disc, or a straight bar and how far its length is turned from upright, radians modulo half a turn, counter-clockwise. */
export type PlainMark = { readonly form: 'disc' } | { readonly form: 'bar'; readonly turn: number };

/**
 * The one plain mark of a face that bears nothing else: a single pip, or a 1 that is a mere stroke.
 *
 * Such shapes have too little about them for a net to be sure of, and nothing else on a d6 looks like them. Null wherever anything else shows.
 */
export function plainMark({ value, mask }: Pick<FaceGrid, 'value' | 'mask'>): PlainMark | null {
  const skin = shown(value, mask);
  if (skin.length < 400) return null;
  const { middle, spread, low, high } = spreadOf(skin);
  const peak = Math.max(low, high);
  if (!(peak > PLAIN_MARK.contrast * Math.max(spread, 1e-4))) return null;
  const sign = high > low ? 1 : -1;
  const own = new Uint8Array(ROOM);
  const outside = new Uint8Array(ROOM);
  for (let k = 0; k < mask.length; k++) {
    if (!mask[k]) outside[GRID + k] = 1;
    else if (sign * (value[k]! - middle) > PLAIN_MARK.inside * peak) own[GRID + k] = 1;
  }
  const edge = widened(outside, PLAIN_MARK.margin);
  const near = widened(own, PLAIN_MARK.margin);
  let stray = 0;
  for (let k = 0; k < mask.length; k++) {
    if (edge[GRID + k] !== 0) {
      if (own[GRID + k] !== 0) return null;
    } else if (near[GRID + k] === 0 && Math.abs(value[k]! - middle) > PLAIN_MARK.beside * peak) stray++;
  }
  if (stray > PLAIN_MARK.stray * skin.length) return null;
  return connected(own) ? formOf(own) : null;
}

/** Marks of the grid's places with an empty line before them and one behind: whoever looks at neighbours stays inside. */
const ROOM = GRID * (GRID + 2);

/** Values on the face. */
function shown(value: Float32Array, mask: Float32Array): Float32Array {
  const out = new Float32Array(value.length);
  let n = 0;
  for (let k = 0; k < value.length; k++) if (mask[k]) out[n++] = value[k]!;
  return out.subarray(0, n);
}

/**
 * Middle of some values, their spread as that of a normal distribution with such quartiles, and how far below and above the middle nearly all
 * lie; the values are put into another order.
 */
function spreadOf(skin: Float32Array): { middle: number; spread: number; low: number; high: number } {
  const half = skin.length >> 1;
  const [quarter, three] = [Math.floor(0.25 * skin.length), Math.floor(0.75 * skin.length)];
  // Whatever stands before a value that was found is no larger.
  const middle = nth(skin, half);
  const lower = nth(skin.subarray(0, half), quarter);
  const least = nth(skin.subarray(0, quarter), Math.floor(0.004 * skin.length));
  const upper = nth(skin.subarray(half), three - half);
  const most = nth(skin.subarray(three), Math.ceil(0.996 * skin.length) - 1 - three);
  return { middle, spread: (upper - lower) / 1.349, low: middle - least, high: most - middle };
}

const between = (v: number, [from, to]: readonly [number, number]): boolean => v >= from && v <= to;

/** Disc or bar by second moments; see {@link PLAIN_MARK}. */
function formOf(own: Uint8Array): PlainMark | null {
  let [n, x, y, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
  const half = GRID / 2 - 0.5;
  for (let k = 0; k < GRID * GRID; k++) {
    if (own[GRID + k] === 0) continue;
    const u = (k % GRID) - half;
    const v = Math.floor(k / GRID) - half;
    n++;
    x += u;
    y += v;
    xx += u * u;
    xy += u * v;
    yy += v * v;
  }
  if (n < 6) return null;
  [x, y] = [x / n, y / n];
  // A pixel's own extent belongs to the moments.
  const [a, b, c] = [xx / n - x * x + 1 / 12, xy / n - x * y, yy / n - y * y + 1 / 12];
  const [mean, root] = [(a + c) / 2, Math.hypot((a - c) / 2, b)];
  const [most, least] = [mean + root, mean - root];
  const sides = Math.sqrt(most / least);
  const { round, long, fill, disc, bar, across, along } = PLAIN_MARK;
  if (
    sides < round &&
    between(n / (4 * Math.PI * Math.sqrt(most * least)), fill) &&
    between(Math.sqrt(n / Math.PI) / RADIUS, disc)
  )
    return Math.hypot(x, y) < across * RADIUS ? { form: 'disc' } : null;
  if (
    sides < long ||
    !between(n / (12 * Math.sqrt(most * least)), fill) ||
    !between(Math.sqrt(12 * most) / RADIUS, bar)
  )
    return null;
  // Direction of the longer side; y runs down.
  const turn = 0.5 * Math.atan2(2 * b, a - c);
  const [ex, ey] = [Math.cos(turn), Math.sin(turn)];
  if (Math.abs(x * ey - y * ex) > across * RADIUS || Math.abs(x * ex + y * ey) > along * RADIUS) return null;
  // Counter-clockwise from upright as drawn: up is (0, -1).
  return { form: 'bar', turn: Math.atan2(-ex, -ey) };
}

const BESIDE = [-1, 1, -GRID, GRID] as const;

/** Whether all marked places hang together. */
function connected(own: Uint8Array): boolean {
  const left = own.slice();
  const open = [own.indexOf(1)];
  left[open[0]!] = 0;
  for (let k = open.pop(); k !== undefined; k = open.pop())
    for (let d = 0; d < BESIDE.length; d++) {
      const next = k + BESIDE[d]!;
      if (left[next] !== 1) continue;
      left[next] = 0;
      open.push(next);
    }
  return !left.includes(1);
}

/** Grown by a place above, below and on either side, so many times. */
function widened(from: Uint8Array, times: number): Uint8Array {
  let now = from;
  for (let t = 0; t < times; t++) {
    const before = now;
    now = new Uint8Array(ROOM);
    for (let k = GRID; k < ROOM - GRID; k++)
      now[k] = before[k]! | before[k - 1]! | before[k + 1]! | before[k - GRID]! | before[k + GRID]!;
  }
  return now;
}
