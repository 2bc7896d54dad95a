import type { Table } from '../content/blocks.ts';
import { INK } from '../../figures/drawing.ts';
import type { Letters, Word } from './letters.ts';
import type { Node, PdfCanvas } from './pdf-canvas.ts';

/** Where a table is drawn: a column of a page, in points, and how it goes on. */
export interface TableFlow {
  readonly canvas: PdfCanvas;
  readonly letters: Letters;
  readonly size: readonly [number, number];
  readonly left: number;
  readonly width: number;
  readonly bottom: number;
  y: number;
  newPage(): void;
  /** Sees to so much room on the page. */
  room(height: number): void;
  lines(lines: readonly (readonly Word[])[], size: number, bold: boolean, tag: string, node: Node): void;
}

/** Room after a column, and after the last of several that stand beside others of the same heads. */
const PAD = 7;
const PART = 16;
const padAfter = ({ head }: Table, c: number): number => (head[c + 1]?.text === head[0]!.text ? PART : PAD);
const LEADING = 1.3;
/** Share of a page: tables up to this stand whole. */
const SHORT = 0.22;
/** Least rows on either side of a page's end. */
const TOGETHER = 3;
/** Room over and under a row's letters, to its rules. */
const AIR = 1.6;

interface Laid {
  readonly widths: readonly number[];
  readonly caption: readonly (readonly Word[])[];
  readonly head: Word[][][];
  readonly rows: readonly Word[][][][];
  readonly tall: (lines: readonly Word[][][]) => number;
  /** Of caption and head. */
  readonly top: number;
}

function laid({ letters, width }: TableFlow, table: Table, size: number, widths: readonly number[]): Laid {
  const wrapped = (cells: readonly string[], bold: boolean): Word[][][] =>
    cells.map((t, c) => letters.lines(t, bold, (widths[c]! - padAfter(table, c)) / size));
  const tall = (lines: readonly Word[][][]): number =>
    Math.max(1, ...lines.map((l) => l.length)) * size * LEADING + 2 * AIR;
  const head = wrapped(
    table.head.map((h) => h.text),
    true,
  );
  const rows = table.rows.map((r) => wrapped(r, false));
  const caption = letters.lines(table.caption, true, width / (size + 0.6));
  return { widths, caption, head, rows, tall, top: (caption.length * (size + 0.6) + 2) * LEADING + tall(head) };
}

/** Height that a table needs at least to begin on a page: all of a short one, else its caption, its head and some rows. */
export function tableStart(flow: TableFlow, table: Table, size: number): number {
  const { rows, tall, top } = laid(flow, table, size, columnWidths(flow, table, size));
  const all = rows.reduce((s, r) => s + tall(r), 0);
  const parted = rows.length > 2 * TOGETHER && top + all >= SHORT * flow.size[1];
  return top + (parted ? rows.slice(0, TOGETHER).reduce((s, r) => s + tall(r), 0) : Math.min(all, 0.5 * flow.size[1]));
}

/** Draws a table with its caption above and its head repeated on each page. */
export function drawTable(flow: TableFlow, table: Table, size: number): void {
  const { canvas } = flow;
  const lay = laid(flow, table, size, columnWidths(flow, table, size));
  const { caption, head, rows, tall } = lay;
  flow.room(tableStart(flow, table, size));
  const node = canvas.node('Table', canvas.root);
  flow.lines(caption, size + 0.6, true, 'Caption', canvas.node('Caption', node));
  flow.y += 1;
  const drawing: Drawing = { flow, table, size, node, lay };
  const heading = (): void => {
    drawRow(drawing, head, true);
    drawRule(drawing, 0.6);
  };
  heading();
  rows.forEach((cells, i) => {
    // So many rows as may not stand alone on the next page stay together.
    const left = rows.length - i;
    const height = rows.slice(i, left === TOGETHER && i > 0 ? rows.length : i + 1).reduce((h, r) => h + tall(r), 0);
    if (flow.y + height > flow.bottom) {
      flow.newPage();
      heading();
    }
    drawRow(drawing, cells, false);
    drawRule(drawing, 0.3);
  });
  node.end();
}

