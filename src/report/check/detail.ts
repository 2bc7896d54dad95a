import type { DetailCode } from './check-words.ts';

/** One line of what differs: its code, and what stands in the words for it. Values from a file are shown without unseen characters by whoever writes them out. */
export interface Detail {
  readonly code: DetailCode;
  readonly values: readonly (string | number)[];
}

/** A line that says itself. */
export const asItIs = (text: string): Detail => ({ code: 'as-it-is', values: [text] });
