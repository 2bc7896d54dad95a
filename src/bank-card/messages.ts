import { messageOf, type Message } from '../text/notes.ts';
import type { NoteCode } from '../formats/result.ts';

/** What a photo of a bank card alone can lack. */
export type BankCode = 'bank-none' | 'bank-two' | 'bank-cut' | 'bank-small' | 'bank-lean' | 'bank-uneven';

/** Why a photo of a bank card told nothing, with what was seen and needed where there are numbers. */
export interface BankFault {
  readonly code: NoteCode | BankCode;
  readonly seen?: number | string;
  readonly needed?: number | string;
}

type Words = (seen: string, needed: string) => Message;

/** The words of each code; they live here alone. */
const WORDS: { readonly [K in BankCode]: Words } = {
  'bank-none': (seen, needed) => ({
    text: `Bank card: lines along ${seen} of its sides found; ${needed} are needed, in its proportions.`,
    advice:
      "Lay it alone on the stage, its long side along the ring's, with a strip of stage left above and below. A light card, or a light back, is told from the ring's black squares; on a white stage it must not be white.",
  }),
  'bank-two': (seen, needed) => ({
    text: `Bank card: a side shows two lines ${seen} mm apart; from ${needed} mm on it is not said which is the edge.`,
    advice: 'Use soft light without a hard shadow, one card alone, and turn over a card that has a printed rim.',
  }),
  'bank-cut': () => ({
    text: 'The stage reaches beyond the picture.',
    advice: 'Have the whole ring in the picture.',
  }),
  'bank-small': (seen, needed) => ({
    text: `The photo shows ${seen} px per millimetre; ${needed} are needed.`,
    advice: 'Go nearer, or photograph at a higher resolution.',
  }),
  'bank-lean': (seen, needed) => ({
    text: `The camera leans by ${seen} degrees; ${needed} at most keep the side of the bank card out of sight.`,
    advice: 'Photograph from straight above the middle of the stage.',
  }),
  'bank-uneven': (seen, needed) => ({
    text: `The sides found stray from a flat bank card's by ${seen}; ${needed} are put up with.`,
    advice: 'Lay a flat, undamaged card on flat paper, and see that the photo is sharp.',
  }),
};

const isBankCode = (code: BankFault['code']): code is BankCode => Object.hasOwn(WORDS, code);

/** The words for a fault, in English. */
export const bankMessage = ({ code, seen, needed }: BankFault): Message =>
  isBankCode(code)
    ? WORDS[code](String(seen ?? ''), String(needed ?? ''))
    : messageOf({ code, ...(seen === undefined ? {} : { seen }), ...(needed === undefined ? {} : { needed }) });
