import type { Block, Figure, Table } from '../content/blocks.ts';
import { INK } from '../../figures/drawing.ts';
import type { Letters, Word } from './letters.ts';
import type { Node, PdfCanvas } from './pdf-canvas.ts';
import { drawTable, tableStart } from './pdf-table.ts';

/** Margins of a page, points. */
export const MARGIN = { side: 50, top: 44, bottom: 52 } as const;

/** Sizes of letters and the distance of their baselines, before scaling. */
const SIZES = { 1: 16, 2: 11.5, 3: 9.5 } as const;
const BODY = 8.8;
const SMALL = 7.4;
const LEADING = 1.32;

/** A figure that does not fit is drawn smaller down to this share of its size, before it goes to the next page. */
const SMALLEST = 0.8;

/** Lines of a paragraph, or of an item, that are not parted. */
const WHOLE = 3;

type Figured = Extract<Block, { kind: 'figure' }>;

/**
 * Places blocks one below the other, and begins a page where the next one does not fit. A heading stays with the beginning of what follows; a figure that does not
 * fit shrinks a little, or else what follows it in its section goes before it, so that no page ends in a blank that text could fill.
 */
export class Flow {
  readonly canvas: PdfCanvas;
  readonly letters: Letters;
  readonly size: readonly [number, number];
  readonly scale: number;
  readonly left: number = MARGIN.side;
  readonly width: number;
  y = 0;

  constructor(canvas: PdfCanvas, letters: Letters, size: readonly [number, number], scale: number) {
    [this.canvas, this.letters, this.size, this.scale] = [canvas, letters, size, scale];
    this.width = size[0] - 2 * MARGIN.side;
    this.newPage();
  }

  get bottom(): number {
    return this.size[1] - MARGIN.bottom;
  }

  newPage(): void {
    this.canvas.newPage();
    this.y = MARGIN.top;
  }

  /** Room for something of this height: here, or on the next page. */
  room(height: number): void {
    if (this.y + height > this.bottom && this.y > MARGIN.top) this.newPage();
  }

  gap(height: number): void {
    if (this.y > MARGIN.top) this.y += height * this.scale;
  }

  place(blocks: readonly Block[]): void {
    let waiting: Figured[] = [];
    const release = (): void => {
      for (const figure of waiting) this.#block(figure);
      waiting = [];
    };
    blocks.forEach((block, i) => {
      const next = blocks[i + 1];
      if (block.kind === 'heading') {
        release();
        return this.#heading(block.level, block.text, blocks.slice(i + 1));
      }
      const page = this.canvas.pages;
      // A notice at the end does not stand on a page alone.
      if (next?.kind === 'caution' && i + 2 === blocks.length && (block.kind === 'text' || block.kind === 'list'))
        this.room(this.#textHeight(block) + this.#boxHeight(next.text) + 7 * this.scale);
      const waits = block.kind === 'figure' && this.#shrunk(block) === null && this.y > MARGIN.top;
      if (waits && next !== undefined && next.kind !== 'heading' && next.kind !== 'figure')
        return void waiting.push(block);
      this.#block(block);
      if (this.canvas.pages > page) release();
    });
    release();
  }

  /** The least height of a block's beginning, below which it would not stand on this page. */
  #start(block: Block | undefined, rest: readonly Block[]): number {
    const line = BODY * this.scale * LEADING;
    switch (block?.kind) {
      case undefined:
        return 0;
      case 'heading': {
        const size = SIZES[block.level] * this.scale;
        return (
          this.letters.lines(block.text, true, this.width / size).length * size * LEADING +
          13 * this.scale +
          this.#start(rest[0], rest.slice(1))
        );
      }
      case 'figure':
        return this.#figureHeight(block) * SMALLEST;
      case 'gallery':
        return Math.max(...block.figures.map((f) => f.drawing.height)) * this.scale + 2 * line;
      case 'table':
        return tableStart(this, block, this.#tableSize(block)) + 3 * this.scale;
      case 'text':
      case 'list':
        return 3 * line;
      case 'facts':
        return line * 2;
      case 'caution':
      case 'verdict':
        return 4 * line;
    }
  }

  #figureHeight(block: Figured): number {
    return block.drawing.height * this.scale + 2 * SMALL * this.scale * LEADING + 6 * this.scale;
  }