/** A table while it is drawn. */
interface Drawing {
  readonly flow: TableFlow;
  readonly table: Table;
  readonly size: number;
  readonly node: Node;
  readonly lay: Laid;
}

/** A line across the table, so many points thick; a thick one is black. */
function drawRule({ flow, lay: { widths } }: Drawing, thick: number): void {
  const right = flow.left + widths.reduce((s, w) => s + w, 0);
  const colour = thick > 0.4 ? INK.black : INK.light;
  flow.canvas.artifact(() => flow.canvas.path(`M${flow.left} ${flow.y}L${right} ${flow.y}`, colour, thick, [], null));
}

function drawRow(drawing: Drawing, cells: readonly Word[][][], heading: boolean): void {
  const { flow, node, lay } = drawing;
  const { canvas } = flow;
  const height = lay.tall(cells);
  const tr = canvas.node('TR', node);
  let x = flow.left;
  cells.forEach((lines, c) => {
    const tag = heading || c === 0 ? 'TH' : 'TD';
    const cell = canvas.node(tag, tr, tag === 'TH' ? { scope: heading ? 'Column' : 'Row' } : {});
    canvas.content(cell, tag, () => drawCell(drawing, lines, c, x, heading ? height : null));
    cell.end();
    x += lay.widths[c]!;
  });
  tr.end();
  flow.y += height;
}

/** Lines of column `c`, whose left is `x`; those of a heading, whose row's height is given, stand at its foot. */
function drawCell(
  { flow, table, size, lay: { widths } }: Drawing,
  lines: readonly (readonly Word[])[],
  c: number,
  x: number,
  headHeight: number | null,
): void {
  const bold = headHeight !== null;
  const down = bold ? (Math.round((headHeight - 2 * AIR) / (size * LEADING)) - lines.length) * size * LEADING : 0;
  const space = flow.letters.width(' ', bold);
  lines.forEach((words, l) => {
    const width = size * (words.reduce((s, w) => s + w.width, 0) + Math.max(0, words.length - 1) * space);
    const left = table.head[c]!.number ? x + widths[c]! - padAfter(table, c) - width : x;
    flow.canvas.line(words, left, flow.y + AIR + down + (l + 1) * size * LEADING - 0.3 * size, size, bold);
  });
}

/** As wide as what stands in them; where that is too much, columns of text give way, the widest first. */
function columnWidths({ letters, width }: TableFlow, table: Table, size: number): number[] {
  const { head, rows } = table;
  const natural = head.map((h, c) => {
    const words = h.text.split(' ').map((w) => letters.word(w, true).width);
    const cells = rows.map((r) => letters.lines(r[c] ?? '', false, Infinity)[0]!);
    const space = letters.width(' ', false);
    const widest = cells.map((l) => l.reduce((s, w) => s + w.width, 0) + Math.max(0, l.length - 1) * space);
    return size * Math.max(...words, ...widest, h.number ? 0 : letters.width('mmm', false)) + padAfter(table, c) + 0.01;
  });
  let excess = natural.reduce((s, w) => s + w, 0) - width;
  const out = [...natural];
  const giving = head.flatMap((h, c) => (h.number ? [] : [c]));
  const columns = giving.length > 0 ? giving : head.map((_, c) => c);
  while (excess > 0.01) {
    const widest = columns.reduce((a, b) => (out[b]! > out[a]! ? b : a));
    const next = Math.max(0, ...columns.filter((c) => out[c]! < out[widest]! - 0.01).map((c) => out[c]!));
    const cut = Math.min(excess, Math.max(1, out[widest]! - next));
    if (out[widest]! - cut < 24) {
      // Nothing is left to give: all shrink alike.
      const k = width / out.reduce((s, w) => s + w, 0);
      return out.map((w) => w * k);
    }
    out[widest]! -= cut;
    excess -= cut;
  }
  return excess < 0 && -excess < 0.45 * width ? out.map((w) => w - excess / out.length) : out;
}
