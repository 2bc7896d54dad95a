// Whoever imports this file must find the declarations too, in each of the three type checks.
// eslint-disable-next-line @typescript-eslint/triple-slash-reference
/// <reference path="./fontkit.d.ts" />
import { create, type FontkitFont } from 'fontkit';
import { codeName } from '../record/plain-text.ts';

/** Font files, as the host fetched them. */
export interface FontFiles {
  readonly regular: Uint8Array;
  readonly bold: Uint8Array;
}

/** A stretch of text as it is drawn; `actual` where what is drawn only stands for it. */
export interface Stretch {
  readonly shown: string;
  readonly actual: string | null;
}

/** A word, which may not be parted unless it is longer than a line. */
export interface Word {
  readonly stretches: readonly Stretch[];
  readonly width: number;
  /** Read from right to left. */
  readonly rtl: boolean;
}

const known = new WeakMap<FontFiles, Letters>();

/** The letters of these files, read once. */
export function lettersOf(files: FontFiles): Letters {
  const found = known.get(files) ?? new Letters(files);
  known.set(files, found);
  return found;
}

/** Letters that are read from right to left: Hebrew, Arabic and their like (Unicode, bidirectional classes R and AL; main blocks). */
const RTL = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]/;

/** Measures, breaks and orders text in two weights of one font. */
export class Letters {
  readonly fonts: { readonly regular: FontkitFont; readonly bold: FontkitFont };
  readonly #widths = new Map<string, number>();
  readonly #words = new Map<string, Word>();

  constructor(files: FontFiles) {
    this.fonts = { regular: create(files.regular), bold: create(files.bold) };
  }

  /** Width at a size of 1. */
  width(text: string, bold: boolean): number {
    const key = `${bold ? 'b' : 'r'}${text}`;
    let width = this.#widths.get(key);
    if (width === undefined) {
      const font = bold ? this.fonts.bold : this.fonts.regular;
      width = font.layout(text).advanceWidth / font.unitsPerEm;
      this.#widths.set(key, width);
    }
    return width;
  }

  /** A word, with what the font lacks shown by its number. Its width is that at a size of 1. */
  word(text: string, bold: boolean): Word {
    const key = `${bold ? 'b' : 'r'}${text}`;
    const known = this.#words.get(key);
    if (known) return known;
    const stretches: { shown: string; actual: string | null }[] = [];
    for (const c of text) {
      const has = this.fonts.regular.hasGlyphForCodePoint(c.codePointAt(0)!);
      const last = stretches.at(-1);
      if (has && last?.actual === null) last.shown += c;
      else stretches.push(has ? { shown: c, actual: null } : { shown: codeName(c), actual: c });
    }
    const width = stretches.reduce((s, { shown }) => s + this.width(shown, bold), 0);
    const made = { stretches, width, rtl: RTL.test(text) };
    this.#words.set(key, made);
    return made;
  }

  /** Lines no wider than `width` at a size of 1; a word longer than that is parted anywhere. At least one line. */
  lines(text: string, bold: boolean, width: number): Word[][] {
    const space = this.width(' ', bold);
    const lines: Word[][] = [[]];
    let used = 0;
    for (const part of text.split(' ').filter((w) => w !== '')) {
      for (const word of this.#fitting(part, bold, width)) {
        const line = lines.at(-1)!;
        if (line.length > 0 && used + space + word.width > width) {
          lines.push([word]);
          used = word.width;
        } else {
          used += word.width + (line.length > 0 ? space : 0);
          line.push(word);
        }
      }
    }
    return lines;
  }

  #fitting(text: string, bold: boolean, width: number): Word[] {
    const whole = this.word(text, bold);
    if (whole.width <= width) return [whole];
    const parts: Word[] = [];
    let held = '';
    // Marks stay with the letter that they stand on.
    for (const cluster of text.match(/\P{M}\p{M}*|\p{M}+/gu) ?? []) {
      if (held !== '' && this.word(held + cluster, bold).width > width) {
        parts.push(this.word(held, bold));
        held = '';
      }
      held += cluster;
    }
    return held === '' ? parts : [...parts, this.word(held, bold)];
  }
}

/**
 * Words of a line in the order in which they are drawn from the left: neighbours read from the right change places, and where the line
 * begins with such a word, all do but neighbours read from the left. A small part of Unicode's bidirectional algorithm (UAX #9): no
 * embeddings, which `visible` shows by their numbers.
 */
export function visualOrder(words: readonly Word[]): Word[] {
  const base = words[0]?.rtl ?? false;
  const out: Word[] = [];
  for (let i = 0; i < words.length;) {
    let end = i;
    while (end < words.length && words[end]!.rtl !== base) end++;
    if (end > i) out.push(...words.slice(i, end).reverse());
    else out.push(words[end++]!);
    i = end;
  }
  return base ? out.reverse() : out;
}
