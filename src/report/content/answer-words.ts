import { grouped } from '../../text/grouped.ts';
import type { Answer, Surer } from '../record/answer.ts';
import { axisName } from '../../text/axis-name.ts';
import { LOCALES, type Language } from '../../text/language.ts';

/** Languages that the answer is given in. */
export type AnswerLanguage = Language;

/** How numbers are written where the answer stands: units and decimal marks are the reader's. */
export interface AnswerNumbers {
  /** A length, mm given, with its unit. */
  length(mm: number): string;
  /** A chance, a share given, with its sign for per cent, as finely as the difference `apart` from what it is set beside asks. */
  chance(share: number, apart: number): string;
  /** A number of rolls. */
  count(rolls: number): string;
}

type Words<T extends { readonly code: string }> = {
  readonly [C in T['code']]: (a: Extract<T, { code: C }>, n: AnswerNumbers) => string;
};

const EN: Words<Answer> = {
  true: ({ within }, n) => `True within ${n.length(within)}: nobody will notice at the table.`,
  axis: ({ axis, faces, off, chance, even, rolls }, n) =>
    `The ${axis} axis is ${n.length(Math.abs(off))} too ${off < 0 ? 'short' : 'long'}: ${faces.join(' and ')} ${faces.length > 1 ? 'come' : 'comes'} up ${n.chance(chance, Math.abs(chance - even))} instead of ${n.chance(even, Math.abs(chance - even))}; about ${n.count(rolls)} rolls show it.`,
  'axis-only': ({ axis, off }, n) =>
    `The ${axis} axis is ${n.length(Math.abs(off))} too ${off < 0 ? 'short' : 'long'}; what that does to rolls cannot be told for this shape.`,
  number: ({ face, chance, even, rolls }, n) =>
    `No axis stands out, but ${face} comes up ${n.chance(chance, Math.abs(chance - even))} instead of ${n.chance(even, Math.abs(chance - even))}; about ${n.count(rolls)} rolls show it.`,
  open: ({ within }, n) => `No fault is shown, but one of up to ${n.length(within)} may hide in the doubt.`,
};

const DE: Words<Answer> = {
  true: ({ within }, n) => `Auf ${n.length(within)} gleichmäßig: Am Tisch merkt es niemand.`,
  axis: ({ axis, faces, off, chance, even, rolls }, n) =>
    `Die Achse ${axisName(axis, 'de')} ist ${n.length(Math.abs(off))} zu ${off < 0 ? 'kurz' : 'lang'}: ${faces.join(' und ')} ${faces.length > 1 ? 'fallen' : 'fällt'} mit ${n.chance(chance, Math.abs(chance - even))} statt ${n.chance(even, Math.abs(chance - even))}; etwa ${n.count(rolls)} Würfe zeigen es.`,
  'axis-only': ({ axis, off }, n) =>
    `Die Achse ${axisName(axis, 'de')} ist ${n.length(Math.abs(off))} zu ${off < 0 ? 'kurz' : 'lang'}; was das an Würfen ändert, lässt sich für diese Form nicht sagen.`,
  number: ({ face, chance, even, rolls }, n) =>
    `Keine Achse fällt auf, aber die ${face} fällt mit ${n.chance(chance, Math.abs(chance - even))} statt ${n.chance(even, Math.abs(chance - even))}; etwa ${n.count(rolls)} Würfe zeigen es.`,
  open: ({ within }, n) =>
    `Es zeigt sich kein Fehler, doch einer bis ${n.length(within)} kann in der Unsicherheit liegen.`,
};

/** The answer as one sentence. */
export function answerText(answer: Answer, language: AnswerLanguage, numbers: AnswerNumbers): string {
  const words = language === 'de' ? DE : EN;
  return (words[answer.code] as (a: Answer, n: AnswerNumbers) => string)(answer, numbers);
}

const SURER_EN: Words<Surer> = {
  retake: ({ photo }) => `Take ${photo} again: it could not be used.`,
  bars: () => 'Measure the two check bars of the printed card: all lengths share the doubt of its scale.',
  photos: ({ count }) => (count === 1 ? 'Take one more photo of the list.' : `Take ${count} more photos of the list.`),
  caliper: () => 'Photos have told what they can: compare with a caliper or micrometer.',
};

const SURER_DE: Words<Surer> = {
  retake: ({ photo }) => `Nehmen Sie ${photo} noch einmal auf: Es war nicht zu brauchen.`,
  bars: () =>
    'Messen Sie die beiden Prüfstrecken der gedruckten Karte: Alle Längen teilen die Unsicherheit ihres Maßstabs.',
  photos: ({ count }) =>
    count === 1 ? 'Nehmen Sie noch ein Foto der Liste auf.' : `Nehmen Sie noch ${count} Fotos der Liste auf.`,
  caliper: () => 'Fotos haben gesagt, was sie können: Vergleichen Sie mit Messschieber oder Messschraube.',
};

/** The one thing to do next, as a sentence. */
export function surerText(surer: Surer, language: AnswerLanguage): string {
  const words = language === 'de' ? SURER_DE : SURER_EN;
  return (words[surer.code] as (s: Surer) => string)(surer);
}

/**
 * Numbers in the answer stand without their doubt, so they are rounded to two digits, chances to the second digit of what sets them
 * apart from an even die's.
 *
 * @param locale  Decimal marks; those of the language where left out.
 */
export function answerNumbers(language: AnswerLanguage, locale: string = LOCALES[language]): AnswerNumbers {
  const length = new Intl.NumberFormat(locale, { minimumSignificantDigits: 2, maximumSignificantDigits: 2 });
  const count = new Intl.NumberFormat(locale, { maximumSignificantDigits: 2 });
  return {
    length: (mm) => `${length.format(mm)}\u00a0mm`,
    chance: (share, apart) => {
      const digits = apart > 0 ? Math.min(3, Math.max(0, 1 - Math.floor(Math.log10(100 * apart)))) : 1;
      return `${new Intl.NumberFormat(locale, { maximumFractionDigits: digits }).format(100 * share)}\u00a0%`;
    },
    count: (rolls) => grouped(count, rolls),
  };
}
