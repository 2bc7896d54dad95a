/** Most characters of what a person typed: of a line, and of a note. */
export const TYPED = { line: 120, note: 1200 } as const;

/** Marks on one letter beyond these are left out where it is shown. */
const MOST_MARKS = 4;

/**
 * What nobody sees but what changes how the rest is read: controls, marks and overrides of direction, invisible and
 * deprecated format characters, line separators, tags, non-characters. The joiners within words and emoji stay.
 */
// Classes of single characters, none of them combined.
/* eslint-disable no-control-regex, no-misleading-character-class */
const UNSEEN =
  /[\u0000-\u001f\u007f-\u009f\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff]|[\u{e0000}-\u{e0fff}]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/gu;
/* eslint-enable no-control-regex, no-misleading-character-class */

/**
 * What a person typed as it is kept: well-formed, bounded, line breaks of a note kept, nothing else changed.
 *
 * @param most  Characters (code points); what is longer ends in an ellipsis.
 */
export function typed(text: unknown, most: number): string {
  if (typeof text !== 'string') return '';
  const sound = [...text.slice(0, 4 * most + 4)].map((c) => (/^[\ud800-\udfff]$/.test(c) ? '\ufffd' : c));
  return sound.length <= most ? sound.join('') : `${sound.slice(0, most - 1).join('')}\u2026`;
}

/** U+202E and the like as they are shown. */
export const codeName = (character: string): string =>
  `\u2039U+${character.codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0')}\u203a`;

/**
 * Typed text as it is shown: what would be unseen stands there by its number, so that no text can pretend to be another;
 * line breaks become spaces, heaps of marks are cut short.
 */
export function visible(text: string): string {
  return text
    .replace(/\r\n?|\n|\t/g, ' ')
    .replace(UNSEEN, codeName)
    .replace(new RegExp(`(\\p{M}{${MOST_MARKS}})\\p{M}+`, 'gu'), '$1\u2026');
}

/** A file's name as it is kept: its last part only, never a path. */
export const fileName = (name: string): string => typed(name.split(/[\\/]/).pop() ?? '', TYPED.line);

/** A name for a file to save: letters, digits and hyphens alone. */
export const safeFileName = (text: string): string => text.replace(/[^A-Za-z0-9-]+/g, '-').replace(/^-+|-+$/g, '');
