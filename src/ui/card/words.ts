import { reader } from '../kit/catalogue.ts';
import { CARD_WORDS } from './card-words.ts';

/** The room's words in the language in use. */
export const words = reader(CARD_WORDS);
