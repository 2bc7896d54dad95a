import type { Catalogue } from '../../text/language.ts';
import { language } from './language.svelte.ts';

export type { Catalogue } from '../../text/language.ts';

/**
 * The catalogue's words in the language in use, read anew at each access: `const words = reader(CATALOGUE)` once per file, then
 * `words.heading` in markup or in `$derived` follows a switch of language. Do not destructure it, and keep no text of it.
 */
export function reader<W extends object>(catalogue: Catalogue<W>): W {
  const words = {} as W;
  for (const key of Object.keys(catalogue.en) as (keyof W)[])
    Object.defineProperty(words, key, { enumerable: true, get: () => catalogue[language.current][key] });
  return words;
}

/** One text or value of a catalogue in the language in use. */
export const inLanguage = <W>(catalogue: Catalogue<W>): W => catalogue[language.current];
