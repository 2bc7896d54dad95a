/** What an input came to. */
export type Outcome =
  /** Refused with a code, in the words of both languages; English alone where the command line alone says it, or where the page's German is by code. */
  | { readonly kind: 'refused'; readonly code: string; readonly words: readonly [en: string, de?: string] }
  /** Taken; `texts` are what people are told of it. */
  | { readonly kind: 'taken'; readonly texts: readonly string[] };

export const refused = (code: string, ...words: readonly [en: string, de?: string]): Outcome => ({
  kind: 'refused',
  code,
  words,
});
export const taken = (...texts: readonly string[]): Outcome => ({ kind: 'taken', texts });

/** Longest message that people are told, characters. */
const LONGEST = 2500;
/** Words of engines and libraries, which say nothing to people. */
const LIBRARY =
  /Invalid (key|type|length|value|format|string|date)|Expected |received |Cannot (read|convert|set)|is not (a function|iterable|defined)|TypeError|RangeError|SyntaxError|DataCloneError|VipsJpeg|vips|Unexpected (token|end)|\[object |node:|at file:/;
const SENSELESS = /\bNaN\b|\bundefined\b|\bInfinity\b/;
// eslint-disable-next-line no-control-regex
const UNSEEN = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;

/** What is wrong with an outcome; null where it is as it should be. */
export function faultOf(outcome: Outcome): string | null {
  if (outcome.kind === 'refused') {
    if (!/^[a-z][a-z-]*$/.test(outcome.code)) return `code ${JSON.stringify(outcome.code)}`;
    const [en, de] = outcome.words;
    if (en.trim() === '' || de?.trim() === '') return `no words for ${outcome.code}`;
    if (en === de) return `the same words in both languages for ${outcome.code}: ${en.slice(0, 200)}`;
  }
  const texts = outcome.kind === 'refused' ? outcome.words : outcome.texts;
  for (const text of texts) {
    if (text === undefined) continue;
    if (outcome.kind === 'refused' && text.length > LONGEST) return `${text.length} characters: ${text.slice(0, 80)}`;
    for (const [what, pattern] of [
      ['a library speaks', LIBRARY],
      ['no sense', SENSELESS],
      ['unseen characters', UNSEEN],
    ] as const) {
      const found = pattern.exec(text);
      if (found) return `${what}: ${JSON.stringify(text.slice(Math.max(0, found.index - 60), found.index + 80))}`;
    }
  }
  return null;
}
