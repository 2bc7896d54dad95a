import { BOUNDS } from '../formats/bounds.ts';
import { jsonFaultText, type JsonFault } from '../formats/json-text.ts';
import type { FormatFault, Need } from '../formats/read.ts';
import type { NotMeasured } from '../formats/result.ts';
import type { Language } from './language.ts';

type Words = (limit: string) => string;
type Clause = (needed: string, seen: string) => string;

/** What a place in a file needs, as a noun: it stands after "needed". */
const ENGLISH: { readonly [N in Need]: Words } = {
  object: () => 'an object',
  list: () => 'a list',
  text: () => 'a text',
  number: () => 'a number',
  whole: () => 'a whole number',
  'true-or-false': () => 'true or false',
  'one-of': (known) => known,
  'at-least': (least) => `${least} or more`,
  'at-most': (most) => `${most} or less`,
  'more-than': (bound) => `more than ${bound}`,
  longest: (most) => `at most ${most} characters`,
  'most-entries': (most) => `at most ${most} entries`,
  'fewest-entries': (least) => `at least ${least} entries`,
  pattern: () => 'another form',
  'not-known': () => 'no such entry (this version knows none)',
  present: () => 'this entry',
  other: () => 'another value',
  depth: (most) => `lists and objects at most ${most} deep in one another`,
  numbering: () => 'the neighbours of each number, as on a die of this kind',
  apex: () => 'no apex: it is for a d10',
  square: () => 'as many rows and columns as there are names',
  variance: () => 'variances that are not negative',
  outline: () => 'lists of equal length',
  sigma: () => 'a sigma above 0',
  unlike: () => 'a name unlike all others',
  visible: () => 'a text that can be seen',
  'limits-order': () => 'lower below upper',
  'names-count': (count) => `${count}, as many as a die of this kind has,`,
  'names-order': (label) => `the names of "${label}" in their order`,
  'mark-of-face': () => 'the name of a face',
};

const GERMAN: { readonly [N in Need]: Words } = {
  object: () => 'ein Objekt',
  list: () => 'eine Liste',
  text: () => 'ein Text',
  number: () => 'eine Zahl',
  whole: () => 'eine ganze Zahl',
  'true-or-false': () => 'true oder false',
  'one-of': (known) => known,
  'at-least': (least) => `${least} oder mehr`,
  'at-most': (most) => `${most} oder weniger`,
  'more-than': (bound) => `mehr als ${bound}`,
  longest: (most) => `höchstens ${most} Zeichen`,
  'most-entries': (most) => `höchstens ${most} Einträge`,
  'fewest-entries': (least) => `mindestens ${least} Einträge`,
  pattern: () => 'eine andere Form',
  'not-known': () => 'kein solcher Eintrag (diese Version kennt keinen)',
  present: () => 'dieser Eintrag',
  other: () => 'ein anderer Wert',
  depth: (most) => `Listen und Objekte höchstens ${most} tief ineinander`,
  numbering: () => 'die Nachbarn jeder Zahl, wie auf einem solchen Würfel',
  apex: () => 'keine Spitze: sie gilt für einen d10',
  square: () => 'so viele Zeilen und Spalten wie Namen',
  variance: () => 'Varianzen, die nicht negativ sind',
  outline: () => 'Listen gleicher Länge',
  sigma: () => 'ein Sigma über 0',
  unlike: () => 'ein Name, der sonst nicht vorkommt',
  visible: () => 'ein Text, den man sieht',
  'limits-order': () => 'die untere unter der oberen',
  'names-count': (count) => `${count}, so viele, wie ein solcher Würfel hat`,
  'names-order': (label) => `die Namen von „${label}“ in ihrer Reihenfolge`,
  'mark-of-face': () => 'der Name einer Fläche',
};

const WORDS: Readonly<
  Record<Language, { needs: { readonly [N in Need]: Words }; say: Clause; whole: string; nothing: string }>
> = {
  en: {
    needs: ENGLISH,
    say: (needed, seen) => `${seen} found, ${needed} needed`,
    whole: 'the file',
    nothing: 'nothing',
  },
  de: {
    needs: GERMAN,
    say: (needed, seen) => `${seen} gefunden, nötig: ${needed}`,
    whole: 'die Datei',
    nothing: 'nichts',
  },
};

/** Where a file departs from its format: one clause without its full stop. */
export function formatFaultText({ place, need, limit, seen }: FormatFault, language: Language): string {
  return `${place === '' ? WORDS[language].whole : place}: ${needText({ need, limit, seen }, language)}`;
}

/** What stands in a place and what it needs. */
export function needText({ need, limit, seen }: NeedAlone, language: Language): string {
  const { needs, say, nothing } = WORDS[language];
  return say(needs[need](limit === undefined ? '' : String(limit).slice(0, BOUNDS.seen)), seen ?? nothing);
}
interface NeedAlone {
  readonly need: Need;
  readonly limit: string | number | undefined;
  readonly seen: string | null;
}

/** Why a file cannot be taken: no JSON, another format, or a die that could not be measured. */
export type FileFault = FormatFault | NotMeasured | { readonly code: 'no-json'; readonly why: JsonFault };

/** The same for whatever a file may be at fault with. */
export function fileFaultText(fault: FileFault, language: Language): string {
  const german = language === 'de';
  switch (fault.code) {
    case 'wrong':
      return formatFaultText(fault, language);
    case 'no-json':
      return jsonFaultText(fault.why, language);
    case 'not-measured':
      if (german) return `der Würfel ließ sich nicht messen (${fault.reason})`;
      return `the die could not be measured: ${fault.message ?? fault.reason}`;
  }
}
