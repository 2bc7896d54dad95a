import { failure, success, type Result } from '../result.ts';

/** The deepest nesting and the longest text of a JSON file that is read; a result of a d20 with 40 photos is 4 levels deep and 5 MB long. */
export const JSON_BOUNDS = { depth: 64, characters: 400_000_000 } as const;

/** What is wrong with a JSON text: too long, too deep (`line` says where), or no JSON at `line`. Lines count from 1. */
export type JsonFault =
  | { readonly code: 'long'; readonly seen: number; readonly needed: number }
  | { readonly code: 'deep'; readonly line: number; readonly needed: number }
  | { readonly code: 'no-json'; readonly line: number };

/** {@link JsonFault} in a clause, English where nothing is said. */
export function jsonFaultText(fault: JsonFault, language: 'en' | 'de' = 'en'): string {
  const german = language === 'de';
  switch (fault.code) {
    case 'long':
      return german
        ? `${fault.seen} Zeichen, höchstens ${fault.needed} werden gelesen`
        : `${fault.seen} characters, at most ${fault.needed} are read`;
    case 'deep':
      return german
        ? `in Zeile ${fault.line} mehr als ${fault.needed} tief verschachtelt`
        : `nested more than ${fault.needed} deep at line ${fault.line}`;
    case 'no-json':
      return german ? `kein JSON in Zeile ${fault.line}` : `no JSON at line ${fault.line}`;
  }
}

/**
 * The value of a JSON text (RFC 8259), a byte order mark before it passed over. Bounded before it is parsed, so that whoever walks
 * the value may recurse.
 */
export function parseJson(text: string): Result<unknown, JsonFault> {
  const body = text.startsWith('\uFEFF') ? text.slice(1) : text;
  if (body.length > JSON_BOUNDS.characters)
    return failure({ code: 'long', seen: body.length, needed: JSON_BOUNDS.characters });
  const deep = tooDeepAt(body);
  if (deep >= 0) return failure({ code: 'deep', line: lineOf(body, deep), needed: JSON_BOUNDS.depth });
  try {
    return success(JSON.parse(body) as unknown);
  } catch (e) {
    return failure({ code: 'no-json', line: lineOf(body, positionIn(e, body)) });
  }
}

/** Where the text nests more deeply than is read, -1 where it nowhere does. Text that is no JSON is left to the parser. */
function tooDeepAt(text: string): number {
  let depth = 0;
  const marks = /["[\]{}]/g;
  for (let mark = marks.exec(text); mark !== null; mark = marks.exec(text)) {
    const c = mark[0];
    if (c === '"') {
      const end = endOfString(text, mark.index);
      if (end < 0) return -1;
      marks.lastIndex = end;
    } else if (c === '[' || c === '{') {
      if (++depth > JSON_BOUNDS.depth) return mark.index;
    } else depth--;
  }
  return -1;
}

/** The place behind the string that opens at `from`, -1 where it does not end. */
function endOfString(text: string, from: number): number {
  for (let at = text.indexOf('"', from + 1); at >= 0; at = text.indexOf('"', at + 1)) {
    let slashes = 0;
    while (text.charCodeAt(at - 1 - slashes) === 92) slashes++;
    if (slashes % 2 === 0) return at + 1;
  }
  return -1;
}

/** The engine's own word for where it stopped; the text's end where it says none. */
function positionIn(thrown: unknown, text: string): number {
  const said = /position (\d+)/.exec(thrown instanceof Error ? thrown.message : '');
  return said === null ? text.length : Number(said[1]);
}

function lineOf(text: string, index: number): number {
  let line = 1;
  for (let at = text.indexOf('\n'); at >= 0 && at < index; at = text.indexOf('\n', at + 1)) line++;
  return line;
}

const UNSEEN_BEYOND_ASCII = /[\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]/g;

/** The same JSON, unseen characters of its texts as escapes: it reads as it is where a person looks at it. */
export const escapedJson = (text: string): string =>
  text.replace(UNSEEN_BEYOND_ASCII, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`);
