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
export function withoutLines(flooded: Int32Array, window: Window, spans: Int32Array, line: LineWidth = THIN): Parted {
  const { w, h } = window;
  const mask = Uint8Array.from(flooded, (v) => (v === GROUND ? 0 : 1));
  const wide = wideCells(mask, w, h, line.width, 2 * line.tips + 1);
  const whole = flooded.slice();
  const first = labelled(whole, spans, w, h);
  const broad = new Map(first.map((p) => [p.label, 0]));
  for (let k = 0; k < whole.length; k++) if (whole[k]! > 0 && wide[k]) broad.set(whole[k]!, broad.get(whole[k]!)! + 1);
  const lines = new Set(first.filter((p) => broad.get(p.label)! < THIN.share * p.area).map((p) => p.label));
  const ground = new Int32Array(w * h).fill(GROUND);
  for (let k = 0; k < whole.length; k++) if (whole[k]! > 0 && (wide[k] || lines.has(whole[k]!))) ground[k] = 0;
  const parts = labelled(ground, spans, w, h);
  const thin = new Set<number>();
  for (let k = 0; k < ground.length; k++) if (ground[k]! > 0 && lines.has(whole[k]!)) thin.add(ground[k]!);
  return { ground, parts, thin };
}
