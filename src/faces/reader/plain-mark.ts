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
  const skin = [...value].filter((_, k) => mask[k]).sort((a, b) => a - b);
  if (skin.length < 400) return null;
  const middle = skin[skin.length >> 1]!;
  const spread = (skin[Math.floor(0.75 * skin.length)]! - skin[Math.floor(0.25 * skin.length)]!) / 1.349;
  const [low, high] = [
    middle - skin[Math.floor(0.004 * skin.length)]!,
    skin[Math.ceil(0.996 * skin.length) - 1]! - middle,
  ];
  const peak = Math.max(low, high);
  if (!(peak > PLAIN_MARK.contrast * Math.max(spread, 1e-4))) return null;
  const sign = high > low ? 1 : -1;
  const own = value.map((v, k) => (mask[k] && sign * (v - middle) > PLAIN_MARK.inside * peak ? 1 : 0));
  const inner = drawnIn(mask, PLAIN_MARK.margin);
  const near = widened(own, PLAIN_MARK.margin);
  const stray = value.reduce(
    (n, v, k) => n + (inner[k] && !near[k] && Math.abs(v - middle) > PLAIN_MARK.beside * peak ? 1 : 0),
    0,
  );
  if (stray > PLAIN_MARK.stray * skin.length || own.some((m, k) => m && !inner[k])) return null;
  return connected(own) ? formOf(own) : null;
}

/** Disc or bar by second moments; see {@link PLAIN_MARK}. */
function formOf(own: Float32Array): PlainMark | null {
  let [n, x, y, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
  const half = GRID / 2 - 0.5;
  own.forEach((m, k) => {
    if (!m) return;
    const [u, v] = [(k % GRID) - half, Math.floor(k / GRID) - half];
    [n, x, y, xx, xy, yy] = [n + 1, x + u, y + v, xx + u * u, xy + u * v, yy + v * v];
  });
  if (n < 6) return null;
  [x, y] = [x / n, y / n];
  // A pixel's own extent belongs to the moments.
  const [a, b, c] = [xx / n - x * x + 1 / 12, xy / n - x * y, yy / n - y * y + 1 / 12];
  const [mean, root] = [(a + c) / 2, Math.hypot((a - c) / 2, b)];
  const [most, least] = [mean + root, mean - root];
  const sides = Math.sqrt(most / least);
  const between = (v: number, [from, to]: readonly [number, number]): boolean => v >= from && v <= to;
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

/** Whether all marked places hang together. */
function connected(own: Float32Array): boolean {
  const start = own.indexOf(1);
  const seen = new Uint8Array(own.length);
  const open = [start];
  seen[start] = 1;
  let count = 0;
  for (let k = open.pop(); k !== undefined; k = open.pop()) {
    count++;
    for (const next of [k - 1, k + 1, k - GRID, k + GRID])
      if (own[next] && !seen[next]) {
        seen[next] = 1;
        open.push(next);
      }
  }
  return count === own.reduce((s, m) => s + m, 0);
}

function widened(from: Float32Array, times: number): Float32Array {
  let now = from;
  for (let t = 0; t < times; t++)
    now = now.map((m, k) => (m || now[k - 1] || now[k + 1] || now[k - GRID] || now[k + GRID] ? 1 : 0));
  return now;
}

const drawnIn = (mask: Float32Array, times: number): Float32Array =>
  widened(
    mask.map((m) => (m ? 0 : 1)),
    times,
  ).map((m) => (m ? 0 : 1));