  #textHeight(block: Extract<Block, { kind: 'text' | 'list' }>): number {
    const size = (block.kind === 'text' && block.small ? SMALL : BODY) * this.scale;
    const [texts, width] = block.kind === 'text' ? [[block.text], this.width] : [block.items, this.width - 10];
    const lines = texts.reduce((s, t) => s + this.letters.lines(t, false, width / size).length, 0);
    return lines * size * LEADING + 1.2 * this.scale * texts.length;
  }

  #boxHeight(text: string): number {
    const size = SMALL * this.scale;
    return this.letters.lines(text, false, (this.width - 16) / size).length * size * LEADING + 9;
  }

  /** The share of its size at which a figure fits here; null where it would become too small. */
  #shrunk(block: Figured): number | null {
    const caption = this.#figureHeight(block) - block.drawing.height * this.scale;
    const share = Math.min(1, (this.bottom - this.y - caption) / (block.drawing.height * this.scale));
    return share >= SMALLEST ? share : null;
  }

  #tableSize = (block: Table): number => (block.fine ? 6.4 : 7.8) * this.scale;

  #heading(level: 1 | 2 | 3, text: string, following: readonly Block[]): void {
    const size = SIZES[level] * this.scale;
    const lines = this.letters.lines(text, true, this.width / size);
    this.gap(level === 1 ? 0 : level === 2 ? 9 : 5);
    this.room(lines.length * size * LEADING + 5 * this.scale + this.#start(following[0], following.slice(1)));
    this.lines(lines, size, true, `H${level}`, this.canvas.node(`H${level}`, this.canvas.root));
    if (level < 3)
      this.canvas.artifact(() =>
        this.canvas.path(
          `M${this.left} ${this.y + 1}L${this.left + this.width} ${this.y + 1}`,
          INK.black,
          level === 1 ? 1.2 : 0.6,
          [],
          null,
        ),
      );
    this.y += 4 * this.scale;
  }

  #block(block: Exclude<Block, { kind: 'heading' }>): void {
    switch (block.kind) {
      case 'text':
        this.paragraph(block.text, block.small ? SMALL : BODY);
        break;
      case 'list':
        this.#list(block.items);
        break;
      case 'caution':
        this.#boxed(block.text);
        break;
      case 'verdict':
        this.#verdict(block.word, block.text, block.verdict);
        break;
      case 'facts':
        this.#facts(block.rows, block.columns);
        break;
      case 'table':
        this.#table(block);
        break;
      case 'figure':
        this.#figures(block.caption, [block], 1, this.#shrunk(block) ?? 1);
        break;
      case 'gallery':
        this.#figures(block.caption, block.figures, block.columns);
        break;
    }
    this.y += 4 * this.scale;
  }

  /** Lines from here on, over pages where needed; all belong to `node`, which is closed. */
  lines(
    lines: readonly (readonly Word[])[],
    size: number,
    bold: boolean,
    tag: string,
    node: Node,
    left = this.left,
  ): void {
    let at = 0;
    while (at < lines.length) {
      this.room(size * LEADING);
      const fit = Math.max(1, Math.floor((this.bottom - this.y) / (size * LEADING)));
      const part = lines.slice(at, at + fit);
      this.canvas.content(node, tag, () => {
        for (const words of part) {
          this.y += size * LEADING;
          this.canvas.line(words, left, this.y - 0.3 * size, size, bold);
        }
      });
      at += part.length;
    }
    node.end();
  }

  paragraph(text: string, points: number, left = this.left, width = this.width): void {
    const size = points * this.scale;
    const lines = this.letters.lines(text, false, width / size);
    if (lines.length <= WHOLE) this.room(lines.length * size * LEADING);
    this.lines(lines, size, false, 'P', this.canvas.node('P', this.canvas.root), left);
  }

  #list(items: readonly string[]): void {
    const size = BODY * this.scale;
    const list = this.canvas.node('L', this.canvas.root);
    for (const [i, item] of items.entries()) {
      const lines = this.letters.lines(item, false, (this.width - 10) / size);
      // The last item does not go on alone.
      const with1 = i === items.length - 2 ? 1 : 0;
      this.room((Math.min(lines.length, WHOLE) + with1) * size * LEADING + with1 * this.scale);
      const li = this.canvas.node('LI', list);
      const y = this.y + size * LEADING - 0.3 * size;
      this.canvas.artifact(() => this.canvas.line([this.letters.word('\u2022', false)], this.left, y, size, false));
      this.lines(lines, size, false, 'LBody', this.canvas.node('LBody', li), this.left + 10);
      li.end();
      this.y += 1.2 * this.scale;
    }
    list.end();
  }

  #boxed(text: string): void {
    const size = SMALL * this.scale;
    const lines = this.letters.lines(text, false, (this.width - 16) / size);
    const height = this.#boxHeight(text);
    this.gap(3);
    this.room(height);
    this.#frame(height, 0.8, []);
    const top = this.y;
    this.y += 3;
    this.lines(lines, size, false, 'P', this.canvas.node('P', this.canvas.root), this.left + 8);
    this.y = top + height;
  }

  #frame(height: number, width: number, dash: readonly number[], inset = 0): void {
    const [l, t, r, b] = [this.left + inset, this.y + inset, this.left + this.width - inset, this.y + height - inset];
    this.canvas.artifact(() =>
      this.canvas.path(`M${l} ${t}L${r} ${t}L${r} ${b}L${l} ${b}Z`, INK.black, width, dash, null),
    );
  }

  /** Told apart without colour: a plain frame passes, a double one fails, a dashed one is undecided. */
  #verdict(word: string, text: string, verdict: string | null): void {
    const [large, size] = [13 * this.scale, BODY * this.scale];
    const head = this.letters.lines(word, true, Infinity)[0]!;
    const indent = 24 + large * head.reduce((s, w) => s + w.width + 0.3, 0);
    const lines = this.letters.lines(text, false, (this.width - indent - 10) / size);
    const height = Math.max(large * LEADING, lines.length * size * LEADING) + 11;
    this.room(height);
    this.#frame(height, 1.4, verdict === 'undecided' ? [5, 3] : []);
    if (verdict === 'fail') this.#frame(height, 0.8, [], 2.6);
    const top = this.y;
    const node = this.canvas.node('P', this.canvas.root);
    this.canvas.content(node, 'P', () => this.canvas.line(head, this.left + 10, top + 5 + large, large, true));
    this.y = top + 4;
    this.lines(lines, size, false, 'P', node, this.left + indent);
    this.y = top + height;
  }

  #facts(rows: readonly { readonly label: string; readonly value: string }[], columns: number): void {
    const size = BODY * this.scale;
    const each = this.width / columns;
    const label = 72 * this.scale;
    const height = Math.ceil(rows.length / columns);
    const table = this.canvas.node('Table', this.canvas.root);
    for (let r = 0; r < height; r++) {
      const cells = Array.from({ length: columns }, (_, c) => rows[c * height + r]).filter((f) => f !== undefined);
      const lines = cells.map((f) => this.letters.lines(f.value, true, (each - label - 8) / size));
      const tall = Math.max(...lines.map((l) => l.length)) * size * LEADING;
      this.room(tall);
      const top = this.y;
      const tr = this.canvas.node('TR', table);
      cells.forEach((f, c) => {
        const x = this.left + c * each;
        this.y = top;
        this.lines(
          [[this.letters.word(f.label.replaceAll(' ', '\u00a0'), false)]],
          size,
          false,
          'TH',
          this.canvas.node('TH', tr, { scope: 'Row' }),
          x,
        );
        this.y = top;
        this.lines(lines[c]!, size, true, 'TD', this.canvas.node('TD', tr), x + label);
      });
      tr.end();
      this.y = top + tall;
    }
    table.end();
  }

  #table(block: Table): void {
    this.gap(3);
    drawTable(this, block, this.#tableSize(block));
  }

  #figures(caption: string, figures: readonly Figure[], columns: number, share = 1): void {
    const each = this.width / columns;
    const small = SMALL * this.scale;
    const k = share * this.scale;
    this.gap(2);
    for (let at = 0; at < figures.length; at += columns) {
      const row = figures.slice(at, at + columns);
      const tall = Math.max(...row.map((f) => f.drawing.height * k)) + (columns > 1 ? small * LEADING + 4 : 0);
      this.room(tall + (columns === 1 ? 2 * small * LEADING : 0));
      const top = this.y;
      row.forEach((f, c) => {
        const x = this.left + c * each;
        const node = this.canvas.node('Figure', this.canvas.root, {
          alt: f.about,
          bbox: [x, top, x + f.drawing.width * k, top + f.drawing.height * k],
        });
        this.canvas.content(node, 'Figure', () => this.canvas.drawing(f.drawing, x, top, k));
        if (columns > 1) {
          this.y = top + f.drawing.height * k;
          const words = this.letters.lines(f.caption, false, (each - 6) / small).slice(0, 1);
          this.lines(words, small, false, 'Caption', this.canvas.node('Caption', node), x);
        }
        node.end();
      });
      this.y = top + tall;
    }
    this.paragraph(caption, SMALL);
  }
}
