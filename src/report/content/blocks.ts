import type { Verdict } from '../../judging/decision.ts';
import type { Drawing } from '../../figures/drawing.ts';
import type { Language } from '../../text/language.ts';

/** Who reads: one page of plain sentences, two pages, or everything. */
export const READERS = ['buyer', 'seller', 'lab'] as const;
export type Reader = (typeof READERS)[number];

export interface Fact {
  readonly label: string;
  readonly value: string;
}

export interface Table {
  readonly kind: 'table';
  readonly caption: string;
  /** Headings; those of numbers stand right. */
  readonly head: readonly { readonly text: string; readonly number: boolean }[];
  readonly rows: readonly (readonly string[])[];
  /** Many narrow columns: smaller letters. */
  readonly fine?: boolean;
}

export interface Figure {
  readonly caption: string;
  /** What it shows, in words, for whoever does not see it. */
  readonly about: string;
  readonly drawing: Drawing;
}

/** A piece of a report. All text is shown as text; whatever was typed has gone through `visible`. */
export type Block =
  | { readonly kind: 'heading'; readonly level: 1 | 2 | 3; readonly text: string }
  | { readonly kind: 'text'; readonly text: string; readonly small?: boolean }
  | { readonly kind: 'list'; readonly items: readonly string[] }
  | { readonly kind: 'caution'; readonly text: string }
  | { readonly kind: 'verdict'; readonly verdict: Verdict | null; readonly word: string; readonly text: string }
  | { readonly kind: 'facts'; readonly rows: readonly Fact[]; readonly columns: 1 | 2 }
  | Table
  | ({ readonly kind: 'figure' } & Figure)
  | {
      readonly kind: 'gallery';
      readonly caption: string;
      readonly columns: number;
      readonly figures: readonly Figure[];
    };

/** A whole report for one reader, before it takes a form. */
export interface Content {
  readonly title: string;
  readonly number: string;
  readonly reader: Reader;
  readonly language: Language;
  /** Stands at every page's foot beside the page's number. */
  readonly foot: string;
  readonly blocks: readonly Block[];
}

export const heading = (level: 1 | 2 | 3, text: string): Block => ({ kind: 'heading', level, text });
export const text = (t: string, small = false): Block => ({ kind: 'text', text: t, ...(small ? { small } : {}) });
/** A heading beginning with "#" is one of numbers. */
export const table = (
  caption: string,
  head: readonly string[],
  rows: readonly (readonly string[])[],
  fine = false,
): Block => ({
  kind: 'table',
  caption,
  head: head.map((h) => ({ text: h.replace(/^#/, ''), number: h.startsWith('#') })),
  rows,
  ...(fine ? { fine } : {}),
});
