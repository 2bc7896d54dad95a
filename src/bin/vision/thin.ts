import type { Window } from '../../vision/stage-window.ts';
import { GROUND, labelled, type Labelled } from './mask.ts';
import { wideCells } from './opened.ts';

export const THIN = {
  /** Widest thing that is a line, reduced px: two millimetres, a hair with the blur and the closing about it. */
  width: 9,
  /** A thing of which less than this is wider is thin as a whole. */
  share: 0.4,
  /** Reduced px round what is wide that still belong to it: tips of corners, which nothing wide reaches. */
  tips: 4,
  /** Half width of a bar that joins things, as a share of their inscribed radius; what an opening takes off a corner of 100 degrees, of its width. */
  bar: 0.4,
  corner: 0.2,
} as const;

/** What counts as a line, and how much round what is wider still belongs to it; reduced px, the width odd. */
export interface LineWidth {
  readonly width: number;
  readonly tips: number;
}

/** What joins things of this inscribed radius without being one: a bar up to two fifths as wide. */
export function barWidth(inradius: number): LineWidth {
  const width = 2 * Math.floor(THIN.bar * inradius) + 1;
  return { width: Math.max(THIN.width, width), tips: Math.max(THIN.tips, Math.ceil(THIN.corner * width)) };
}

/** Things without what is thin about them, and things that are thin as a whole. */
export interface Parted {
  /** As `labelled` leaves it. */
  readonly ground: Int32Array;
  readonly parts: readonly Labelled[];
  /** Numbers of parts that are lines: a hair, the border of a shadow, the rim of something. */
  readonly thin: ReadonlySet<number>;
}

/**
 * Takes hairs, pencil lines and borders of shadows away from what they touch, which falls apart where such a line alone joins it.
 *
 * @param flooded  0 at things, `GROUND` elsewhere; left as it is.
 */
export function withoutLines(
  flooded: Int32Array,
  { w, h }: Pick<Window, 'w' | 'h'>,
  spans: Int32Array,
  line: LineWidth = THIN,
): Parted {
  const mask = new Uint8Array(w * h);
  for (let k = 0; k < mask.length; k++) if (flooded[k] !== GROUND) mask[k] = 1;
  const wide = wideCells(mask, w, h, line.width, 2 * line.tips + 1);
  const whole = flooded.slice();
  const first = labelled(whole, spans, w, h);
  const most = first.reduce((l, { label }) => Math.max(l, label), 0);
  const broad = new Int32Array(1 + most);
  for (let k = 0; k < whole.length; k++) if (wide[k] && whole[k]! > 0 && whole[k]! <= most) broad[whole[k]!]!++;
  // 1 at numbers of lines: asked of every cell.
  const lines = new Uint8Array(1 + most);
  for (const p of first) if (broad[p.label]! < THIN.share * p.area) lines[p.label] = 1;
  const ground = new Int32Array(w * h).fill(GROUND);
  for (let k = 0; k < whole.length; k++) if (whole[k]! > 0 && (wide[k] || lines[whole[k]!] === 1)) ground[k] = 0;
  const parts = labelled(ground, spans, w, h);
  const thin = new Set<number>();
  for (let k = 0; k < ground.length; k++) if (ground[k]! > 0 && lines[whole[k]!] === 1) thin.add(ground[k]!);
  return { ground, parts, thin };
}

/** Cells of a window: the first at (left, top), and how many. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly w: number;
  readonly h: number;
}

/** Kept round a box, cells: more than half of what is looked for beside a thing that is smaller still. */
const AROUND = 8;

/** The box round a hull, with nothing of it at its border but at the window's. */
export function boxRound(hull: readonly number[], { w, h }: Pick<Window, 'w' | 'h'>): Box {
  let [x0, y0, x1, y1] = [w, h, 0, 0];
  for (let i = 0; i < hull.length; i += 2) {
    x0 = Math.min(x0, hull[i]!);
    x1 = Math.max(x1, hull[i]!);
    y0 = Math.min(y0, hull[i + 1]!);
    y1 = Math.max(y1, hull[i + 1]!);
  }
  const [left, top] = [Math.max(0, x0 - AROUND), Math.max(0, y0 - AROUND)];
  return { left, top, w: Math.min(w, x1 + AROUND + 1) - left, h: Math.min(h, y1 + AROUND + 1) - top };
}

/** {@link withoutLines} where nothing lies outside a box: the same in the time that the box takes. */
export function withoutLinesIn(
  { left, top, w, h }: Box,
  flooded: Int32Array,
  window: Window,
  spans: Int32Array,
  line?: LineWidth,
): Parted {
  const cells = new Int32Array(w * h);
  const rows = new Int32Array(2 * h);
  for (let y = 0; y < h; y++) {
    const from = (top + y) * window.w + left;
    cells.set(flooded.subarray(from, from + w), y * w);
    rows[2 * y] = Math.max(0, spans[2 * (top + y)]! - left);
    rows[2 * y + 1] = Math.min(w - 1, spans[2 * (top + y) + 1]! - left);
  }
  const { ground, parts, thin } = withoutLines(cells, { w, h }, rows, line);
  const whole = new Int32Array(flooded.length).fill(GROUND);
  for (let y = 0; y < h; y++) whole.set(ground.subarray(y * w, (y + 1) * w), (top + y) * window.w + left);
  const placed = (ends: readonly number[]): number[] => ends.map((v, i) => v + (i % 2 === 0 ? left : top));
  return { ground: whole, parts: parts.map((p) => ({ ...p, ends: placed(p.ends) })), thin };
}
